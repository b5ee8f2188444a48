"""Another instrument in a meter's place: told, not trusted, and agreed to by the person alone."""

from dataclasses import replace
from pathlib import Path

import pytest

from benchassist.core.accuracy import WORST_CASE
from benchassist.core.quantity import Quantity
from benchassist.core.reading import LinkChange, LinkState
from benchassist.errors import StepError
from benchassist.services.bench.taking import MeterSetup
from benchassist.services.metering.meter import Meter
from benchassist.services.metering.meter_memory import KnownMeter, MeterMemory
from tests.services.fakes import PLAIN, FakeClock, FakeRoom
from tests.services.rig import CARD, OTHER_CARD, REQUEST, STATED, BenchRig

FIRST, OTHER = "ACORN,BENCH 6,0042,1.0", "ACORN,BENCH 6,0077,1.0"
SHOWN = replace(PLAIN, value=4380.0, resolution=10.0, full_scale=20e3)


class Rig:
    """A matched instrument with its card, its leads zeroed."""

    def __init__(self, memory: MeterMemory | None = None) -> None:
        self.clock, self.room = FakeClock(), FakeRoom()
        self.meter = Meter(self.room, self.clock, (CARD, OTHER_CARD), MeterSetup(), memory=memory)
        self.meter.connect(replace(REQUEST, protocol="scpi"))
        self.room.links[-1].items.clear()
        self.t = 0.0
        self.live(FIRST)
        self.meter.choose_card(CARD)
        self.meter.keep_match(self.clock.now())
        self.meter.expect(Quantity.RESISTANCE)
        for _ in range(8):
            self.hear(0.2)
        self.meter.zero_leads()

    def live(self, identity: str, detail: str = "") -> None:
        """The link comes up with whoever answers."""
        self.say(
            LinkChange(
                t_s=self.t, channel="A", state=LinkState.LIVE, identity=identity, detail=detail
            )
        )

    def replug(self, identity: str) -> None:
        """Lost, then up again."""
        self.say(LinkChange(t_s=self.t, channel="A", state=LinkState.LOST, detail="went away"))
        detail = "" if identity == FIRST else f"Another meter answers: {identity}"
        self.live(identity, detail)

    def hear(self, ohm: float) -> None:
        """A reading a quarter of a second later."""
        self.t += 0.25
        self.clock.pass_by(0.25)
        self.room.links[-1].items.append(replace(PLAIN, t_s=self.t, value=ohm, resolution=0.1))
        self.meter.take_in()

    def say(self, change: LinkChange) -> None:
        """The link says so."""
        self.room.links[-1].items.append(change)
        self.meter.take_in()


@pytest.fixture
def rig() -> Rig:
    """Without a memory."""
    return Rig()


def test_the_same_meter_comes_back_as_it_was(rig: Rig) -> None:
    """Nothing is asked, its match, card and zero hold."""
    zero = rig.meter.zeroed
    rig.replug(FIRST)
    assert rig.meter.acquaintance.question is None
    assert rig.meter.may_take_by_itself
    assert (rig.meter.setup.card, rig.meter.zeroed) == (CARD, zero)
    assert rig.meter.trouble == ""


def test_another_meter_is_told_in_one_line_and_not_trusted(rig: Rig) -> None:
    """No match, no card and no zero of the one before holds for it."""
    before = rig.meter.key
    rig.replug(OTHER)
    meter = rig.meter
    assert meter.trouble == (
        f"Another meter came back: {OTHER}, before it was {FIRST}. Go on with it?"
    )
    assert meter.acquaintance.question is not None
    assert [a.key for a in meter.acquaintance.question.answers] == ["yes", "no"]
    assert (meter.matched_at, meter.zeroed) == (None, None)
    assert not meter.may_take_by_itself
    assert meter.key != before
    assert meter.channel is not None
    assert meter.channel.setup.accuracy_of(SHOWN) == WORST_CASE
    assert meter.channel.setup.name == "scpi"


def test_agreed_to_it_is_a_new_meter(rig: Rig) -> None:
    """Still taken from by key only, until its own display is matched; nothing is said any more."""
    rig.replug(OTHER)
    rig.meter.answer("yes")
    assert rig.meter.acquaintance.question is None
    assert rig.meter.trouble == ""
    assert rig.meter.matched_at is None
    rig.live(OTHER, f"Another meter answers: {OTHER}")
    assert rig.meter.trouble == ""
    rig.meter.keep_match(rig.clock.now())
    assert rig.meter.may_take_by_itself
    rig.replug(OTHER)
    assert rig.meter.acquaintance.question is None
    assert rig.meter.may_take_by_itself
    with pytest.raises(StepError, match="nothing is asked"):
        rig.meter.answer("yes")


def test_not_agreed_to_it_is_unlinked(rig: Rig) -> None:
    """And forgotten."""
    rig.replug(OTHER)
    rig.meter.answer("no")
    assert not rig.meter.linked
    assert rig.room.links[-1].closed
    assert (rig.meter.trouble, rig.meter.acquaintance.question) == ("", None)


def test_the_first_one_back_in_its_place_settles_it(rig: Rig) -> None:
    """What held for it holds again, without a question."""
    matched, zero = rig.meter.matched_at, rig.meter.zeroed
    rig.replug(OTHER)
    rig.replug("THIRD,X,1,1")
    assert "THIRD" in rig.meter.trouble
    rig.replug(FIRST)
    assert rig.meter.acquaintance.question is None
    assert (rig.meter.matched_at, rig.meter.zeroed) == (matched, zero)
    assert rig.meter.channel is not None
    assert rig.meter.channel.setup.accuracy_of(SHOWN) == STATED


def test_matching_its_display_is_agreeing(rig: Rig) -> None:
    """Nobody matches a meter that is not meant."""
    rig.replug(OTHER)
    rig.meter.keep_match(rig.clock.now())
    assert rig.meter.acquaintance.question is None
    assert rig.meter.may_take_by_itself


def test_a_name_that_was_left_out_is_no_other_meter(rig: Rig) -> None:
    """A hand-held never says one."""
    rig.live("", "The meter stands on a function that is not read here: turn its dial")
    assert rig.meter.acquaintance.question is None
    assert rig.meter.may_take_by_itself
    assert rig.meter.trouble.endswith("turn its dial")


def test_one_that_the_shop_knows_is_trusted_once_agreed_to(tmp_path: Path) -> None:
    """Its own match and card, kept from before; nothing was written over it meanwhile."""
    memory = MeterMemory(tmp_path / "meters.json")
    kept = KnownMeter(protocol="scpi", card="bench", matched_at="2026-05-01T08:00:00+00:00")
    memory.keep(f"id:{OTHER}", kept)
    rig = Rig(memory)
    first = memory.recall(f"id:{FIRST}")
    rig.replug(OTHER)
    assert (rig.meter.matched_at, rig.meter.setup.card) == (None, None)
    assert memory.recall(f"id:{OTHER}") == kept
    rig.meter.answer("yes")
    assert rig.meter.may_take_by_itself
    assert rig.meter.setup.card == OTHER_CARD
    assert memory.recall(f"id:{OTHER}") == kept
    assert memory.recall(f"id:{FIRST}") == first


def test_the_bench_says_so_and_takes_nothing_by_itself() -> None:
    """Held still for long; the key still takes, and the slip says that it was not matched."""
    rig = BenchRig()
    rig.past_the_start()
    named = LinkChange(t_s=rig.t, channel="A", state=LinkState.LIVE, identity=FIRST)
    rig.hear(named)
    rig.lift()
    rig.hear(replace(named, identity=OTHER))
    rig.touch(1.0, seconds=5.0, resolution=0.01)
    assert rig.taken() == []
    assert rig.view.banner.startswith("Another meter came back")
    rig.meter.answer("yes")
    rig.meter.keep_match(rig.clock.now())
    rig.lift()
    rig.touch(1.0, seconds=5.0, resolution=0.01)
    assert len(rig.taken()) == 1
