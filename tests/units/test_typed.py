"""A typed reading carries its resolution; nonsense is refused in one line."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from benchassist.core.quantity import Quantity
from benchassist.errors import UnitError
from benchassist.units import read_part_temperature, read_typed

R = Quantity.RESISTANCE


@pytest.mark.parametrize(
    ("text", "value", "count", "exponent"),
    [
        ("3.86k", 3860.0, 10.0, 3),
        ("3.86 k", 3860.0, 10.0, 3),
        ("3.86 kΩ", 3860.0, 10.0, 3),
        ("3.86 k\u2126", 3860.0, 10.0, 3),
        ("0.00 k", 0.0, 10.0, 3),
        (".8", 0.8, 0.1, 0),
        ("6.8k", 6800.0, 100.0, 3),
        ("6.8 K", 6800.0, 100.0, 3),
        ("10,2 k", 10200.0, 100.0, 3),
        ("10,1600", 10.16, 1e-4, 0),
        ("10k", 10000.0, 1000.0, 3),
        ("1.1 Mohm", 1.1e6, 1e5, 6),
        ("1.1 mohm", 0.0011, 1e-4, -3),
        ("5.", 5.0, 1.0, 0),
        ("+5.0", 5.0, 0.1, 0),
        ("-0.1", -0.1, 0.1, 0),
        ("\u22120.1", -0.1, 0.1, 0),
        ("  4.7  R ", 4.7, 0.1, 0),
    ],
)
def test_ohms_as_the_display_shows_them(
    text: str, value: float, count: float, exponent: int
) -> None:
    """The last digit is one count, in the prefix it was typed with."""
    typed = read_typed(text, quantity=R)
    assert (typed.value, typed.resolution, typed.exponent) == (value, count, exponent)
    assert not typed.overload


@pytest.mark.parametrize("text", ["OL", "O.L", "0.L", ".OL", "ol", "OL k", "0.L Mohm", " OL "])
def test_above_range_in_the_ways_meters_write_it(text: str) -> None:
    """An overload is a reading without a value or a count."""
    typed = read_typed(text, quantity=R)
    assert typed.overload
    assert typed.value is None
    assert typed.resolution is None


def test_the_unit_of_the_check_is_taken_when_omitted() -> None:
    """A bare number has the default's unit; a prefix alone stands before the plain unit."""
    assert read_typed("3.86", quantity=R, default_unit="kohm").value == 3860.0
    assert read_typed("3.86k", quantity=R, default_unit="kohm").value == 3860.0
    assert read_typed(".92", quantity=Quantity.LENGTH, default_unit="mm").value == 0.00092
    assert not read_typed("3.86", quantity=R).with_unit
    assert read_typed("3.86k", quantity=R).with_unit


@pytest.mark.parametrize(
    ("text", "quantity", "value", "count"),
    [
        ("0.92 mm", Quantity.LENGTH, 0.92e-3, 1e-5),
        (".030 in", Quantity.LENGTH, 0.762e-3, 2.54e-5),
        ("30 thou", Quantity.LENGTH, 0.762e-3, 2.54e-5),
        ("30/1000 in", Quantity.LENGTH, 0.762e-3, 2.54e-5),
        ('30/1000"', Quantity.LENGTH, 0.762e-3, 2.54e-5),
        ("60.0 Hz", Quantity.FREQUENCY, 60.0, 0.1),
        ("3600 rpm", Quantity.SPEED, 3600.0, 1.0),
        ("3600", Quantity.SPEED, 3600.0, 1.0),
        ("47.5 mV", Quantity.VOLTAGE, 0.0475, 1e-4),
        ("50.2 mA", Quantity.CURRENT, 0.0502, 1e-4),
        ("0.22 µF", Quantity.CAPACITANCE, 0.22e-6, 1e-8),
        ("90 psi", Quantity.PRESSURE, 620528.156, 6894.757),
        ("620 kPa", Quantity.PRESSURE, 620e3, 1e3),
        ("8.2 bar", Quantity.PRESSURE, 8.2e5, 1e4),
        ("21.5 °C", Quantity.TEMPERATURE, 21.5, 0.1),
        ("104 F", Quantity.TEMPERATURE, 40.0, 5.0 / 9.0),
        ("-40 °F", Quantity.TEMPERATURE, -40.0, 5.0 / 9.0),
        ("25 min", Quantity.DURATION, 1500.0, 60.0),
    ],
)
def test_every_quantity(text: str, quantity: Quantity, value: float, count: float) -> None:
    """Values come out in base units, with the count converted alike."""
    typed = read_typed(text, quantity=quantity)
    assert typed.value == pytest.approx(value, rel=1e-6)
    assert typed.resolution == pytest.approx(count, rel=1e-6)


def test_a_speed_typed_in_hertz() -> None:
    """With its pulses per revolution a meter in hertz serves a step in rpm."""
    typed = read_typed("30.0 Hz", quantity=Quantity.SPEED, pulses_per_rev=0.5)
    assert (typed.value, typed.resolution) == (3600.0, pytest.approx(12.0))
    assert read_typed("3600", quantity=Quantity.SPEED, pulses_per_rev=0.5).value == 3600.0
    with pytest.raises(UnitError, match="not rpm"):
        read_typed("30.0 Hz", quantity=Quantity.SPEED)
    with pytest.raises(UnitError, match="not rpm"):
        read_typed("30.0 V", quantity=Quantity.SPEED, pulses_per_rev=1.0)


@pytest.mark.parametrize(
    ("text", "quantity", "said"),
    [
        ("4.7 V", R, "volts, not ohms"),
        ("nan", R, "does not start with a number"),
        ("inf", R, "does not start with a number"),
        ("-inf", R, "does not start with a number"),
        ("1e400", R, "no display shows an exponent"),
        ("1e3", R, "no display shows an exponent"),
        ("1.2.3", R, "more than one point"),
        ("1,2.3", R, "more than one point"),
        ("10,160", R, r"10\.160 or 10160"),
        ("10,160 k", R, r"10\.160 or 10160"),
        ("", R, "nothing was typed"),
        (" \t ", R, "nothing was typed"),
        (".", R, "no digits"),
        ("4k7", R, "digits in two places"),
        ("10 160", R, "digits in two places"),
        ("1.1 m", R, "mohm or Mohm"),
        ("OL V", R, "volts, not ohms"),
        ("OLD", R, "does not start with a number"),
        ("\u0663.\u0668", R, "digits 0 to 9"),
        ("3.8\u00b2", R, "no unit this program knows"),
        ("1" * 15, R, "that many digits"),
        ("1" * 99, R, "too long"),
        ("-1 mm", Quantity.LENGTH, "cannot be below zero"),
        ("-1 Hz", Quantity.FREQUENCY, "cannot be below zero"),
        ("-60 rpm", Quantity.SPEED, "cannot be below zero"),
        ("OL", Quantity.LENGTH, "no reading here"),
        ("0.92", Quantity.LENGTH, "no unit"),
        ("-300 °C", Quantity.TEMPERATURE, "absolute zero"),
        ("-1 K", Quantity.TEMPERATURE, "absolute zero"),
        ("25 m", Quantity.DURATION, "a length, not a time"),
    ],
)
def test_nonsense_is_refused_in_one_line(text: str, quantity: Quantity, said: str) -> None:
    """The line names the input and what would be right."""
    with pytest.raises(UnitError, match=said) as refused:
        read_typed(text, quantity=quantity)
    assert "\n" not in str(refused.value)
    assert len(str(refused.value)) < 160


@given(
    digits=st.integers(0, 99_999_999),
    decimals=st.integers(0, 6),
    prefix=st.sampled_from(["", "k", "M"]),
    comma=st.booleans(),
)
def test_every_display_reads_back(digits: int, decimals: int, prefix: str, *, comma: bool) -> None:
    """Any digits with any point give the decimal they stand for, times the prefix, to the float."""
    text = f"{digits:0{decimals + 1}d}"
    if decimals:
        text = f"{text[:-decimals]}{',' if comma else '.'}{text[-decimals:]}"
    scale = {"": 1, "k": 1000, "M": 1_000_000}[prefix]
    if comma and decimals == 3:
        with pytest.raises(UnitError, match="could be"):
            read_typed(text + prefix, quantity=R)
        return
    typed = read_typed(text + prefix, quantity=R)
    assert typed.value == digits * scale / 10**decimals
    assert typed.resolution == scale / 10**decimals


@given(st.text(max_size=70))
@example("1\x00k")
@example("٣")
@example("−")
def test_any_text_is_a_value_or_one_clear_line(text: str) -> None:
    """Whatever is typed, it is read or refused, never a crash and never two lines."""
    said = ""
    try:
        typed = read_typed(text, quantity=R)
    except UnitError as error:
        said = str(error)
    else:
        assert typed.overload or typed.value is not None
    assert said.isprintable()


@pytest.mark.parametrize(
    ("text", "unit", "celsius"), [("21", "°C", 21.0), ("70 °F", "°C", 21.11), ("70", "°F", 21.11)]
)
def test_a_part_temperature_in_the_shops_unit(text: str, unit: str, celsius: float) -> None:
    """A bare number has the shop's unit, a written unit wins."""
    assert read_part_temperature(text, default_unit=unit) == pytest.approx(celsius, abs=0.01)


@pytest.mark.parametrize("text", ["-41", "301", "1000 °F", "-300"])
def test_an_impossible_part_temperature_is_refused(text: str) -> None:
    """No part on a bench is colder than -40 or hotter than 300 °C."""
    with pytest.raises(UnitError):
        read_part_temperature(text)
