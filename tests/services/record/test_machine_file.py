from dataclasses import replace
from datetime import timedelta

import pytest

from benchassist.core.band import Verdict
from benchassist.core.copper import at_reference
from benchassist.core.entry import Did, Noted, Struck
from benchassist.core.trend import Drift
from benchassist.core.visit import Visit
from benchassist.errors import BenchError, NotFoundError, ShopFileError
from benchassist.services.bench.taking import OTHER_WAY
from benchassist.services.record.drift_text import beside_now
from benchassist.services.record.machine_file_view import MachineFileView, QuantityCard
from benchassist.services.record.machine_reader import MachineReader
from benchassist.services.record.machine_runs import laid_runs
from benchassist.units import UnitChoice
from tests.core import entries
from tests.services.fakes import FakeStore
from tests.services.season import CAP, COIL, Season, kept
from tests.services.story import measured

UNITS = UnitChoice()


def file_in(store: FakeStore, current: Visit | None = None) -> MachineFileView:
    """The file of the machine m1 as it is read the first time."""
    read = MachineReader("m1", store=store, units=UNITS).read(current)
    assert read is not None
    return read.file


def filed(*seasons: Season) -> MachineFileView:
    """The machine's file."""
    return file_in(kept(*seasons))


def card(view: MachineFileView, key: str) -> QuantityCard:
    """A quantity's card."""
    return next(q for q in view.quantities if q.check_key == key)


def coils(*values: float, celsius: float = 20.0) -> list[Season]:
    """A closed visit a year, each with a coil's reading."""
    seasons = [Season(2023 + i) for i in range(len(values))]
    for season, value in zip(seasons, values, strict=True):
        season.take("coil", value, celsius=celsius)
        season.close()
    return seasons


def test_a_machine_without_a_record_is_not_found() -> None:
    """In words, not with an empty page."""
    with pytest.raises(NotFoundError, match="m1"):
        file_in(FakeStore())


def test_a_machine_that_is_new_has_an_empty_file() -> None:
    """Its name and tag, and no quantity."""
    store = FakeStore()
    store.submit_machine(entries.header().machine)
    view = file_in(store)
    assert (view.tag_text, view.quantities, view.visits) == ("tag M-007", (), ())


def test_rows_run_oldest_first_and_the_open_visit_is_now() -> None:
    """One unit a card; a visit that did not take it has an empty row."""
    first, second = coils(6470.0, 6480.0)
    now = Season(2025)
    now.take("cap", 4380.0)
    view = filed(first, second, now)
    coil = card(view, "coil")
    assert [(row.when, row.value) for row in coil.rows] == [
        ("2023", "6.47"),
        ("2024", "6.48"),
        ("now", ""),
    ]
    assert coil.unit_text == "kΩ"
    assert coil.drift_text == "Not taken this visit"
    assert coil.rows[0].ruler is not None
    assert (coil.rows[0].verdict, coil.rows[0].verdict_text) == (Verdict.IN_BAND, "In band")
    assert [row.when for row in card(view, "cap").rows] == ["now"]
    assert view.open_visit_id == now.visit.header.id
    assert view.visits_text == "3 visits since 2023"


def test_no_drift_is_stated_within_the_doubt() -> None:
    """0.05 kΩ in 6.5 is less than the meter can tell; the least that it could is said."""
    coil = card(filed(*coils(6470.0, 6480.0, 6500.0, 6520.0)), "coil")
    assert (coil.drift, coil.drift_text) == (Drift.NONE, "No real change")
    assert "cannot be told" in coil.detail


def test_a_drift_beyond_the_doubt_is_stated_a_year_with_its_own() -> None:
    """150 ohm a year over three years."""
    coil = card(filed(*coils(6200.0, 6350.0, 6500.0, 6650.0)), "coil")
    assert coil.drift is Drift.RISING
    assert coil.drift_text == "Creeping up 0.15 kΩ a year"
    assert coil.detail.startswith("±0.0")


def test_two_visits_tell_a_change_not_a_rate() -> None:
    """A line through two points is no drift a year; out of band is said beside it."""
    coil = card(filed(*coils(6500.0, 5500.0)), "coil")
    assert coil.drift is Drift.FALLING
    assert coil.drift_text.startswith("Down 1.0 kΩ ±")
    assert coil.drift_text.endswith("since 9 Jun 2023. Last out of band")


def test_windings_are_compared_at_one_temperature() -> None:
    """The same coil read at 20 and at 45 °C; the warm reading is shown as it would be at 20."""
    cold, warm = Season(2023), Season(2024)
    cold.take("coil", 6200.0)
    warm.take("coil", 6200.0 * (1.0 + 0.00393 * 25.0), celsius=45.0)
    coil = card(filed(cold.close(), warm.close()), "coil")
    assert [row.value for row in coil.rows] == ["6.20", "6.20"]
    assert (coil.drift, coil.corrected_text) == (Drift.NONE, "at 20 °C")


def test_a_winding_of_unknown_temperature_is_shown_and_not_compared() -> None:
    """Ten degrees are 4 %: nothing is said of a change."""
    cold, unknown = Season(2023), Season(2024)
    cold.take("coil", 6200.0)
    unknown.take("coil", 6900.0, celsius=None)
    coil = card(filed(cold.close(), unknown.close()), "coil")
    assert coil.rows[1].note == "temperature unknown: not compared"
    assert coil.drift is Drift.UNTOLD
    assert coil.drift_text == "Not to be compared: temperature or doubt unknown"


def test_a_renewed_part_begins_a_new_series() -> None:
    """Before and after in one visit are two parts; the drift is the new one's alone."""
    first = coils(6100.0)[0]
    second = Season(2024)
    second.take("coil", 7600.0)
    second.fit("coil", "Coil 12-A")
    second.take("coil", 6500.0)
    third = Season(2025)
    third.take("coil", 6510.0)
    view = filed(first, second.close(), third.close())
    coil = card(view, "coil")
    assert coil.drift_text == "No real change"
    assert [(row.value, row.before, row.broken) for row in coil.rows] == [
        ("6.10", "", False),
        ("6.50", "7.60", True),
        ("6.51", "", False),
    ]
    assert [(p.day_text, p.text, p.note) for p in view.parts] == [
        ("9 Jun 2024", "Coil 12-A", "old part kept, labelled")
    ]
    assert view.parts_text == "Parts fitted so far: 1."


def test_work_at_one_check_leaves_another_one_s_series_alone() -> None:
    """A cap that was worked on after its reading says nothing of the coil, nor of itself now."""
    first, second = Season(2023), Season(2024)
    for season in (first, second):
        season.take("coil", 6500.0)
        season.take("cap", 4400.0)
    first.visit.apply(Did(stamp=first.stamp(), text="cap screwed on anew", check_key="cap"))
    view = filed(first.close(), second)
    assert card(view, "coil").drift_text == "No real change"
    assert card(view, "cap").drift is Drift.UNTOLD
    assert [row.broken for row in card(view, "cap").rows] == [False, True]


def test_the_last_good_value_stands_beside_what_is_measured_now() -> None:
    """Not the last one, which was out of band; the change is told with its doubt."""
    good, odd = coils(6500.0, 9000.0)
    now = Season(2025)
    taken = now.take("coil", 6900.0)
    view = filed(good, odd, now)
    last = card(view, "coil").last_good
    assert last is not None
    assert last.text.startswith("6.50 ±0.")
    assert last.text.endswith(" kΩ")
    assert last.day_text == "9 Jun 2023"
    assert beside_now(last, taken, UNITS).startswith("Up 0.40 kΩ ±")
    assert beside_now(last, taken, UNITS, k=20.0) == "No real change since 9 Jun 2023"
    assert beside_now(last, now.take("coil", 6900.0, celsius=None), UNITS) == ""
    assert beside_now(last, now.take("coil", None), UNITS) == ""
    assert card(filed(odd, now), "coil").last_good is None


def test_a_last_good_value_of_another_part_says_so() -> None:
    """It was renewed since."""
    first, now = coils(6500.0)[0], Season(2024)
    now.fit("coil", "Coil 12-A")
    now.take("coil", 6300.0)
    last = card(filed(first, now), "coil").last_good
    assert last is not None
    assert last.note == "worked on or renewed since"


def test_an_overload_is_words_and_no_point() -> None:
    """The row says Open, the drift is what the numbers tell."""
    first, second = coils(6500.0, 6510.0)
    third = Season(2025)
    third.take("coil", None)
    coil = card(filed(first, second, third), "coil")
    assert coil.rows[-1].value == "Open"
    assert coil.drift_text == "No real change. Now out of band"


def test_a_visit_s_card_tells_came_found_did_part_and_note() -> None:
    """Newest first; nothing without words has a line."""
    season = Season(2024)
    season.take("coil", 9000.0)
    season.fit("coil", "Coil 12-A")
    season.take("coil", 6500.0)
    season.visit.apply(Did(stamp=season.stamp(), text="air gap set"))
    season.visit.apply(Noted(stamp=season.stamp(), text="Belt guard cracked.", check_key="cap"))
    view = filed(coils(6500.0)[0], season)
    newest, oldest = view.visits
    assert [(line.label, line.text) for line in newest.lines] == [
        ("Came", "“quits after 25 min”"),
        ("Found", "coil 9.00 kΩ, Out of band, high"),
        ("Did", "air gap set"),
        ("Part", "Coil 12-A"),
        ("Note", "cap: Belt guard cracked."),
    ]
    assert newest.title == "9 Jun 2024, open"
    assert oldest.title == "9 Jun 2023, first visit"
    assert [line.label for line in oldest.lines] == ["Came"]


def test_runs_of_a_check_stand_together() -> None:
    """Two years' heat runs on one card, and both found again for the overlay."""
    seasons = [Season(2023), Season(2024)]
    for season in seasons:
        season.run()
        season.close()
    store = kept(*seasons)
    view = file_in(store)
    runs = view.runs[0]
    assert [row.day_text for row in runs.rows] == ["9 Jun 2023", "9 Jun 2024"]
    assert all(row.words for row in runs.rows)
    visits = [season.visit for season in seasons]
    laid = laid_runs(runs, visits, runs=None, units=UNITS)
    assert [one.ended.run_id for one in laid] == [row.run_id for row in runs.rows]
    assert all(one.plot is None for one in laid)


class Damaged(FakeStore):
    """A store that cannot give one visit back."""

    bad = ""

    def visit(self, visit_id: str):  # type: ignore[no-untyped-def]  # noqa: ANN201
        if visit_id == self.bad:
            raise ShopFileError("the record is damaged")
        return super().visit(visit_id)

    def visits(self, *, open_only: bool = False, machine_id: str = ""):  # type: ignore[no-untyped-def]  # noqa: ANN201
        bad, self.bad = self.bad, ""
        try:
            return super().visits(open_only=open_only, machine_id=machine_id)
        finally:
            self.bad = bad


def test_a_visit_that_cannot_be_read_does_not_hide_the_others() -> None:
    """It is named by its slip."""
    first, second = coils(6500.0, 6510.0)
    store = Damaged()
    for season in (first, second):
        store.submit_visit(season.visit.header)
        store.submit(*season.visit.entries)
    store.bad = first.visit.header.id
    with pytest.raises(BenchError):
        store.visit(store.bad)
    view = file_in(store)
    assert [visit.visit_id for visit in view.visits] == [second.visit.header.id]
    assert view.unread_text == "Not readable: slip 202306"


def test_the_visit_on_the_bench_counts_with_what_is_in_pencil() -> None:
    """The store has its header only; its newest reading is there all the same."""
    first, now = coils(6500.0)[0], Season(2024)
    store = kept(first)
    store.submit_visit(now.visit.header)
    now.take("coil", 6510.0)
    view = file_in(store, now.visit)
    assert [row.value for row in card(view, "coil").rows] == ["6.50", "6.51"]


def test_two_visits_of_a_year_are_told_by_their_months_and_two_of_a_month_by_their_days() -> None:
    """A year alone would name both."""
    one, other, third = (Season(2024, month=month) for month in (3, 9, 9))
    header = replace(third.visit.header, id="v2", slip_number="2")
    third.visit = Visit(replace(header, opened_at=header.opened_at + timedelta(days=3)))
    for season in (one, other, third):
        season.take("coil", 6500.0)
        season.close()
    assert [row.when for row in card(filed(third, other, one), "coil").rows] == [
        "Mar 2024",
        "9 Sep 2024",
        "12 Sep 2024",
    ]


def test_an_older_procedure_s_check_keeps_its_card() -> None:
    """The newest visit never had it: it follows the others."""
    old, new = Season(2023, CAP, COIL), Season(2024, COIL)
    old.take("cap", 4400.0)
    old.take("coil", 6500.0)
    new.take("coil", 6500.0)
    view = filed(old.close(), new)
    assert [q.check_key for q in view.quantities] == ["coil", "cap"]
    assert card(view, "cap").drift_text == "Not taken this visit"


def test_what_moves_or_is_out_of_band_comes_first() -> None:
    """Then what has two values; a value alone comes last, whatever the procedure's order is."""
    gap = measured("gap", low=5000.0, high=6000.0)
    lone = measured("lone", low=5000.0, high=6000.0)
    first, now = Season(2024, lone, CAP, gap, COIL), Season(2025, lone, CAP, gap, COIL)
    for season, out in ((first, 5500.0), (now, 7000.0)):
        season.take("cap", 4400.0)
        season.take("gap", out)
        season.take("coil", 6500.0)
    now.take("lone", 5500.0)
    keys = [q.check_key for q in filed(first.close(), now).quantities]
    assert keys == ["gap", "cap", "coil", "lone"]


def test_why_nothing_is_said_of_a_change_is_said() -> None:
    """One value, a new series, an open among the two."""
    one, renewed = coils(6500.0)[0], Season(2024)
    assert card(filed(one), "coil").drift_text == "Nothing to compare it with yet"
    renewed.fit("coil", "Coil 12-A")
    renewed.take("coil", 6300.0)
    assert card(filed(one, renewed), "coil").drift_text == "Worked on: a new series begins"
    opened = Season(2024)
    opened.take("coil", None)
    told = card(filed(one, opened.close()), "coil").drift_text
    assert told == "Last out of band"
    shut = Season(2024, COIL, measured("wire", low=10e6))
    shut.take("wire", None)
    earlier = Season(2023, COIL, measured("wire", low=10e6))
    earlier.take("wire", None)
    found = card(filed(earlier.close(), shut), "wire")
    assert found.drift_text == "No two numbers to compare"


def test_a_struck_reading_is_no_row() -> None:
    """What was withdrawn is neither shown here nor compared."""
    season = Season(2024)
    season.take("coil", 6500.0)
    wrong = season.take("coil", 9000.0)
    season.visit.apply(Struck(stamp=season.stamp(), check_key="coil", entry_id=wrong.stamp.id))
    assert [row.value for row in card(filed(season), "coil").rows] == ["6.50"]


def test_the_other_way_round_is_no_value_of_its_own() -> None:
    """Of two polarities the first stands for the visit."""
    season = Season(2024)
    season.take("coil", 6500.0)
    other = season.take("coil", 6900.0)
    entries_then = (*season.visit.entries[:-1], replace(other, method=OTHER_WAY))
    season.visit = Visit(season.visit.header, entries_then)
    assert [row.value for row in card(filed(season), "coil").rows] == ["6.50"]


def test_a_band_of_another_temperature_is_drawn_at_the_card_s() -> None:
    """Its limits stood for 25 °C then, the newest band's for 20: reading and limits move as one."""
    assert COIL.band is not None
    first = Season(2023, replace(COIL, band=replace(COIL.band, reference_celsius=25.0)))
    second = Season(2024)
    for season in (first, second):
        season.take("coil", 6500.0)
        season.close()
    coil = card(filed(first, second), "coil")
    assert [row.value for row in coil.rows] == ["6.50", "6.50"]
    rulers = [row.ruler for row in coil.rows if row.ruler is not None]
    assert [ruler.low for ruler in rulers] == [
        pytest.approx(at_reference(5900.0, celsius=25.0, reference=20.0)),
        5900.0,
    ]


def test_visits_of_a_few_months_tell_no_rate_a_year() -> None:
    """Three in one summer: how much since the first, along the line."""
    seasons = [Season(2024, month=month) for month in (5, 6, 7)]
    for season, value in zip(seasons, (6200.0, 6350.0, 6500.0), strict=True):
        season.take("coil", value)
        season.close()
    coil = card(filed(*seasons), "coil")
    assert coil.drift is Drift.RISING
    assert coil.drift_text.startswith("Up 0.30 kΩ ±")
    assert coil.drift_text.endswith("since 9 May 2024")


def test_the_visit_on_the_bench_is_now_even_where_a_newer_one_is_closed() -> None:
    """An older visit opened again."""
    older, newer = Season(2023), Season(2024)
    older.take("coil", 6500.0)
    newer.take("coil", 6510.0)
    store = kept(older, newer.close())
    view = file_in(store, older.visit)
    assert [(row.when, row.now) for row in card(view, "coil").rows] == [
        ("now", True),
        ("2024", False),
    ]
    assert view.open_visit_id == older.visit.header.id
