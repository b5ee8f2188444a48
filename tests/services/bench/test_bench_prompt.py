"""Lines typed at the bench: readings, overloads with a range, volt drops, notes, temperatures."""

from dataclasses import replace

import pytest

from benchassist.core.band import Verdict
from benchassist.core.entry import Did, LeadsZeroed, Noted, SelfChecked, TemperatureSet
from benchassist.core.quantity import Quantity
from benchassist.core.slip import Ink
from benchassist.errors import StepError
from benchassist.services.bench.prompt import Purpose
from benchassist.services.bench.taking import VOLT_DROP
from benchassist.services.bench.view import Ask, NumberState
from benchassist.units import LengthUnit, TemperatureUnit, UnitChoice
from tests.services.fakes import PLAIN
from tests.services.rig import CARD, GAP, PRIMARY, BenchRig

ABOUT_91 = pytest.approx(91.2e-3)


@pytest.fixture
def rig() -> BenchRig:
    """No meter: everything is typed. It stands at the coil secondary."""
    made = BenchRig(meter=False)
    made.past_the_start()
    return made


# --- readings -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "value", "resolution"),
    [
        ("9.10", 9100.0, 10.0),
        ("9.10k", 9100.0, 10.0),
        ("9100 ohm", 9100.0, 1.0),
        ("9,1", 9100.0, 100.0),
        ("0.0091M", 9100.0, 100.0),
    ],
)
def test_a_bare_number_has_the_unit_of_the_step(
    rig: BenchRig, text: str, value: float, resolution: float
) -> None:
    """Kilo-ohms at a secondary; the last digit is the count."""
    rig.type(text)
    reading = rig.taken()[0].reading
    assert (reading.value, reading.resolution) == (
        pytest.approx(value),
        pytest.approx(resolution),
    )
    assert reading.channel == "typed"


def test_what_is_typed_is_completed_from_the_meter_card() -> None:
    """A count that only one range has names the range."""
    rig = BenchRig(meter=False, card=CARD)
    rig.past_the_start()
    rig.type("9.10k")
    one = rig.taken()[0]
    assert (one.reading.full_scale, one.meter) == (20e3, CARD.name)


def test_a_faulty_line_stays_with_what_would_be_right(rig: BenchRig) -> None:
    """Still asking, the text as it was typed, and the next line takes."""
    rig.type("9.1 V")
    view = rig.view
    assert view.ask is Ask.TEXT
    assert view.text_error
    assert "\n" not in view.text_error
    assert rig.bench.prompt is not None
    assert rig.bench.prompt.text == "9.1 V"
    rig.bench.act("preview", "9.1")
    assert rig.view.text_error == ""
    rig.say("9.10")
    assert len(rig.taken()) == 1


def test_the_line_so_far_is_judged_while_it_is_typed(rig: BenchRig) -> None:
    """Digits and verdict follow every key; an unfinished line shows none."""
    rig.bench.act("type")
    assert rig.number.state is NumberState.TYPING
    rig.bench.act("preview", "20.00k")
    view = rig.view
    assert (view.number.state, view.number.digits) == (NumberState.TYPED, "20.00")
    assert (view.verdict, view.so_far_text) == (Verdict.OUT_OF_BAND, "so far")
    assert view.lines[0].ink is Ink.PENCIL
    rig.bench.act("preview", "20.00 V")
    assert rig.number.state is NumberState.TYPING
    rig.bench.act("cancel")
    assert rig.taken() == []
    assert rig.view.ask is Ask.READING


def test_nothing_is_submitted_where_nothing_is_typed(rig: BenchRig) -> None:
    """One line says which key begins."""
    with pytest.raises(StepError, match="press M"):
        rig.bench.act("submit", "9.10")


# --- above range --------------------------------------------------------------------------------


def prove(rig: BenchRig) -> None:
    """Type the probes held together."""
    rig.bench.act("zero")
    rig.say("0.2")


def test_an_overload_typed_without_proof_is_refused(rig: BenchRig) -> None:
    """A broken lead looks the same; the line says what to do first."""
    rig.type("OL 20k")
    assert "touch the probes together" in rig.view.text_error
    assert rig.taken() == []


@pytest.mark.parametrize("text", ["OL 20k", "ol 20 kΩ", "O.L 20k", "OL 20", "  OL   20k "])
def test_an_overload_typed_with_its_range_is_open(rig: BenchRig, text: str) -> None:
    """Proved leads and a range above the band: open. A bare range has the unit of the step."""
    prove(rig)
    rig.type(text)
    one = rig.taken()[0]
    assert one.reading.overload
    assert one.reading.full_scale == pytest.approx(20e3)
    assert one.judgement.verdict is Verdict.OUT_OF_BAND
    assert one.leads_proved


def test_an_overload_on_too_low_a_range_proves_nothing(rig: BenchRig) -> None:
    """Nor one whose range is not known."""
    prove(rig)
    rig.type("OL 2k")
    rig.bench.act("goto", "coil_secondary")
    rig.type("OL")
    assert [t.judgement.verdict for t in rig.taken()] == [Verdict.CANNOT_TELL] * 2


@pytest.mark.parametrize("text", ["OL 0", "OL -20k", "OL OL", "OL twenty", "OL 20 V"])
def test_a_range_that_is_none_is_refused(rig: BenchRig, text: str) -> None:
    """One line, nothing taken, and the live line shows no verdict."""
    prove(rig)
    rig.bench.act("type")
    rig.bench.act("preview", text)
    assert rig.number.state is NumberState.TYPING
    rig.say(text)
    assert rig.view.text_error
    assert rig.taken() == []


def test_typed_leads_prove_for_a_minute(rig: BenchRig) -> None:
    """After that they are touched and typed again."""
    prove(rig)
    rig.clock.pass_by(61.0)
    rig.type("OL 20k")
    assert rig.taken() == []
    rig.bench.act("cancel")
    prove(rig)
    rig.type("OL 20k")
    assert len(rig.taken()) == 1


# --- leads and known resistor -------------------------------------------------------------------


def test_leads_and_known_resistor_are_typed_where_there_is_no_meter() -> None:
    """Both open the visit; too much for leads stays on the line."""
    rig = BenchRig(meter=False)
    rig.say("")
    rig.type("5.0")
    assert "too much for leads" in rig.view.text_error
    rig.say("0.2")
    rig.type("10.01")
    entries = rig.bench.visit.entries
    zero = next(e for e in entries if isinstance(e, LeadsZeroed))
    known = next(e for e in entries if isinstance(e, SelfChecked))
    assert (zero.channel, zero.zero.value) == ("typed", 0.2)
    assert known.reading.value == pytest.approx(10_010.0)
    assert known.judgement.verdict is Verdict.IN_BAND


@pytest.mark.parametrize("text", ["OL", "k", "0.2 V", ""])
def test_leads_that_are_no_ohms_are_refused(text: str) -> None:
    """Above range: the probes are not together."""
    rig = BenchRig(meter=False)
    rig.say("")
    rig.type(text)
    assert rig.view.text_error
    assert not any(isinstance(e, LeadsZeroed) for e in rig.bench.visit.entries)


# --- volt drop ----------------------------------------------------------------------------------


@pytest.fixture
def winding() -> BenchRig:
    """At a primary of 0.6 to 1.3 Ω with a hand-held that cannot tell it by ohms."""
    rig = BenchRig(PRIMARY, meter=False, card=CARD)
    rig.past_the_start()
    return rig


def begin_drop(rig: BenchRig) -> None:
    """Hold the reading that cannot tell, then take the offer of the volt-drop method."""
    rig.bench.act("type")
    rig.bench.act("preview", "0.9")
    titles = [fix.title for fix in rig.view.fixes]
    press = next(fix.press for fix in rig.view.fixes if "Volt" in fix.title)
    assert titles
    rig.bench.act("fix", press)


def test_a_volt_drop_is_asked_line_by_line_and_taken(winding: BenchRig) -> None:
    """Current, then volts; R = V / I with the doubt of both."""
    begin_drop(winding)
    assert winding.view.text_label == "Current through the winding"
    winding.bench.act("submit", "98.4")
    assert winding.view.text_label == "Volts across the winding"
    winding.say("91.2")
    one = winding.taken()[0]
    assert one.method == VOLT_DROP
    assert one.reading.value == ABOUT_91
    assert one.second is not None
    assert one.second.value == pytest.approx(98.4e-3)
    assert (one.reading.full_scale, one.second.full_scale) == (0.2, 0.2)
    assert one.judgement.value == pytest.approx(91.2 / 98.4, rel=0.01)
    assert one.judgement.verdict is Verdict.IN_BAND


@pytest.mark.parametrize("text", ["0", "-10 mA", "101", "0.2 A", "OL", "98 V", "much"])
def test_a_current_outside_its_limits_is_refused(winding: BenchRig, text: str) -> None:
    """More than nothing and at most 100 mA."""
    begin_drop(winding)
    winding.say(text)
    assert winding.view.text_error
    assert winding.view.text_label == "Current through the winding"
    winding.say("100 mA")
    assert winding.view.text_label == "Volts across the winding"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("1.6 V", "never a battery direct"),
        ("12 V", "never a battery direct"),
        ("OL", "above range"),
        ("91 mA", ""),
    ],
)
def test_a_voltage_outside_its_limits_is_refused(winding: BenchRig, text: str, says: str) -> None:
    """At most 1.5 V; the current typed before it is still known."""
    begin_drop(winding)
    winding.say("98.4", text)
    assert winding.view.text_error
    assert says in winding.view.text_error
    assert winding.taken() == []
    winding.say("91.2 mV")
    assert len(winding.taken()) == 1


def test_leaving_a_volt_drop_takes_nothing(winding: BenchRig) -> None:
    """At either line."""
    begin_drop(winding)
    winding.bench.act("cancel")
    begin_drop(winding)
    winding.say("98.4")
    winding.bench.act("cancel")
    assert winding.taken() == []
    assert winding.bench.prompt is None


# --- notes, work, temperature -------------------------------------------------------------------


def test_a_note_stands_at_its_step(rig: BenchRig) -> None:
    """Blanks around it are dropped; an empty one is none."""
    rig.bench.act("note")
    rig.say("  lead end green ")
    rig.bench.act("note")
    rig.say("   ")
    notes = [e for e in rig.bench.visit.entries if isinstance(e, Noted)]
    assert [(n.text, n.check_key) for n in notes] == [("lead end green", "coil_secondary")]
    assert rig.bench.prompt is None


def test_work_done_asks_for_words_and_for_another_reading(rig: BenchRig) -> None:
    """Before and after: the step wants a reading again."""
    rig.type("20.0")
    rig.bench.act("goto", "coil_secondary")
    rig.bench.act("did")
    rig.say("")
    assert "say what was done" in rig.view.text_error
    rig.say("new coil fitted")
    assert [e.text for e in rig.bench.visit.entries if isinstance(e, Did)] == ["new coil fitted"]
    assert rig.bench.taker.wants_reading()
    rig.type("9.10")
    before, after = rig.taken()
    assert after.supersedes is None
    assert rig.bench.visit.before_and_after("coil_secondary") == (before, after)


def test_an_empty_temperature_is_the_shops() -> None:
    """One key: cold, at shop temperature."""
    rig = BenchRig(meter=False)
    rig.say("")
    told = next(e for e in rig.bench.visit.entries if isinstance(e, TemperatureSet))
    assert (told.temperature.celsius, told.shop) == (21.0, True)


@pytest.mark.parametrize(
    ("text", "unit", "celsius"),
    [
        ("45", TemperatureUnit.CELSIUS, 45.0),
        ("113", TemperatureUnit.FAHRENHEIT, 45.0),
        ("113 °F", TemperatureUnit.CELSIUS, 45.0),
        ("45 °C", TemperatureUnit.FAHRENHEIT, 45.0),
        ("-4", TemperatureUnit.FAHRENHEIT, -20.0),
    ],
)
def test_a_temperature_is_in_the_shops_unit_unless_it_says_another(
    text: str, unit: TemperatureUnit, celsius: float
) -> None:
    """Kept in celsius whatever was typed."""
    rig = BenchRig(meter=False, units=UnitChoice(temperature=unit))
    rig.say(text)
    told = next(e for e in rig.bench.visit.entries if isinstance(e, TemperatureSet))
    assert told.temperature.celsius == pytest.approx(celsius)
    assert not told.shop


def test_an_impossible_temperature_keeps_asking() -> None:
    """A number of another kind, or one no part on a bench has."""
    rig = BenchRig(meter=False, units=UnitChoice(temperature=TemperatureUnit.FAHRENHEIT))
    for text in ("900", "20 V", "warm"):
        rig.say(text)
        assert rig.view.text_error
        assert rig.view.ask is Ask.TEXT
    assert not any(isinstance(e, TemperatureSet) for e in rig.bench.visit.entries)


# --- gauges -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "length", "metres", "count"),
    [
        ("0.76", LengthUnit.MILLIMETRE, 0.76e-3, 1e-5),
        (".030", LengthUnit.THOUSANDTH, 0.762e-3, 2.54e-5),
        ("30 thou", LengthUnit.THOUSANDTH, 0.762e-3, 2.54e-5),
        ("30", LengthUnit.THOUSANDTH, 0.762e-3, 2.54e-5),
        ("0.030 in", LengthUnit.MILLIMETRE, 0.762e-3, 2.54e-5),
        ("0.76 mm", LengthUnit.THOUSANDTH, 0.76e-3, 1e-5),
    ],
)
def test_a_gap_is_typed_in_the_shops_unit(
    text: str, length: LengthUnit, metres: float, count: float
) -> None:
    """Millimetres or thousandths of an inch; the gauge's own accuracy judges it."""
    rig = BenchRig(GAP, meter=False, units=UnitChoice(length=length))
    rig.past_the_start()
    rig.type(text)
    one = rig.taken()[0]
    assert one.reading.quantity is Quantity.LENGTH
    assert one.reading.value == pytest.approx(metres)
    assert one.reading.resolution == pytest.approx(count)
    assert (one.judgement.verdict, one.accuracy_note) == (Verdict.IN_BAND, "feeler")


def test_a_reading_on_the_meter_is_not_taken_for_a_gap() -> None:
    """A linked meter says nothing of a feeler; the step is typed."""
    rig = BenchRig(GAP)
    rig.past_the_start()
    rig.feed(replace(PLAIN, value=0.76), seconds=4.0)
    assert rig.taken() == []
    assert rig.number.jaw_word == "Measure, then type it"
    rig.type("0.76")
    assert len(rig.taken()) == 1


@pytest.mark.parametrize("purpose", list(Purpose))
def test_every_line_says_what_to_type_and_how(rig: BenchRig, purpose: Purpose) -> None:
    """Label and hint, whatever is asked."""
    rig.bench.ask(purpose)
    assert rig.view.text_label
    assert rig.view.text_hint
    assert rig.view.keys[0].text == "Keep it"
