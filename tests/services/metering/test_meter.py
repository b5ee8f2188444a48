"""The shop's meter: linked, its card and statement, and the leads zeroed only on good grounds."""

import gc
import sys
from dataclasses import replace

import pytest

from benchassist.core.accuracy import WORST_CASE
from benchassist.core.link import LinkRequest
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, LinkChange, LinkState, Mode, Reading
from benchassist.core.steady import Phase
from benchassist.errors import InputError, StepError
from benchassist.services.bench.taking import MeterSetup
from benchassist.services.metering.meter import Meter
from tests.services.fakes import PLAIN, FakeClock, FakeRoom, overload
from tests.services.rig import CARD, OTHER_CARD, REQUEST, STATED


class Rig:
    """A meter whose link the test feeds four times a second."""

    def __init__(self) -> None:
        self.clock, self.room = FakeClock(), FakeRoom()
        self.meter = Meter(self.room, self.clock, (CARD, OTHER_CARD), MeterSetup())
        self.meter.connect(REQUEST)
        self.meter.expect(Quantity.RESISTANCE)
        self.t = 0.0

    def feed(self, reading: Reading, *, seconds: float = 2.0) -> None:
        """The same reading for a while."""
        for _ in range(int(4 * seconds)):
            self.t += 0.25
            self.clock.pass_by(0.25)
            self.hear(replace(reading, t_s=self.t))

    def hear(self, item: Reading | LinkChange) -> None:
        """One thing comes in."""
        self.room.links[-1].items.append(item)
        self.meter.take_in()


@pytest.fixture
def rig() -> Rig:
    """A linked meter."""
    return Rig()


def leads(ohm: float, *, resolution: float = 0.1) -> Reading:
    """What the probes show held together."""
    return replace(PLAIN, value=ohm, resolution=resolution, full_scale=200.0, exponent=0)


# --- link ---------------------------------------------------------------------------------------


def test_connecting_again_closes_the_link_before(rig: Rig) -> None:
    """One meter, one link; what the last one showed is forgotten."""
    rig.feed(leads(0.2))
    assert rig.meter.live is not None
    assert rig.meter.leads_proved()
    rig.meter.connect(replace(REQUEST, port="/dev/fake1"))
    assert rig.room.links[0].closed
    assert rig.meter.live is None
    assert not rig.meter.leads_proved()
    assert rig.meter.now_steady.phase is Phase.EMPTY


@pytest.mark.parametrize("seconds", [6, pytest.param(60, marks=pytest.mark.long)])
@pytest.mark.parametrize("wander", [0.0, 30.0], ids=["steady", "moving"])
def test_a_flood_leaves_memory_flat(rig: Rig, wander: float, seconds: int) -> None:
    """A hundred times what a 19,200 baud line carries, drained ten times a second."""
    held = []
    last = 10 * seconds - 1
    for tick in range(last + 1):
        if tick in {40, last}:
            gc.collect()
            held.append(sys.getallocatedblocks())
        rig.clock.pass_by(0.1)
        shown = (
            replace(PLAIN, value=4000.0 + wander * (i % 3), t_s=(tick + i / 1371) / 10)
            for i in range(1371)
        )
        rig.room.links[-1].items.extend(shown)
        rig.meter.take_in()
    assert held[1] - held[0] < 200
    phase = Phase.MOVING if wander else Phase.STEADY
    assert rig.meter.now_steady.phase is phase


def test_without_a_link_there_is_nothing(rig: Rig) -> None:
    """No reading, no age, no period; the state says closed."""
    rig.meter.disconnect()
    meter = rig.meter
    assert (meter.linked, meter.live, meter.age, meter.period) == (False, None, None, None)
    assert (meter.link_state, meter.detail, meter.take_in()) == (LinkState.CLOSED, "", ())
    assert (meter.trouble, meter.leads_proved()) == ("", False)


def test_a_line_that_is_refused_leaves_no_link_half_open(rig: Rig) -> None:
    """The room says what is wrong; the meter is not linked."""

    class Refusing(FakeRoom):
        def open(self, request: LinkRequest) -> None:  # type: ignore[override]
            raise InputError(f"Line setting '{request.line}': write baud, bits, parity and stop")

    rig.meter._room = Refusing()  # type: ignore[assignment]
    with pytest.raises(InputError, match="banana"):
        rig.meter.connect(replace(REQUEST, line="banana"))
    assert not rig.meter.linked
    assert rig.meter.request is None


def test_a_port_that_never_opened_says_why(rig: Rig) -> None:
    """Not 'meter lost': it was never there. A meter that was heard before is lost."""
    gone = "Port /dev/fake1 is not there: plug the meter's lead in"
    rig.room.links[-1].items.clear()
    rig.meter.channel.has_lived = False  # type: ignore[union-attr]
    for state in (LinkState.LOST, LinkState.WAITING):
        rig.hear(LinkChange(t_s=0.0, channel="A", state=state, detail=gone))
        assert rig.meter.trouble == gone
    rig.hear(LinkChange(t_s=0.0, channel="A", state=LinkState.LIVE))
    assert rig.meter.trouble == ""
    rig.hear(LinkChange(t_s=0.0, channel="A", state=LinkState.LOST, detail="device gone"))
    assert rig.meter.trouble.startswith("Meter lost")


def test_a_reader_that_failed_is_not_silent(rig: Rig) -> None:
    """A link that closed by itself says why."""
    detail = "The reader of this meter failed: close the link and open it anew"
    rig.hear(LinkChange(t_s=0.0, channel="A", state=LinkState.CLOSED, detail=detail))
    assert rig.meter.trouble == detail


def test_silence_empties_the_window(rig: Rig) -> None:
    """What was steady before a silence is not steady after it."""
    rig.feed(leads(0.2))
    assert rig.meter.now_steady.phase is Phase.STEADY
    rig.clock.pass_by(3.0)
    rig.meter.take_in()
    assert rig.meter.now_steady.phase is Phase.EMPTY
    assert rig.meter.live is None


# --- leads --------------------------------------------------------------------------------------


def test_probes_held_together_and_steady_are_a_zero(rig: Rig) -> None:
    """Value, count, range and accuracy of that moment."""
    rig.meter.choose_card(CARD)
    rig.feed(leads(0.2))
    zero = rig.meter.zero_leads()
    assert (zero.value, zero.resolution, zero.full_scale, zero.accuracy) == (
        0.2,
        0.1,
        200.0,
        STATED,
    )
    assert rig.meter.zeroed is not None
    assert (rig.meter.zeroed.zero, rig.meter.zeroed.at) == (zero, rig.clock.now())


@pytest.mark.parametrize(
    ("reading", "seconds", "says"),
    [
        (None, 0.0, "no live reading"),
        (overload(0.0), 2.0, "the probes are apart"),
        (leads(0.2), 0.5, "not steady yet"),
        (leads(0.9), 2.0, "0.90 Ω is too much for leads"),
        (leads(5000.0), 2.0, "too much for leads"),
        (leads(-0.9), 2.0, "-0.90 Ω is too much for leads"),
        (replace(leads(0.2), quantity=Quantity.VOLTAGE), 2.0, "set the meter to ohms"),
        (replace(leads(0.2), mode=Mode.CONTINUITY), 2.0, "set the meter to ohms"),
        (replace(leads(0.2), mode=Mode.DIODE), 2.0, "set the meter to ohms"),
        (replace(leads(0.2), flags=frozenset({Flag.HOLD})), 2.0, "not steady yet"),
        (replace(leads(0.2), flags=frozenset({Flag.REL})), 2.0, "not steady yet"),
    ],
)
def test_a_zero_on_bad_grounds_is_refused(
    rig: Rig, reading: Reading | None, seconds: float, says: str
) -> None:
    """Nothing live, above range, moving, worn leads, another function, HOLD or REL: one line."""
    if reading is not None:
        rig.feed(reading, seconds=seconds)
    with pytest.raises(StepError, match=says):
        rig.meter.zero_leads()
    assert rig.meter.zeroed is None


def test_a_moving_number_is_no_zero(rig: Rig) -> None:
    """Probes that slip on each other."""
    for ohm in (0.2, 0.9, 0.3, 0.7, 0.2, 0.8):
        rig.feed(leads(ohm), seconds=0.25)
    with pytest.raises(StepError, match="not steady yet"):
        rig.meter.zero_leads()


def test_a_coarse_range_may_show_more(rig: Rig) -> None:
    """Two counts of the range are no fault of the leads."""
    rig.feed(leads(20.0, resolution=10.0))
    assert rig.meter.zero_leads().value == 20.0
    rig.feed(leads(30.0, resolution=10.0))
    with pytest.raises(StepError, match="up to 20 Ω"):
        rig.meter.zero_leads()


def test_a_refused_zero_leaves_the_one_before(rig: Rig) -> None:
    """What was zeroed stays zeroed."""
    rig.feed(leads(0.2))
    before = rig.meter.zero_leads()
    rig.feed(leads(0.9), seconds=3.0)
    with pytest.raises(StepError):
        rig.meter.zero_leads()
    assert rig.meter.zeroed is not None
    assert rig.meter.zeroed.zero is before


def test_the_probes_prove_the_leads_for_a_minute(rig: Rig) -> None:
    """Held together on this link, and not longer ago than sixty seconds."""
    assert not rig.meter.leads_proved()
    rig.feed(leads(0.2), seconds=0.5)
    assert rig.meter.leads_proved()
    rig.feed(overload(0.0), seconds=60.0)
    assert rig.meter.leads_proved()
    rig.feed(overload(0.0), seconds=0.5)
    assert not rig.meter.leads_proved()


# --- what is known of it ------------------------------------------------------------------------


def test_a_typed_statement_wins_over_the_card_and_gives_way_to_a_new_one(rig: Rig) -> None:
    """In the set-up and on the link at once."""
    reading = replace(PLAIN, value=4.38e3, resolution=10.0, full_scale=20e3)
    rig.meter.choose_card(CARD)
    channel = rig.meter.channel
    assert channel is not None
    assert channel.setup.accuracy_of(reading) == STATED
    rig.meter.set_accuracy("0.5% + 2")
    assert channel.setup.accuracy_of(reading).percent == 0.5
    assert channel.setup.accuracy_note == "0.5% + 2"
    rig.meter.choose_card(OTHER_CARD)
    assert channel.setup.accuracy is None
    assert (channel.setup.name, channel.setup.accuracy_note) == ("Bench instrument", "")


def test_an_empty_statement_goes_back_to_the_card(rig: Rig) -> None:
    """And without a card to the worst case."""
    reading = replace(PLAIN, value=4.38e3, resolution=10.0, full_scale=20e3)
    rig.meter.set_accuracy("0.5% + 2")
    rig.meter.set_accuracy("  ")
    assert rig.meter.setup.accuracy_of(reading) == WORST_CASE
    rig.meter.choose_card(CARD)
    rig.meter.set_accuracy("0.5% + 2")
    rig.meter.set_accuracy("")
    assert rig.meter.setup.accuracy_of(reading) == STATED


def test_a_meter_without_a_card_goes_by_its_family(rig: Rig) -> None:
    """Something stands on the slip in any case."""
    assert rig.meter.channel is not None
    assert rig.meter.channel.setup.name == "nibble-14"
    rig.meter.choose_card(None)
    assert rig.meter.channel.setup.name == "nibble-14"


def test_a_statement_that_cannot_be_read_changes_nothing(rig: Rig) -> None:
    """The one before holds on."""
    rig.meter.set_accuracy("0.5% + 2")
    with pytest.raises(InputError):
        rig.meter.set_accuracy("very good")
    assert rig.meter.setup.accuracy_note == "0.5% + 2"
