"""Marking parts known-good, and the bands they make, over a whole shop."""

from dataclasses import replace
from pathlib import Path

import pytest

from benchassist.core.band import Band, Verdict
from benchassist.core.entry import Closed, PartMarked
from benchassist.core.own_band import Sides
from benchassist.core.own_mark import MarkedReading
from benchassist.core.quantity import Quantity
from benchassist.core.visit import Visit
from benchassist.errors import InputError, NotFoundError, StepError, StoreError
from benchassist.services.record.band_look import Look
from benchassist.services.record.learned_bands import KEPT_FOR
from benchassist.services.record.own_bands import OwnBands
from benchassist.services.record.part_mark import Said, marking_of
from benchassist.services.settings import Settings
from tests.core import entries
from tests.services.fakes import FakeStore
from tests.services.good_bin import CAPS, fill, filled, past_visit
from tests.services.rig import ShopRig

FIVE = entries.procedure().check("cap").options[0]
OHMS = Quantity.RESISTANCE


@pytest.fixture
def rig(tmp_path: Path) -> ShopRig:
    """A shop with nothing in it."""
    return ShopRig(tmp_path)


def caps(rig: ShopRig, engine_class: str = "a", marking: str = "5k") -> list[float]:
    """The values that count for caps of a marking."""
    own = rig.shop.own_bands.band(
        "cap", OHMS, engine_class=engine_class, option_key=marking, beside=FIVE.band
    )
    return sorted(part.value or 0.0 for part in own.parts)


def test_a_closed_visit_s_cap_is_marked_and_set_aside_and_back(rig: ShopRig) -> None:
    """Each said in one line and written on the visit; the latest counts."""
    visit = past_visit(1, 5010.0)
    fill(rig.store, visit)
    own, (taken,) = rig.shop.own_bands, visit.taken("cap")
    where = (visit.header.id, taken.stamp.id)
    assert own.marking(*where).said is Said.GOOD
    assert own.set_aside(*where, " lead still on ") == "Set aside: lead still on. It stays on file"
    marking = own.marking(*where)
    assert (marking.said, marking.reason) == (Said.ASIDE, "lead still on")
    assert marking.text == "Set aside: lead still on"
    assert own.mark(*where) == "Known good: Plug cap 5.01 kΩ (In band)"
    kept = Visit(*rig.store.visit(visit.header.id))
    said = [e for e in kept.entries if isinstance(e, PartMarked)]
    assert [(e.good, e.reason) for e in said] == [(True, ""), (False, "lead still on"), (True, "")]
    assert kept.closed


def test_marks_are_refused_in_one_line(rig: ShopRig) -> None:
    """What is no reading, was redone, shows nothing, or is marked already."""
    visit = past_visit(1, 5010.0)
    fill(rig.store, visit)
    own, (taken,) = rig.shop.own_bands, visit.taken("cap")
    where = (visit.header.id, taken.stamp.id)
    with pytest.raises(StepError, match="already"):
        own.mark(*where)
    with pytest.raises(InputError, match="say why"):
        own.set_aside(*where, "  ")
    with pytest.raises(StepError, match="only a reading that was taken"):
        own.mark(visit.header.id, visit.entries[0].stamp.id)
    with pytest.raises(NotFoundError):
        own.mark("no such visit", taken.stamp.id)
    own.set_aside(*where, "borrowed")
    with pytest.raises(StepError, match="not among those known good"):
        own.set_aside(*where, "again")


@pytest.mark.parametrize(
    ("key", "ohms", "why"),
    [("cap", None, "above range"), ("coil_secondary", 0.0, "the meter could not tell")],
)
def test_a_reading_that_says_nothing_marks_nothing(key: str, ohms: float | None, why: str) -> None:
    """An overload is no number, and 0.00 kΩ on its range says nothing of a part of an ohm."""
    visit = entries.visit()
    taken = entries.taken(visit, key, ohms)
    if key == "coil_secondary":
        judged = replace(taken.judgement, verdict=Verdict.CANNOT_TELL)
        taken = replace(taken, judgement=judged)
    visit.apply(taken)
    assert why in marking_of(visit, taken.stamp.id).refusal


def test_a_value_its_own_doubt_may_have_made_marks_nothing() -> None:
    """Where no band asks the meter, 0.02 kΩ ±0.05 is no part of twenty ohms; 4.9 kΩ is one."""
    visit = past_visit(1, 20.0, marking="unmarked")
    (taken,) = visit.taken("cap")
    assert taken.band is None
    assert "could not tell" in marking_of(visit, taken.stamp.id).refusal
    other = past_visit(2, 4900.0, marking="unmarked")
    assert marking_of(other, other.taken("cap")[0].stamp.id).refusal == ""


def test_a_step_read_both_ways_round_teaches_nothing() -> None:
    """Electronics read by polarity and meter: no band comes of it."""
    visit = past_visit(1, 5000.0)
    checks = tuple(replace(c, polarities=2) for c in visit.procedure.checks)
    both = Visit(
        replace(visit.header, procedure=replace(visit.procedure, checks=checks)), visit.entries
    )
    assert "both ways round" in marking_of(both, both.taken("cap")[0].stamp.id).refusal


def test_fourteen_marked_caps_make_a_band(rig: ShopRig) -> None:
    """Beside the marking's band, on every class that shares it, in its own marking only."""
    filled(rig.store)
    strangers = [past_visit(50, 10_000.0, marking="10k"), past_visit(51, 5100.0, engine_class="z")]
    fill(rig.store, *strangers, past_visit(52, 4900.0, engine_class="unknown"))
    assert caps(rig) == sorted([*CAPS, 4900.0])
    assert caps(rig, engine_class="unknown") == caps(rig) == caps(rig, engine_class="")
    assert caps(rig, marking="unmarked") == []
    own = rig.shop.own_bands.band("cap", OHMS, engine_class="a", option_key="5k", beside=FIVE.band)
    assert own.band is not None
    assert own.coverage.sides is Sides.BOTH
    assert own.band.low is not None
    assert 4000.0 < own.band.low < min(CAPS)


@pytest.mark.parametrize(
    ("low", "high", "sides"),
    [
        (3000.0, None, Sides.LOW),
        (None, 6000.0, Sides.HIGH),
        (0.0, 6000.0, Sides.HIGH),
        (3000.0, 6000.0, Sides.BOTH),
    ],
)
def test_the_sides_follow_the_band_beside(
    rig: ShopRig, low: float | None, high: float | None, sides: Sides
) -> None:
    """A maker's band with one limit is met by one limit, with the one-sided factor."""
    filled(rig.store)
    beside = Band(quantity=Quantity.RESISTANCE, low=low, high=high)
    own = rig.shop.own_bands.band("cap", OHMS, engine_class="a", option_key="5k", beside=beside)
    assert own.coverage.sides is sides
    assert own.band is not None
    assert (own.band.low is None, own.band.high is None) == (
        sides is Sides.HIGH,
        sides is Sides.LOW,
    )


def test_the_shop_s_settings_set_content_and_confidence(rig: ShopRig) -> None:
    """More content and more confidence make it wider."""
    filled(rig.store)

    def width(settings: Settings) -> float:
        rig.shop.furnish(settings)
        band = rig.shop.own_bands.band(
            "cap", OHMS, engine_class="a", option_key="5k", beside=FIVE.band
        ).band
        assert band is not None
        assert band.low is not None
        assert band.high is not None
        return band.high - band.low

    plain = width(Settings())
    assert width(Settings(own_content=0.99)) > plain
    assert width(Settings(own_confidence=0.99)) > plain
    assert width(Settings(own_content=0.9, own_confidence=0.9)) < plain


def test_what_was_said_counts_before_it_is_on_disk(tmp_path: Path) -> None:
    """The store still writes: the part set aside is out of the band at once."""
    store = FakeStore()
    filled(store)
    rig = ShopRig(tmp_path, store=store)
    assert len(caps(rig)) == 14
    store.at_once = False
    visit = past_visit(3, CAPS[3])
    rig.shop.own_bands.set_aside(visit.header.id, visit.taken("cap")[0].stamp.id, "not sure")
    assert len(caps(rig)) == 13
    store.commit()
    assert len(caps(rig)) == 13


class Counting(FakeStore):
    """Counts how often it is asked for marks, and can be out of reach."""

    def __init__(self) -> None:
        super().__init__()
        self.asked = 0
        self.gone = False

    def part_marks(self, check_key: str) -> tuple[MarkedReading, ...]:
        """As many as there are."""
        self.asked += 1
        if self.gone:
            raise StoreError("the shop does not answer")
        return super().part_marks(check_key)


def test_marks_of_other_benches_are_seen_in_time(tmp_path: Path) -> None:
    """Asked once, and again after a while, not at every look."""
    store = Counting()
    filled(store, CAPS[:13])
    rig = ShopRig(tmp_path, store=store)
    before = store.asked
    assert len(caps(rig)) == len(caps(rig)) == 13
    assert store.asked == before + 1
    fill(store, past_visit(99, 5050.0))
    assert len(caps(rig)) == 13
    rig.clock.pass_by(KEPT_FOR + 1.0)
    assert len(caps(rig)) == 14


def test_a_shop_out_of_reach_has_nothing_beside(tmp_path: Path) -> None:
    """The bench goes on without the line."""
    store = Counting()
    rig = ShopRig(tmp_path, store=store)
    bench = rig.shop.bench(rig.visit())
    store.gone = True
    rig.shop.own_bands.forget()
    assert rig.shop.own_bands.at(bench.visit) == Look()


# --- on the bench ---------------------------------------------------------------------------------


def at_cap(rig: ShopRig) -> str:
    """A visit on the bench at a cap marked 5 kΩ; its id."""
    visit_id = rig.visit()
    bench = rig.shop.bench(visit_id)
    bench.act("submit", "")
    bench.act("goto", "cap")
    bench.act("choose", "1")
    bench.tick()
    return visit_id


def take(rig: ShopRig, visit_id: str, text: str) -> None:
    """Type a reading at the step."""
    bench = rig.shop.bench(visit_id)
    bench.act("goto", "cap")
    bench.act("type")
    bench.act("submit", text)
    bench.tick()
    bench.act("goto", "cap")
    bench.tick()


def hints(rig: ShopRig, visit_id: str) -> dict[str, str]:
    """What the strip offers."""
    return {hint.press: hint.text for hint in rig.shop.bench(visit_id).view().keys}


def test_a_key_marks_the_part_and_takes_it_back_with_a_reason(rig: ShopRig) -> None:
    """G says what was marked; G again asks why not, and Esc leaves it."""
    visit_id = at_cap(rig)
    bench = rig.shop.bench(visit_id)
    assert "G" not in hints(rig, visit_id)
    with pytest.raises(StepError, match="no reading stands"):
        bench.act("mark")
    take(rig, visit_id, "4.98k")
    assert hints(rig, visit_id)["G"] == "Known good"
    bench.act("mark")
    assert bench.view().banner == "Known good: Plug cap 4.98 kΩ (In band)"
    assert hints(rig, visit_id)["G"] == "Unmark"
    bench.act("mark")
    assert bench.view().text_label == "Not known good after all: why"
    bench.act("cancel")
    assert hints(rig, visit_id)["G"] == "Unmark"
    bench.act("mark")
    bench.act("submit", " ")
    assert bench.view().text_error == "say why, such as: read through a wet boot"
    bench.act("submit", "boot was wet")
    bench.tick()
    assert bench.view().banner == "Set aside: boot was wet. It stays on file"
    assert hints(rig, visit_id)["G"] == "Known good"


def test_the_bench_refuses_what_tells_nothing(rig: ShopRig) -> None:
    """A look has no reading; the strip does not offer what would be refused."""
    visit_id = at_cap(rig)
    bench = rig.shop.bench(visit_id)
    bench.act("option")
    bench.act("choose", "2")
    take(rig, visit_id, "0.00k")
    assert "G" not in hints(rig, visit_id)
    with pytest.raises(StepError, match="the meter could not tell"):
        bench.act("mark")
    bench.act("goto", "stop_wire_back")
    bench.act("choose", "1")
    bench.act("goto", "stop_wire_back")
    with pytest.raises(StepError, match="no reading stands"):
        bench.act("mark")


def test_a_closed_visit_takes_marks_on_the_bench(rig: ShopRig) -> None:
    """The key stands on its strip; nothing else of it changes."""
    visit_id = at_cap(rig)
    take(rig, visit_id, "4.98k")
    bench = rig.shop.bench(visit_id)
    bench.pen.write(lambda stamp: Closed(stamp=stamp))
    assert hints(rig, visit_id)["G"] == "Known good"
    bench.act("mark")
    assert bench.visit.closed
    assert isinstance(bench.visit.entries[-1], PartMarked)


def test_the_shop_s_band_stands_beside_and_judges_nothing(rig: ShopRig) -> None:
    """A caliper and a line; the verdict stays that of the marking's band."""
    filled(rig.store)
    visit_id = at_cap(rig)
    ruler = rig.shop.bench(visit_id).view().ruler
    assert ruler is not None
    assert ruler.own_label.startswith("This shop: 4.")
    assert ruler.own_label.endswith("kΩ, from 14 good parts")
    assert (ruler.low, ruler.high) == (3750.0, 6250.0)
    assert ruler.own_low is not None
    assert 3750.0 < ruler.own_low < 5000.0
    take(rig, visit_id, "6.00k")
    view = rig.shop.bench(visit_id).view()
    assert view.verdict is Verdict.IN_BAND
    assert view.ruler is not None
    assert view.ruler.own_high is not None
    assert view.ruler.own_high < 6000.0
    assert view.ruler.band_label == "Band: 3.75 to 6.25 kΩ, marked 5 kΩ"


def test_the_tenth_mark_shows_the_band_as_soon_as_it_is_on_disk(rig: ShopRig) -> None:
    """Nine are none; the mark on the bench makes ten."""
    filled(rig.store, CAPS[:9])
    visit_id = at_cap(rig)
    take(rig, visit_id, "4.98k")
    bench = rig.shop.bench(visit_id)
    ruler = bench.view().ruler
    assert ruler is not None
    assert ruler.own_label == ""
    bench.act("mark")
    bench.tick()
    ruler = bench.view().ruler
    assert ruler is not None
    assert ruler.own_label.endswith("from 10 good parts")


def test_where_no_band_is_in_force_the_line_stands_with_the_reasons(rig: ShopRig) -> None:
    """An unmarked cap is only recorded; what the shop's own say is told in words."""
    fill(rig.store, *(past_visit(i, ohms, marking="unmarked") for i, ohms in enumerate(CAPS)))
    visit_id = rig.visit()
    bench = rig.shop.bench(visit_id)
    bench.act("submit", "")
    bench.act("goto", "cap")
    bench.act("choose", "2")
    view = bench.view()
    assert view.ruler is None
    assert view.reasons[-1].startswith("This shop: 4.")


def test_own_bands_need_no_bench(rig: ShopRig) -> None:
    """Any visit on file can be marked, on a bench or beside it."""
    assert isinstance(rig.shop.own_bands, OwnBands)
    visit_id = at_cap(rig)
    take(rig, visit_id, "4.98k")
    bench = rig.shop.bench(visit_id)
    (taken,) = bench.visit.taken("cap")
    rig.shop.own_bands.mark(visit_id, taken.stamp.id)
    assert marking_of(bench.visit, taken.stamp.id).said is Said.GOOD
