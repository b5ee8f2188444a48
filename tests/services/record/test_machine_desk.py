"""A machine's file in the window: read beside everything else, kept until something is written."""

import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from benchassist.core.entry import RunEnded, RunStarted
from benchassist.core.run import RunGap
from benchassist.core.samples import Column, Samples
from benchassist.core.visit import Visit
from benchassist.errors import InputError, NotFoundError, StepError, StoreError
from benchassist.services.bench.side_pen import SidePen
from benchassist.services.receipt import Receipts
from benchassist.services.record.machine_desk import LOOK_EVERY_S, MachineDesk
from benchassist.services.record.machine_file_view import MachinePageView
from benchassist.services.record.own_bands import OwnBands
from benchassist.units import UnitChoice
from tests.services.case import HEAT
from tests.services.fakes import FakeClock, FakeStore
from tests.services.rig import FakeBook
from tests.services.season import Season, kept

UNITS = UnitChoice()
PATIENCE_S = 20.0


class FakeRuns:
    """Samples of every run that is named: a winding that warms, in ohm."""

    def __init__(self, **first: float) -> None:
        self.first = first
        self.asked: list[tuple[str, float, float, int]] = []

    def run_extent(self, run_id: str) -> tuple[float, float]:
        if run_id not in self.first:
            raise NotFoundError(run_id)
        return 0.0, 60.0

    def run_envelope(
        self, run_id: str, channel: str, *, start_s: float, end_s: float, buckets: int
    ) -> tuple[Column, Column, Column]:
        if channel != "A":
            raise NotFoundError(channel)
        self.asked.append((run_id, start_s, end_s, buckets))
        t_s = np.linspace(max(0.0, start_s), min(60.0, end_s), min(buckets, 61))
        value = self.first[run_id] * (1.0 + 0.001 * t_s)
        return t_s, value, value

    def run_samples(self, *_args: object, **_more: object) -> Samples:
        return Samples.none()

    def run_gaps(self, _run_id: str) -> tuple[RunGap, ...]:
        return ()

    def record(self, *_args: object) -> None:
        raise AssertionError


class Rig:
    """A desk on a store, with a clock that stands still."""

    def __init__(self, *seasons: Season, store: FakeStore | None = None, **runs: float) -> None:
        self.store = store if store is not None else kept(*seasons)
        self.clock = FakeClock()
        self.on_bench: Visit | None = None
        self.runs = FakeRuns(**runs)
        side = SidePen(
            store=self.store,
            receipts=Receipts(self.store),
            clock=self.clock,
            bench_pen=lambda _visit: None,
        )
        bands = OwnBands(
            store=self.store,
            book=FakeBook(),
            pen=side,
            on_bench=lambda _visit: None,
            clock=self.clock,
        )
        self.desk = MachineDesk(
            "m1",
            store=self.store,
            runs=self.runs,  # type: ignore[arg-type]
            side=side,
            clock=self.clock,
            units=UNITS,
            on_bench=lambda: self.on_bench,
            bands=bands,
        )

    def until(self, holds: Callable[[MachinePageView], bool]) -> MachinePageView:
        """Tick until a view is as asked."""
        end = time.monotonic() + PATIENCE_S
        while not holds(self.desk.view()):
            assert time.monotonic() < end, self.desk.view()
            self.desk.tick()
            time.sleep(0.001)
        return self.desk.view()

    def read(self) -> MachinePageView:
        """The page once the file was read and nothing is under way."""
        return self.until(lambda view: view.file is not None and not self.desk.busy)

    def later(self) -> None:
        """Time to look again."""
        self.clock.pass_by(LOOK_EVERY_S)


def two() -> tuple[Season, Season]:
    """A closed visit and an open one."""
    first, now = Season(2025), Season(2026)
    first.take("coil", 6500.0)
    now.take("coil", 6520.0)
    return first.close(), now


def test_the_file_is_read_in_a_thread_and_says_so_meanwhile() -> None:
    """The view never waits."""
    rig = Rig(*two())
    assert rig.desk.view().busy_text == "Reading the file"
    view = rig.read()
    assert view.file is not None
    assert [card.visit_id for card in view.file.visits] == ["v202606", "v202506"]
    assert (view.enter_visit_id, view.busy_text) == ("v202606", "")
    rig.desk.close()


def test_enter_goes_on_with_the_open_visit_or_opens_one() -> None:
    """In words: today's slip, an older one's number, a new visit."""
    first, now = two()
    assert Rig(first, now).read().enter_text == "Open today’s slip"
    old = Season(2025)
    assert Rig(old).read().enter_text == "Go on with slip 202506"
    closed = Rig(first).read()
    assert (closed.enter_text, closed.enter_visit_id) == ("New visit", "")


def test_nothing_is_read_again_until_something_was_written() -> None:
    """The same file, whatever time passes; then the new one."""
    rig = Rig(*two())
    before = rig.read().file
    rig.later()
    assert rig.read().file is before
    late = Season(2026, month=7)
    rig.store.submit_visit(late.visit.header)
    rig.later()
    view = rig.until(lambda view: view.file is not before)
    assert view.file is not None
    assert len(view.file.visits) == 3
    now = rig.store.headers["v202606"]
    rig.store.submit_machine(replace(now.machine, unit="sprayer"))
    rig.later()
    rig.until(lambda view: view.file is not None and view.file.title.endswith("sprayer"))


def test_what_is_in_pencil_on_the_bench_shows_at_once() -> None:
    """No second has passed, and the store has nothing of it."""
    first, now = two()
    rig = Rig(first)
    rig.read()
    rig.on_bench = now.visit
    view = rig.until(lambda view: view.file is not None and len(view.file.visits) == 2)
    assert view.file is not None
    assert view.file.quantities[0].rows[-1].value == "6.52"
    now.take("cap", 4380.0)
    rig.until(lambda view: view.file is not None and len(view.file.quantities) == 2)


def test_a_machine_that_is_not_there_is_said() -> None:
    """In one line, and looked for again."""
    rig = Rig(store=FakeStore())
    view = rig.until(lambda view: bool(view.trouble))
    assert "no machine 'm1'" in view.trouble
    assert view.file is None
    now = two()[1]
    rig.store.submit_visit(now.visit.header)
    rig.later()
    assert rig.read().trouble == ""


class Away(FakeStore):
    """A store whose server goes away."""

    away = False

    def entry_counts(self, machine_id: str) -> tuple[tuple[str, int], ...]:
        if self.away:
            raise StoreError("the shop’s database cannot be reached")
        return super().entry_counts(machine_id)


def test_a_server_that_is_lost_leaves_the_file_that_was_read() -> None:
    """With a line that says so, gone when it is back."""
    store = Away()
    for season in two():
        store.submit_visit(season.visit.header)
        store.submit(*season.visit.entries)
    rig = Rig(store=store)
    rig.read()
    store.away = True
    rig.later()
    view = rig.until(lambda view: bool(view.trouble))
    assert view.file is not None
    store.away = False
    rig.later()
    rig.until(lambda view: not view.trouble)


# --- notes and marks ------------------------------------------------------------------------------


def test_a_note_goes_to_the_open_visit_and_shows() -> None:
    """The field says where it goes."""
    rig = Rig(*two())
    assert rig.read().note_text == "Note, on the visit of 9 Jun 2026, open"
    rig.desk.note("  belt guard \n cracked ")
    view = rig.until(
        lambda view: (
            view.file is not None
            and any(line.text == "belt guard cracked" for line in view.file.visits[0].lines)
        )
    )
    assert view.said == "Noted on slip 202606"


def test_a_note_goes_to_the_newest_visit_where_all_are_closed() -> None:
    """A closed visit may carry one."""
    rig = Rig(two()[0])
    rig.read()
    rig.desk.note("drain it for winter")
    rig.until(lambda view: view.file is not None and view.file.visits[0].lines[-1].label == "Note")


def test_a_note_that_cannot_be_kept_is_refused() -> None:
    """Empty, a book, and one of a machine that never came."""
    rig = Rig(*two())
    rig.read()
    with pytest.raises(InputError, match="type what"):
        rig.desk.note("  ")
    with pytest.raises(InputError, match="up to 2000"):
        rig.desk.note("x" * 2001)
    store = FakeStore()
    store.submit_machine(two()[0].visit.header.machine)
    bare = Rig(store=store)
    assert bare.read().note_text == ""
    with pytest.raises(StepError, match="no visit"):
        bare.desk.note("hello")


def test_a_part_is_marked_known_good_and_set_aside_with_the_reason() -> None:
    """By the visit that is selected; the row says so."""
    rig = Rig(*two())
    rig.read()
    rig.desk.mark("coil", "v202506")

    def row(view: MachinePageView, place: int = 0):  # type: ignore[no-untyped-def]  # noqa: ANN202
        assert view.file is not None
        return view.file.quantities[0].rows[place]

    view = rig.until(lambda view: row(view).good)
    assert view.said.startswith("Known good: ")
    assert row(view).mark_text == "Known good"
    assert not row(view, 1).good
    with pytest.raises(InputError):
        rig.desk.set_aside("coil", "v202506", "")
    rig.desk.set_aside("coil", "v202506", "wet boot")
    view = rig.until(lambda view: not row(view).good)
    assert row(view).remark == "Set aside: wet boot"
    with pytest.raises(StepError, match="nothing was taken"):
        rig.desk.mark("cap", "v202506")


# --- runs -----------------------------------------------------------------------------------------


def run_of(season: Season) -> str:
    """A heat run with its start, whose samples are kept."""
    stamp = season.stamp()
    run_id = f"run{season.visit.header.id}"
    season.add(RunStarted(stamp=stamp, check_key="heat_run", run_id=run_id, plan=HEAT))
    season.run()
    ended = season.visit.entries[-1]
    assert isinstance(ended, RunEnded)
    head = season.visit.header
    entries = (*season.visit.entries[:-1], replace(ended, run_id=run_id))
    season.visit = Visit(head, entries)
    return run_id


def test_runs_are_laid_over_each_other_the_newest_strong() -> None:
    """One in ohms comes in the kilo-ohms of the strong one; a run without samples has a row."""
    seasons = Season(2023), Season(2024), Season(2025), Season(2026)
    ids = [run_of(season) for season in seasons]
    for season in seasons:
        season.close()
    rig = Rig(*seasons, **{ids[0]: 990.0, ids[1]: 6500.0, ids[3]: 6600.0})
    rig.read()
    with pytest.raises(StepError, match="no run"):
        rig.desk.lay_over("coil")
    rig.desk.lay_over("heat_run")
    runs = rig.until(lambda view: view.runs is not None and view.runs.plot is not None).runs
    assert runs is not None
    assert runs.plot is not None
    assert [(one.run_id, one.selected) for one in runs.rows] == [
        (run_id, run_id == ids[3]) for run_id in ids
    ]
    assert runs.title == "Heat run: 4 runs"
    (strong,) = runs.plot.tracks
    assert (strong.unit, float(strong.low[0])) == ("kΩ", 6.6)
    assert [(t.unit, t.dash) for t in runs.plot.overlay] == [("kΩ", 0), ("kΩ", 1)]
    assert float(runs.plot.overlay[0].low[0]) == pytest.approx(0.99)


def test_another_run_is_made_the_strong_one_without_reading_again() -> None:
    """And a closer look asks the store for just that stretch."""
    seasons = Season(2023), Season(2024)
    ids = [run_of(season) for season in seasons]
    rig = Rig(*seasons, **{ids[0]: 6500.0, ids[1]: 6600.0})
    rig.read()
    rig.desk.lay_over("heat_run")
    rig.until(lambda view: view.runs is not None and view.runs.plot is not None)
    asked = len(rig.runs.asked)
    rig.desk.lay_over("heat_run", ids[0])
    runs = rig.desk.view().runs
    assert runs is not None
    assert runs.plot is not None
    assert [one.selected for one in runs.rows] == [True, False]
    assert float(runs.plot.tracks[0].low[0]) == 6.5
    assert len(rig.runs.asked) == asked
    near = rig.desk.run_window(10.0, 20.0, 50)
    assert (near.start_s, near.end_s) == (10.0, 20.0)
    assert {(start, end, rows) for _run, start, end, rows in rig.runs.asked[asked:]} == {
        (10.0, 20.0, 50)
    }
    rig.desk.lay_over("")
    assert rig.desk.view().runs is None
    with pytest.raises(NotFoundError):
        rig.desk.run_window(10.0, 20.0, 50)


def test_runs_without_a_line_say_so() -> None:
    """Their words stand all the same."""
    season = Season(2026)
    season.run()
    rig = Rig(season)
    rig.read()
    rig.desk.lay_over("heat_run")
    runs = rig.until(lambda view: view.runs is not None and not view.runs.busy).runs
    assert runs is not None
    assert runs.plot is None
    assert "no samples" in runs.empty_text
    assert runs.rows[0].words
