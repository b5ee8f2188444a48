"""Values to text: as the display had it, or rounded no further than its doubt allows."""

from dataclasses import replace
from math import log10

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.units import (
    LengthUnit,
    PressureUnit,
    TemperatureUnit,
    UnitChoice,
    difference_text,
    limits_text,
    read_typed,
    scaled,
    shown,
    step_text,
    text_of,
    with_doubt,
)

R = Quantity.RESISTANCE
IMPERIAL = UnitChoice(
    temperature=TemperatureUnit.FAHRENHEIT,
    length=LengthUnit.THOUSANDTH,
    pressure=PressureUnit.PSI,
)


def reading_of(text: str, quantity: Quantity = R) -> Reading:
    """A typed text as a reading."""
    typed = read_typed(text, quantity=quantity)
    return Reading(
        t_s=0.0,
        channel="typed",
        quantity=quantity,
        value=typed.value,
        resolution=typed.resolution,
        overload=typed.overload,
        exponent=typed.exponent,
    )


@pytest.mark.parametrize(
    "text",
    ["3.86 kΩ", "0.00 kΩ", "0.8 Ω", "1.1 MΩ", "10 kΩ", "19.99 MΩ", "0.092 Ω", "-0.1 Ω", "0.05 MΩ"],
)
def test_a_reading_is_shown_as_its_display_had_it(text: str) -> None:
    """The same digits in the same prefix."""
    assert str(shown(reading_of(text))) == text


@pytest.mark.parametrize(
    ("text", "quantity", "metric", "imperial"),
    [
        ("0.92 mm", Quantity.LENGTH, "0.92 mm", "0.0362 in"),
        ("0.030 in", Quantity.LENGTH, "0.76 mm", "0.030 in"),
        ("21.5 °C", Quantity.TEMPERATURE, "21.5 °C", "70.7 °F"),
        ("620 kPa", Quantity.PRESSURE, "620 kPa", "89.9 psi"),
        ("3600 rpm", Quantity.SPEED, "3600 rpm", "3600 rpm"),
    ],
)
def test_readings_in_the_shops_units(
    text: str, quantity: Quantity, metric: str, imperial: str
) -> None:
    """A shop sees its own units whatever was typed, with digits enough for one count."""
    reading = reading_of(text, quantity)
    assert str(shown(reading, IMPERIAL)) == imperial
    in_metric = shown(reading)
    assert in_metric.unit == metric.split()[1]
    assert float(in_metric.digits) == pytest.approx(float(metric.split(maxsplit=1)[0]), abs=0.006)


def test_an_overload_is_never_a_number() -> None:
    """No digits, whatever the range."""
    assert shown(reading_of("OL k")) == ("", "kΩ")


def test_a_reading_without_a_count_is_shown_to_six_digits() -> None:
    """A bench meter's long number is not cut short where a hand-held's would be."""
    long = replace(reading_of("1 kΩ"), value=9998.123456, resolution=None, exponent=3)
    assert str(shown(long)) == "9.99812 kΩ"
    assert shown(replace(long, quantity=None)).unit == ""


@pytest.mark.parametrize(
    ("value", "doubt", "resolution", "number", "digits"),
    [
        (4380.0, 75.3, 10.0, "4.38 kΩ", "0.08"),
        (4312.7, 75.3, None, "4.313 kΩ", "0.076"),
        (4380.0, 1234.0, 10.0, "4.4 kΩ", "1.3"),
        (4380.0, 2.0, 10.0, "4.38 kΩ", "0.01"),
        (0.95, 0.047, None, "0.950 Ω", "0.047"),
        (1e7, 127279.0, None, "10.00 MΩ", "0.13"),
        (-0.0004, 0.02, 0.01, "0.00 Ω", "0.02"),
    ],
)
def test_value_and_doubt_end_at_the_same_place(
    value: float, doubt: float, resolution: float | None, number: str, digits: str
) -> None:
    """The doubt keeps two digits at most, is rounded up, and the value ends where it ends."""
    text, shown_doubt = with_doubt(value, R, uncertainty=doubt, resolution=resolution)
    assert (str(text), shown_doubt) == (number, digits)


@given(value=st.floats(0.01, 1e7), relative=st.floats(1e-4, 0.5))
def test_rounding_stays_inside_the_doubt(value: float, relative: float) -> None:
    """What is lost by rounding is a small part of the doubt, and the doubt is not understated."""
    doubt = value * relative
    number, digits = with_doubt(value, R, uncertainty=doubt, exponent=0)
    assert abs(float(number.digits) - value) <= 0.051 * doubt
    assert doubt * 0.99 <= float(digits) <= doubt * 1.11
    if "." in digits:
        assert len(digits.partition(".")[2]) == len(number.digits.partition(".")[2])


@pytest.mark.parametrize(
    ("low", "high", "quantity", "expected"),
    [
        (3750.0, 6250.0, R, ("3.75", "6.25", "kΩ")),
        (0.6, 1.3, R, ("0.6", "1.3", "Ω")),
        (None, 5000.0, R, (None, "5", "kΩ")),
        (1e7, None, R, ("10", None, "MΩ")),
        (5500.0, 13000.0, R, ("5.5", "13.0", "kΩ")),
        (7e-4, 8e-4, Quantity.LENGTH, ("0.7", "0.8", "mm")),
        (1.5e-7, 3e-7, Quantity.CAPACITANCE, ("150", "300", "nF")),
        (1650.0, 1950.0, Quantity.SPEED, ("1650", "1950", "rpm")),
    ],
)
def test_limits_keep_the_digits_they_were_stated_with(
    low: float | None,
    high: float | None,
    quantity: Quantity,
    expected: tuple[str | None, str | None, str],
) -> None:
    """Both limits in one unit, to the same place."""
    assert limits_text(low, high, quantity) == expected


def test_limits_in_thousandths_of_an_inch() -> None:
    """Thousandths are shown as decimals of an inch, as feeler gauges print them."""
    low, high, unit = limits_text(0.762e-3, 0.889e-3, Quantity.LENGTH, units=IMPERIAL)
    assert (low, high, unit) == ("0.030", "0.035", "in")


def test_differences_have_no_zero_point() -> None:
    """A difference of 5 kelvin is 9 degrees fahrenheit, not 41."""
    assert str(difference_text(5.0, Quantity.TEMPERATURE, units=IMPERIAL)) == "9.0 °F"
    assert str(difference_text(570.0, R)) == "570 Ω"
    assert str(step_text(10.0, R)) == "10 Ω"
    assert str(step_text(0.1, R)) == "0.1 Ω"
    assert str(scaled(2e4, R)) == "20 kΩ"
    assert str(scaled(0.2, R, resolution=0.01)) == "0.20 Ω"
    assert str(text_of(4381.7, R)) == "4.382 kΩ"
    assert str(text_of(90.0, Quantity.DURATION)) == "90 s"
    assert str(text_of(1500.0, Quantity.DURATION)) == "25 min"


@given(
    value=st.floats(-40.0, 1e6),
    quantity=st.sampled_from((Quantity.TEMPERATURE, Quantity.LENGTH, Quantity.PRESSURE, R)),
    units=st.sampled_from((UnitChoice(), IMPERIAL)),
)
def test_shop_units_there_and_back(value: float, quantity: Quantity, units: UnitChoice) -> None:
    """What is shown in the shop's unit and typed back is the same base value."""
    there = units.to_shop(value, quantity)
    assert units.from_shop(there, quantity) == pytest.approx(value, rel=1e-9, abs=1e-9)


@given(digits=st.integers(0, 99999), decimals=st.integers(0, 4), prefix=st.sampled_from("kM"))
def test_typed_and_shown_again(digits: int, decimals: int, prefix: str) -> None:
    """Any display typed in is shown again digit for digit."""
    text = f"{digits / 10**decimals:.{decimals}f} {prefix}Ω"
    assert str(shown(reading_of(text))) == text
    assert log10(reading_of(text).resolution or 1.0) == pytest.approx(
        {"k": 3, "M": 6}[prefix] - decimals
    )


def test_what_a_bare_number_means_in_a_shop() -> None:
    """Typed without a unit, a number has the shop's."""
    assert IMPERIAL.typed_unit(Quantity.TEMPERATURE) == "°F"
    assert UnitChoice().typed_unit(Quantity.LENGTH) == "mm"
    assert UnitChoice().typed_unit(Quantity.DURATION) == "min"
    assert UnitChoice().typed_unit(R) == "Ω"
