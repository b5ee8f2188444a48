"""Codes of the core as the words a technician reads."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from benchassist.core.accuracy import WORST_CASE, Accuracy, LeadZero, Part
from benchassist.core.advice import Advice, Reach, Remedy, foresee
from benchassist.core.band import (
    Band,
    BandSource,
    Judgement,
    Reason,
    Side,
    Verdict,
    judge,
    judge_overload,
)
from benchassist.core.entry import Moment, SelfChecked, Stamp
from benchassist.core.estimate import Conditions, PartTemperature, estimate
from benchassist.core.quantity import Quantity
from benchassist.core.reading import LinkState, Reading
from benchassist.services import wording
from benchassist.services.bench.rulers import ruler_of
from benchassist.services.bench.spoken import spoken_number
from benchassist.units import LengthUnit, TemperatureUnit, UnitChoice
from tests.core.budgets import band_of, ohms
from tests.core.test_advice import CARD, coarse_range

HAND_HELD = Conditions(accuracy=Accuracy(percent=0.8, counts=3.0))
CAP = replace(band_of(3750.0, 6250.0), source=BandSource.MARKING, source_note="5 kΩ")
PRIMARY = band_of(0.6, 1.3)
IMPERIAL = UnitChoice(temperature=TemperatureUnit.FAHRENHEIT, length=LengthUnit.THOUSANDTH)


def why(reading: Reading, band: Band, given: Conditions = HAND_HELD) -> tuple[str, ...]:
    """The reasons on a reading as judged."""
    return wording.reasons(judge(estimate(reading, given), band), band, reading)


@pytest.mark.parametrize(
    ("verdict", "side", "word"),
    [
        (Verdict.IN_BAND, None, "In band"),
        (Verdict.OUT_OF_BAND, Side.LOW, "Out of band, low"),
        (Verdict.OUT_OF_BAND, Side.HIGH, "Out of band, high"),
        (Verdict.OUT_OF_BAND, None, "Out of band"),
        (Verdict.TOO_CLOSE, None, "Too close to call"),
        (Verdict.CANNOT_TELL, None, "Meter can’t tell"),
        (Verdict.BY_EYE, None, "Checked by eye"),
        (Verdict.RECORDED, None, "Recorded"),
    ],
)
def test_verdict_words(verdict: Verdict, side: Side | None, word: str) -> None:
    """The words of every screen and slip."""
    assert wording.verdict_word(verdict, side) == word


@pytest.mark.parametrize(
    ("reading", "band", "sentences"),
    [
        (ohms(4400.0), CAP, ("Clear of the edge by 574 Ω.",)),
        (ohms(3000.0), CAP, ("Below the lower edge by 687 Ω at least.",)),
        (ohms(9000.0), CAP, ("Above the upper edge by 2.6 kΩ at least.",)),
        (
            ohms(3760.0),
            CAP,
            (
                "Its doubt of ±70 Ω laps over the edge at 3.75 kΩ.",
                "Most of its doubt is the meter’s accuracy.",
            ),
        ),
        (
            ohms(0.0),
            PRIMARY,
            ("This range steps in 10 Ω.", "The whole band is only 0.7 Ω wide."),
        ),
        (
            ohms(0.9, count=0.1, full_scale=200.0),
            PRIMARY,
            ("The doubt here is ±0.36 Ω.", "The whole band is only 0.7 Ω wide."),
        ),
        (
            ohms(0.0),
            band_of(None, 5.0),
            ("This range steps in 10 Ω.", "The band ends at 5 Ω."),
        ),
        (ohms(-500.0), CAP, ("It reads below zero by more than its doubt.",)),
        (ohms(5e3, count=None), CAP, ("How far the meter steps is not known.",)),
    ],
)
def test_why(reading: Reading, band: Band, sentences: tuple[str, ...]) -> None:
    """One sentence, one fact, with the figures it stands on."""
    assert why(reading, band) == sentences


@pytest.mark.parametrize(
    ("full_scale", "band", "proved", "sentence"),
    [
        (2e4, CAP, True, "Above 20 kΩ: the path is open."),
        (2e7, band_of(1e7, None), True, "Above 20 MΩ: nothing conducts here."),
        (2e3, CAP, True, "This range ends at 2 kΩ: above it may still be in band."),
        (None, CAP, True, "Above range, and the range is not known."),
        (2e4, CAP, False, "A broken lead looks the same."),
    ],
)
def test_why_above_range(full_scale: float | None, band: Band, proved: bool, sentence: str) -> None:
    """An overload is explained without a number of its own."""
    judgement = judge_overload(full_scale, band, leads_proved=proved)
    assert wording.reasons(judgement, band, ohms(None, full_scale=full_scale)) == (sentence,)


def test_without_a_band_there_is_nothing_to_hold_it_against() -> None:
    """Recorded says so; a look needs no reason."""
    recorded = Judgement(verdict=Verdict.RECORDED, reason=Reason.NO_BAND)
    assert wording.reasons(recorded, None, ohms(1.0)) == ("No band to hold it against.",)
    looked = Judgement(verdict=Verdict.BY_EYE, reason=Reason.LOOKED)
    assert wording.reasons(looked, None, ohms(1.0)) == ()


@pytest.mark.parametrize("reason", Reason)
@pytest.mark.parametrize("part", [None, *Part])
def test_every_reason_has_its_words(reason: Reason, part: Part | None) -> None:
    """No code is left without a sentence, and each ends as one, without exclamation."""
    judgement = Judgement(
        verdict=Verdict.TOO_CLOSE,
        reason=reason,
        value=3760.0,
        expanded_uncertainty=70.0,
        clearance=-60.0,
        dominant=part,
    )
    for band in (CAP, band_of(1e7, None), band_of(None, 5.0)):
        for reading in (ohms(3760.0), ohms(None), ohms(1.0, count=None, full_scale=None)):
            said = wording.reasons(judgement, band, reading)
            assert bool(said) is (reason is not Reason.LOOKED)
            assert all(s.endswith(".") and "!" not in s for s in said)


@pytest.mark.parametrize("remedy", Remedy)
def test_every_remedy_has_its_words(remedy: Remedy) -> None:
    """A tile has a title and a line, a command one sentence; no word is a judgement of the part."""
    for advice in (
        Advice(remedy=remedy),
        Advice(
            remedy=remedy,
            full_scale=200.0,
            resolution=0.1,
            expanded=0.36,
            share=0.5,
            reach=Reach.CALLS_MOST,
            u_temperature=0.5,
            rezero=True,
        ),
    ):
        assert wording.advice_title(advice)
        sentence = wording.advice_sentence(advice)
        assert sentence.endswith(".")
        words = set(sentence.lower().replace(".", " ").replace(":", " ").split())
        assert not words & {"pass", "fail", "bad", "please"}


def test_the_tiles_of_the_one_ohm_winding() -> None:
    """A range with its zero and the volt drop with its limits, as the sum says."""
    range_ = Advice(
        remedy=Remedy.OTHER_RANGE,
        full_scale=200.0,
        expanded=0.364,
        reach=Reach.OPEN_ONLY,
        rezero=True,
    )
    assert wording.advice_title(range_) == "200 Ω range, zero the leads"
    assert wording.advice_text(range_) == "Good to ±0.36 Ω. Finds an open only"
    drop = Advice(remedy=Remedy.VOLT_DROP, expanded=0.047, reach=Reach.CALLS_MOST)
    assert wording.advice_title(drop) == "Volt-drop method"
    assert wording.advice_text(drop) == (
        "Good to ±0.047 Ω. Calls most of it. At most 100 mA and 1.5 V, never a battery direct"
    )


def test_foresight_before_the_probes_touch() -> None:
    """What this range cannot do, and what can."""
    foresight = foresee(PRIMARY, HAND_HELD, card=CARD, in_use=coarse_range(), volt_drop=True)
    assert foresight is not None
    first, second = wording.foresight_lines(foresight, PRIMARY)
    assert first == "The 20 kΩ range finds an open only here."
    assert second.startswith("Volt-drop method: good to")
    able = foresee(CAP, HAND_HELD, card=CARD)
    assert able is not None
    assert wording.foresight_lines(able, CAP) == ()


@pytest.mark.parametrize(
    ("band", "label"),
    [
        (CAP, "Band: 3.75 to 6.25 kΩ, marked 5 kΩ"),
        (band_of(None, 5000.0), "Band: up to 5 kΩ, common practice"),
        (band_of(1e7, None), "Band: at least 10 MΩ, common practice"),
        (
            replace(CAP, source=BandSource.MAKER, source_note="page 12"),
            "Band: 3.75 to 6.25 kΩ, maker’s manual, page 12",
        ),
        (
            replace(CAP, source=BandSource.OWN_PARTS, source_note=""),
            "Band: 3.75 to 6.25 kΩ, this shop’s own good parts",
        ),
    ],
)
def test_a_band_carries_its_source(band: Band, label: str) -> None:
    """Limits, then where they come from."""
    assert wording.band_label(band) == label


def test_values_with_their_doubt() -> None:
    """In the prefix the meter showed, to the place of the doubt."""
    text = wording.value_and_doubt(4380.0, 75.3, Quantity.RESISTANCE, reading=ohms(4380.0))
    assert text == ("4.38 kΩ", "±0.08")
    assert wording.value_and_doubt(4380.0, None, Quantity.RESISTANCE, reading=ohms(4380.0)) == (
        "4.38 kΩ",
        "",
    )
    assert wording.value_and_doubt(0.95, 0.047, Quantity.RESISTANCE) == ("0.950 Ω", "±0.047")
    assert wording.reading_text(ohms(None)) == "Above range"


def test_what_a_figure_stands_on() -> None:
    """Accuracy, leads, temperature, range and day, each as one line."""
    assert wording.accuracy_text(Accuracy(percent=0.8, counts=3.0)) == "0.8 % + 3 counts"
    by_range = Accuracy(percent=0.01, percent_of_range=0.004)
    assert wording.accuracy_text(by_range) == "0.01 % + 0.004 % of range"
    assert wording.accuracy_text(WORST_CASE) == ("2 % + 5 counts assumed: no accuracy statement")
    zero = LeadZero(value=0.2, resolution=0.1)
    assert wording.leads_text(zero) == "Leads 0.2 Ω taken off ohms readings."
    assert "not zeroed" in wording.leads_text(None)
    cold = PartTemperature(celsius=21.0)
    assert wording.temperature_text(cold) == "Part at 21.0 °C ±4.0."
    assert wording.temperature_text(cold, IMPERIAL) == "Part at 69.8 °F ±7.2."
    assert wording.range_text(ohms(1.0)) == "ohms, 20 kΩ range (steps of 10 Ω)"
    assert wording.range_text(replace(ohms(1.0), quantity=None)) == ""
    noon = datetime(2026, 6, 9, 12, 0, tzinfo=UTC)
    assert wording.day_text(noon) == "9 Jun 2026"


def test_a_known_resistor_at_the_start() -> None:
    """What was read of it and whether it agrees."""
    entry = SelfChecked(
        stamp=Stamp(id="1", visit_id="v", seq=1, at=datetime(2026, 6, 9, tzinfo=UTC)),
        moment=Moment.START,
        nominal=1e4,
        tolerance_percent=1.0,
        reading=ohms(1.002e4),
        judgement=Judgement(verdict=Verdict.IN_BAND, reason=Reason.CLEAR_OF_EDGES),
    )
    assert wording.self_check_text(entry) == ("Known 10 kΩ ±1 % at the start: 10.02 kΩ, agrees.")


@pytest.mark.parametrize("state", LinkState)
def test_every_link_state_has_words(state: LinkState) -> None:
    """A state is two or three words; trouble is a line that says what to do."""
    assert wording.link_text(state, 6.0)
    trouble = wording.link_trouble(state, "device gone")
    down = {LinkState.STALLED, LinkState.GARBAGE, LinkState.LOST, LinkState.WAITING}
    assert bool(trouble) is (state in down)


def test_silence_says_for_how_long() -> None:
    """The age of the last news, where it matters."""
    assert wording.link_text(LinkState.STALLED, 6.4) == "No news for 6 s"


@pytest.mark.parametrize(
    ("digits", "words"),
    [
        ("3.86", "three point eight six"),
        ("10.16", "ten point one six"),
        ("0.00", "zero point zero zero"),
        ("3600", "three thousand six hundred"),
        ("21.5", "twenty one point five"),
        ("-0.1", "minus zero point one"),
        ("100", "one hundred"),
        ("12345", "one two three four five"),
    ],
)
def test_numbers_as_they_are_said(digits: str, words: str) -> None:
    """Digits after the point are said one by one."""
    assert spoken_number(digits) == words


def test_a_reading_is_spoken_with_its_verdict() -> None:
    """The number as displayed, its unit, the verdict; an open is said as one."""
    in_band = judge(estimate(ohms(4380.0), HAND_HELD), CAP)
    said = wording.spoken_reading(ohms(4380.0), in_band)
    assert said == "four point three eight kilo-ohms, in band"
    opened = judge_overload(2e4, CAP, leads_proved=True)
    assert wording.spoken_reading(ohms(None), opened) == "open, out of band, high"
    unknown = judge_overload(None, CAP, leads_proved=True)
    assert wording.spoken_reading(ohms(None), unknown) == "above range, meter can’t tell"


def test_the_strip_is_in_the_unit_of_its_band() -> None:
    """Overloads are gaps, other quantities are left out, limits are scaled alike."""
    volts = replace(ohms(1.0), quantity=Quantity.VOLTAGE)
    rows = [(-2.0, ohms(4380.0)), (-1.0, ohms(None)), (-0.5, volts)]
    strip = wording.strip_of(rows, CAP)
    assert strip.values == (4.38, None)
    assert (strip.low, strip.high, strip.unit) == (3.75, 6.25, "kΩ")
    assert "1 above range" in strip.summary
    assert wording.strip_of([], None).values == ()
    assert wording.strip_of(rows[:1], None).unit == "kΩ"


def test_a_ruler_of_a_reading() -> None:
    """Base units with their factor, and every label in the unit of the axis."""
    reading = ohms(4380.0)
    given = replace(HAND_HELD, lead_zero=LeadZero(value=0.2, resolution=0.1))
    ruler = ruler_of(
        judge(estimate(reading, given), CAP),
        CAP,
        reading=reading,
        earlier=(("2024", 4350.0), ("2025", 4330.0)),
        zero=given.lead_zero,
        before=4500.0,
    )
    assert (ruler.low, ruler.high, ruler.factor, ruler.unit_text) == (3750.0, 6250.0, 1e3, "kΩ")
    assert ruler.reading_label == "4.38 ±0.08"
    assert ruler.band_label == "Band: 3.75 to 6.25 kΩ, marked 5 kΩ"
    assert ruler.earlier == (4350.0, 4330.0)
    assert ruler.earlier_label == "2024: 4.35 · 2025: 4.33"
    assert ruler.leads_label == "Leads 0.2 Ω: too small to matter here"
    assert ruler.floor_at_zero


def test_a_ruler_in_fahrenheit_holds_fahrenheit() -> None:
    """Another zero point cannot be had by a factor, so the values are converted."""
    band = Band(quantity=Quantity.TEMPERATURE, low=0.0, high=100.0)
    reading = replace(ohms(50.0, count=0.1, full_scale=None), quantity=Quantity.TEMPERATURE)
    ruler = ruler_of(
        judge(estimate(reading, HAND_HELD), band), band, reading=reading, units=IMPERIAL
    )
    assert (ruler.low, ruler.high, ruler.value) == pytest.approx((32.0, 212.0, 122.0))
    assert (ruler.factor, ruler.unit_text, ruler.floor_at_zero) == (1.0, "°F", False)


def test_an_overload_on_a_ruler_is_words() -> None:
    """No value, no doubt: the ruler says above range."""
    reading = ohms(None)
    ruler = ruler_of(judge_overload(2e4, CAP, leads_proved=True), CAP, reading=reading)
    assert ruler.value is None
    assert ruler.overload
    assert ruler.reading_label == "Above range"


def test_a_known_resistor_that_disagrees_or_is_not_decided() -> None:
    """Each outcome has its own words."""
    entry = SelfChecked(
        stamp=Stamp(id="1", visit_id="v", seq=1, at=datetime(2026, 6, 9, tzinfo=UTC)),
        moment=Moment.END,
        nominal=1e4,
        tolerance_percent=1.0,
        reading=ohms(1.2e4),
        judgement=Judgement(verdict=Verdict.OUT_OF_BAND, reason=Reason.BEYOND_EDGE),
    )
    assert wording.self_check_text(entry).endswith("at the end: 12.00 kΩ, does not agree.")
    above = replace(
        entry,
        reading=ohms(None),
        judgement=Judgement(verdict=Verdict.CANNOT_TELL, reason=Reason.GO_UP_A_RANGE),
    )
    assert wording.self_check_text(above).endswith("Above range, not decided.")


def test_a_strip_in_hertz_for_a_speed() -> None:
    """With its pulses per revolution a strip of hertz is shown in rpm."""
    hertz = replace(ohms(60.0, count=0.1), quantity=Quantity.FREQUENCY)
    band = Band(quantity=Quantity.SPEED, low=3450.0, high=3750.0)
    strip = wording.strip_of([(-1.0, hertz)], band, pulses_per_rev=1.0)
    assert (strip.values, strip.unit) == ((3600.0,), "rpm")


def test_a_ruler_without_a_known_doubt_shows_the_number_alone() -> None:
    """No plus-minus where nothing is known of it."""
    reading = ohms(5e3, count=None)
    ruler = ruler_of(judge(estimate(reading, HAND_HELD), CAP), CAP, reading=reading)
    assert (ruler.reading_label, ruler.doubt_label) == ("5", "")
