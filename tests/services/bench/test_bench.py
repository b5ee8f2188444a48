"""The bench: hands-free taking, typing, what is in pencil and what in ink."""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from benchassist.core.band import Verdict
from benchassist.core.entry import LeadsZeroed, Noted, SelfChecked, Taken
from benchassist.core.link import LinkRequest
from benchassist.core.procedure import MeterCard
from benchassist.core.reading import Flag, LinkChange, LinkState, Mode, Reading
from benchassist.core.slip import Ink
from benchassist.core.visit import Visit
from benchassist.errors import StepError
from benchassist.services.bench.bench import Bench
from benchassist.services.bench.taking import MeterSetup
from benchassist.services.bench.view import Ask, NumberState
from benchassist.services.metering.meter import Meter
from benchassist.services.receipt import Receipts
from benchassist.services.settings import Settings
from benchassist.services.slips.slips import conditions_text
from benchassist.units import UnitChoice, read_accuracy
from tests.core.entries import header
from tests.services.fakes import PLAIN, FakeClock, FakeRoom, FakeStore, overload


class Rig:
    """A bench with a fake store and a meter that the test holds in its hands."""

    def __init__(self, *, meter: bool = True, at_once: bool = True) -> None:
        self.clock = FakeClock()
        self.store = FakeStore(at_once=at_once)
        self.room = FakeRoom()
        cards: tuple[MeterCard, ...] = ()
        setup = MeterSetup(name="hand-held", accuracy=read_accuracy("0.8% + 3"))
        self.meter = Meter(self.room, self.clock, cards, setup)
        if meter:
            self.meter.connect(LinkRequest(port="/dev/fake0", protocol="nibble-14"))
            self.meter.keep_match(self.clock.now())
        self.t = 0.0
        self.bench = self.open(Visit(header()), new=True)

    def open(self, visit: Visit, *, new: bool) -> Bench:
        return Bench(
            visit,
            store=self.store,
            receipts=Receipts(self.store),
            clock=self.clock,
            meter=self.meter,
            settings=Settings(shop_celsius=21.0),
            units=UnitChoice(),
            new=new,
        )

    def feed(self, reading: Reading, *, seconds: float = 2.0) -> None:
        """The same reading four times a second, the bench ticking along."""
        for _ in range(int(seconds * 4)):
            self.t += 0.25
            self.clock.pass_by(0.25)
            self.room.links[-1].items.append(replace(reading, t_s=self.t))
            self.bench.tick()

    def touch(self, ohm: float, *, seconds: float = 2.0, resolution: float = 1.0) -> None:
        self.feed(replace(PLAIN, value=ohm, resolution=resolution), seconds=seconds)

    def lift(self, *, seconds: float = 1.0) -> None:
        self.feed(overload(self.t), seconds=seconds)

    def past_the_start(self) -> None:
        """Temperature by one key, leads zeroed, the known resistor read."""
        self.bench.act("submit", "")
        self.touch(0.2, resolution=0.1)
        self.lift()
        self.touch(10_010.0)
        self.lift()

    def taken(self) -> list[Taken]:
        return [e for e in self.bench.visit.entries if isinstance(e, Taken)]


@pytest.fixture
def rig() -> Iterator[Rig]:
    """A bench with a meter linked, closed after the test."""
    made = Rig()
    yield made
    made.meter.disconnect()


def test_opening_asks_temperature_leads_and_known_resistor(rig: Rig) -> None:
    """A new visit begins with one key for the temperature, then the two touches, all by itself."""
    assert rig.bench.view().ask is Ask.TEXT
    rig.past_the_start()
    entries = rig.bench.visit.entries
    assert rig.bench.visit.temperature is not None
    assert rig.bench.visit.temperature.celsius == 21.0
    assert [e.zero.value for e in entries if isinstance(e, LeadsZeroed)] == [0.2]
    known = [e for e in entries if isinstance(e, SelfChecked)]
    assert [k.judgement.verdict for k in known] == [Verdict.IN_BAND]
    assert rig.bench.view().step_text == "Step 1 of 4"


def test_a_statement_typed_for_a_range_goes_with_the_readings_of_that_range(rig: Rig) -> None:
    """Into the doubt and, in the words typed, onto the slip."""
    rig.meter.set_accuracy("0.8% + 3; 20 kohm 1% + 5; 200 ohm 2% + 7")
    rig.past_the_start()
    rig.touch(9100.0)
    (taken,) = rig.taken()
    assert (taken.conditions.accuracy.percent, taken.conditions.accuracy.counts) == (1.0, 5.0)
    assert taken.accuracy_note == "20 kohm 1% + 5"
    said = [*conditions_text(rig.bench.visit, UnitChoice())]
    assert "1 % + 5 counts (20 kohm 1% + 5)" in said[0]


def test_what_is_taken_is_the_middle_of_what_was_steady(rig: Rig) -> None:
    """The last reading before the taking may be a digit gone astray."""
    rig.past_the_start()
    rig.touch(9100.0, seconds=0.75)
    rig.touch(9127.0, seconds=0.75)
    assert [t.reading.value for t in rig.taken()] == [9100.0]


def test_a_steady_touch_is_taken_and_lifting_goes_on(rig: Rig) -> None:
    """Touch, hold still, lift: taken, stored and on to the next step, without a key."""
    rig.past_the_start()
    rig.touch(9100.0)
    assert [t.reading.value for t in rig.taken()] == [9100.0]
    assert rig.bench.view().number.state is NumberState.TAKEN
    assert rig.bench.visit.current.key == "coil_secondary"
    rig.lift()
    assert rig.bench.visit.current.key == "cap"
    assert rig.bench.view().lines[0].ink is Ink.INK


def test_the_same_touch_is_never_taken_twice(rig: Rig) -> None:
    """Held on for a minute, one touch is one reading."""
    rig.past_the_start()
    rig.touch(9100.0, seconds=60.0)
    assert len(rig.taken()) == 1


def test_the_screen_says_taken_only_once_it_is_on_disk() -> None:
    """Until the store has said so the number is being written and the line is in pencil."""
    rig = Rig()
    rig.past_the_start()
    rig.store.at_once = False
    rig.touch(9100.0)
    view = rig.bench.view()
    assert view.number.state is NumberState.WRITING
    assert view.lines[0].ink is Ink.PENCIL
    rig.lift()
    assert rig.bench.visit.current.key == "coil_secondary"
    rig.store.commit()
    rig.bench.tick()
    assert rig.bench.view().lines[0].ink is Ink.INK
    rig.meter.disconnect()


def test_a_refused_write_stays_in_pencil_and_is_tried_again() -> None:
    """The reason stands in one line; nothing is lost; the next try turns all of it to ink."""
    rig = Rig()
    rig.past_the_start()
    rig.store.why = "the disk is full"
    rig.touch(9100.0)
    view = rig.bench.view()
    assert "the disk is full" in view.banner
    assert view.lines[0].ink is Ink.PENCIL
    rig.store.why = ""
    rig.touch(9100.0, seconds=3.0)
    assert rig.bench.view().banner == ""
    assert rig.bench.view().lines[0].ink is Ink.INK
    assert any(isinstance(e, Taken) for e in rig.store.entries[rig.bench.visit.header.id])
    rig.meter.disconnect()


def test_overload_is_taken_by_key_only_after_the_probes_were_seen_together(rig: Rig) -> None:
    """An open is never taken by itself, and by key only once the leads are proved."""
    rig.past_the_start()
    rig.bench.act("goto", "stop_insulation")
    rig.clock.pass_by(120.0)
    rig.t += 120.0
    rig.lift(seconds=5.0)
    assert rig.taken() == []
    with pytest.raises(StepError, match="touch the probes"):
        rig.bench.act("take")
    rig.touch(0.2, resolution=0.1, seconds=1.0)
    rig.lift(seconds=2.0)
    assert rig.taken() == []
    rig.bench.act("take")
    assert [t.judgement.verdict for t in rig.taken()] == [Verdict.IN_BAND]
    assert rig.taken()[0].leads_proved


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"flags": frozenset({Flag.HOLD})}, "HOLD"),
        ({"flags": frozenset({Flag.REL})}, "REL"),
        ({"flags": frozenset({Flag.MAX})}, "MIN/MAX"),
        ({"mode": Mode.DIODE}, "diode"),
        ({"mode": Mode.CONTINUITY}, "beeper"),
    ],
)
def test_a_flag_or_a_wrong_function_bars_taking(
    rig: Rig, change: dict[str, object], says: str
) -> None:
    """Neither by itself nor by key; the line says what to do on the meter."""
    rig.past_the_start()
    rig.feed(replace(PLAIN, value=9100.0, **change), seconds=5.0)  # type: ignore[arg-type]
    assert rig.taken() == []
    with pytest.raises(StepError, match=says):
        rig.bench.act("take")
    assert rig.taken() == []


def test_a_meter_that_cannot_tell_is_not_taken_by_itself() -> None:
    """0.00 kΩ on a coarse range is held, never taken unasked; by key it is kept as that."""
    rig = Rig()
    rig.past_the_start()
    rig.bench.visit.procedure.check("coil_secondary")
    rig.touch(12_000.0, resolution=10_000.0, seconds=5.0)
    assert rig.taken() == []
    rig.bench.act("take")
    assert [t.judgement.verdict for t in rig.taken()] == [Verdict.CANNOT_TELL]
    rig.meter.disconnect()


def test_redo_strikes_and_takes_again_after_lifting(rig: Rig) -> None:
    """Backspace strikes what was taken; it stays on the slip, and a new touch is taken."""
    rig.past_the_start()
    rig.touch(9100.0)
    rig.bench.act("redo")
    assert rig.bench.view().lines[0].ink is Ink.STRUCK
    rig.touch(9100.0, seconds=3.0)
    assert len(rig.taken()) == 1, "the same touch is not taken again"
    rig.lift()
    rig.touch(9200.0)
    assert [t.reading.value for t in rig.taken()] == [9100.0, 9200.0]
    inks = [line.ink for line in rig.bench.view().lines if line.number == 1]
    assert inks == [Ink.STRUCK, Ink.INK]


def test_a_stale_reading_cannot_be_taken(rig: Rig) -> None:
    """With no news for two seconds the number is old, struck through, and no key takes it."""
    rig.past_the_start()
    rig.bench.act("goto", "coil_secondary")
    rig.touch(9100.0, seconds=0.75)
    rig.clock.pass_by(6.0)
    rig.bench.tick()
    number = rig.bench.view().number
    assert number.state is NumberState.STALE
    assert "6 s" in number.jaw_word
    with pytest.raises(StepError, match="no live reading"):
        rig.bench.act("take")


def test_nothing_crosses_a_reconnect(rig: Rig) -> None:
    """A lost link empties the window: readings from before do not count after."""
    rig.past_the_start()
    rig.touch(9100.0, seconds=0.75)
    rig.room.links[-1].items.append(LinkChange(t_s=rig.t, channel="A", state=LinkState.LOST))
    rig.bench.tick()
    assert rig.bench.view().number.digits == ""
    rig.room.links[-1].items.append(LinkChange(t_s=rig.t, channel="A", state=LinkState.LIVE))
    rig.touch(9100.0, seconds=0.75)
    assert rig.taken() == []
    rig.touch(9100.0, seconds=1.0)
    assert len(rig.taken()) == 1


def test_the_marking_is_asked_before_the_cap_is_taken(rig: Rig) -> None:
    """No reading is taken at the cap while its marking is not known."""
    rig.past_the_start()
    rig.bench.act("goto", "cap")
    rig.touch(4900.0, seconds=3.0)
    assert rig.taken() == []
    view = rig.bench.view()
    assert view.ask is Ask.OPTION
    assert [c.text for c in view.choices] == ["5 kΩ", "No marking"]
    rig.bench.act("choose", "1")
    rig.touch(4900.0, seconds=3.0)
    assert [t.judgement.verdict for t in rig.taken()] == [Verdict.IN_BAND]


def test_typing_takes_with_the_unit_of_the_step() -> None:
    """Without a meter the digits are typed: count, unit and verdict follow from them."""
    rig = Rig(meter=False)
    rig.bench.act("submit", "")
    rig.bench.act("type")
    rig.bench.act("submit", "0.2")
    rig.bench.act("type")
    rig.bench.act("submit", "10.01")
    rig.bench.tick()
    rig.bench.act("type")
    rig.bench.act("submit", "9.10")
    rig.bench.tick()
    one = rig.taken()[0]
    assert (one.reading.value, one.reading.resolution) == (9100.0, 10.0)
    assert one.judgement.verdict is Verdict.IN_BAND
    assert rig.bench.visit.current.key == "cap"
    assert rig.bench.view().lines[0].typed


@pytest.mark.parametrize(
    "text", ["4.7 V", "nan", "1e400", "1.2.3", "10,160", "", "nonsense", "10 mm"]
)
def test_nonsense_is_one_line_and_takes_nothing(text: str) -> None:
    """A typed line that is no ohms stays, with what would be right; the bench goes on."""
    rig = Rig(meter=False)
    rig.bench.act("submit", "")
    rig.bench.act("skip")
    rig.bench.act("skip")
    rig.bench.act("type")
    rig.bench.act("submit", text)
    error = rig.bench.view().text_error
    assert error
    assert "\n" not in error
    assert rig.taken() == []
    rig.bench.act("submit", "9.10k")
    assert len(rig.taken()) == 1


@pytest.mark.parametrize("text", ["-300", "900", "warm", "20 V"])
def test_an_impossible_temperature_is_refused(text: str) -> None:
    """A part on the bench is between -40 and 300 °C."""
    rig = Rig(meter=False)
    rig.bench.act("submit", text)
    assert rig.bench.view().text_error
    assert rig.bench.visit.temperature is None


def test_closing_and_coming_back_stands_at_the_same_check(rig: Rig) -> None:
    """What the store kept replays to the same check with the same lines."""
    rig.past_the_start()
    rig.touch(9100.0)
    rig.lift()
    rig.bench.act("note")
    rig.bench.act("submit", "lead end green")
    again = rig.open(Visit(*rig.store.visit(rig.bench.visit.header.id)), new=False)
    assert again.visit.current.key == "cap"
    assert again.view().lines == rig.bench.view().lines
    assert again.view().lines[1].notes == ("lead end green",)
    assert any(isinstance(e, Noted) for e in again.visit.entries)


def test_the_visit_closes_only_with_the_wire_back_and_the_resistor_read(rig: Rig) -> None:
    """Closing goes by way of what is still open."""
    rig.past_the_start()
    rig.touch(9100.0)
    rig.lift()
    rig.bench.act("goto", "stop_insulation")
    rig.touch(0.2, resolution=0.1, seconds=1.0)
    rig.lift(seconds=1.0)
    rig.bench.act("take")
    rig.bench.tick()
    with pytest.raises(StepError, match="plugged back"):
        rig.bench.act("close_visit")
    assert rig.bench.visit.current.key == "stop_wire_back"
    rig.bench.act("choose", "1")
    rig.bench.tick()
    rig.bench.act("close_visit")
    assert rig.bench.view().title == "Known resistor"
    rig.touch(10_010.0)
    assert rig.bench.visit.closed


def test_an_unknown_key_says_so(rig: Rig) -> None:
    """A key that does nothing here is a line, not a crash."""
    with pytest.raises(StepError, match="nothing to do"):
        rig.bench.act("dance")


def test_probes_held_together_for_proof_are_no_reading_of_the_part(rig: Rig) -> None:
    """Where an open is expected, proving the leads takes nothing, however long it is held."""
    rig.past_the_start()
    rig.bench.act("goto", "stop_insulation")
    rig.touch(0.2, resolution=0.1, seconds=6.0)
    assert rig.taken() == []
    assert rig.bench.view().number.jaw_word == "Leads proved"


def test_an_open_taken_by_key_goes_on_at_once(rig: Rig) -> None:
    """Lifting cannot be told from an open, so the next step does not wait for it."""
    rig.past_the_start()
    rig.bench.act("goto", "stop_insulation")
    rig.touch(0.2, resolution=0.1, seconds=1.0)
    rig.lift()
    rig.bench.act("take")
    rig.lift(seconds=0.5)
    assert rig.bench.visit.current.key == "stop_wire_back"


def test_a_label_far_below_the_axis_keeps_the_unit_of_the_display(rig: Rig) -> None:
    """0.20 Ω on an axis in megohms is not written with eight zeros."""
    rig.past_the_start()
    rig.bench.act("goto", "stop_insulation")
    rig.feed(replace(PLAIN, value=0.3, resolution=0.1, full_scale=220.0, exponent=0), seconds=1.0)
    ruler = rig.bench.view().ruler
    assert ruler is not None
    assert ruler.reading_label.endswith("Ω")
    assert "0.000" not in ruler.reading_label


def test_copper_asks_for_the_temperature_and_doubts_it_where_nobody_says() -> None:
    """Without a temperature the winding is judged with ten kelvin of doubt, and it is asked for."""
    rig = Rig(meter=False)
    rig.bench.act("cancel")
    rig.bench.act("skip")
    rig.bench.act("skip")
    assert rig.bench.view().text_label == "Part temperature"
    rig.bench.act("cancel")
    rig.bench.act("type")
    rig.bench.act("submit", "9.10")
    unsure = rig.taken()[0].judgement
    rig.bench.act("temperature")
    rig.bench.act("submit", "21")
    rig.bench.act("goto", "coil_secondary")
    rig.bench.act("redo")
    rig.bench.act("type")
    rig.bench.act("submit", "9.10")
    sure = rig.taken()[1].judgement
    assert unsure.dominant == "temperature"
    assert unsure.expanded_uncertainty is not None
    assert sure.expanded_uncertainty is not None
    assert unsure.expanded_uncertainty > 2.0 * sure.expanded_uncertainty


def test_an_open_is_no_verdict_before_a_key_makes_it_one(rig: Rig) -> None:
    """Probes in the air show the same as an open part, so nothing is said 'so far'."""
    rig.past_the_start()
    rig.touch(0.2, resolution=0.1, seconds=1.0)
    rig.lift()
    view = rig.bench.view()
    assert view.number.state is NumberState.OVERLOAD
    assert view.verdict is None
    assert all(line.value != "Open" for line in view.lines)


def test_while_the_meter_is_lost_the_key_to_press_is_typing(rig: Rig) -> None:
    """Yellow means only the key to press now, and there is nothing live to take."""
    rig.past_the_start()
    assert next(k.press for k in rig.bench.view().keys if k.main) == "Space"
    rig.room.links[-1].items.append(LinkChange(t_s=rig.t, channel="A", state=LinkState.LOST))
    rig.bench.tick()
    assert next(k.press for k in rig.bench.view().keys if k.main) == "M"
