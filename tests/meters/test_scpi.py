"""scpi: what instruments say, read strictly."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Mode
from benchassist.meters import scpi
from benchassist.meters.scpi import Set

OHMS = Set(function=scpi.BY_HEADER["RES"], full_scale=Decimal("1E4"), resolution=Decimal("3E-3"))


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("+3.86000000E+03", "3860"),
        ("-1.234e-3", "-0.001234"),
        ("100", "100"),
        ("+100.", "100"),
        (".5", "0.5"),
        ("1.5 E +3", "1500"),
        (" 4.98 ", "4.98"),
    ],
)
def test_numbers_of_all_three_forms(text: str, value: str) -> None:
    """NR1, NR2 and NR3, with the spaces IEEE 488.2 lets a device put around the exponent."""
    assert scpi.number(text) == Decimal(value)


@pytest.mark.parametrize(
    "text", ["", "+", "E3", "1E", "1,5", "1 000", "0x10", "nan", "inf", "1E+1000", "٣", "1e5V"]
)
def test_what_is_no_number(text: str) -> None:
    """A decimal comma is two numbers, and two numbers are none."""
    assert scpi.number(text) is None


@pytest.mark.parametrize(
    "text", ["+9.90000000E+37", "-9.9E37", "9.91E37", "1E38", "OVLOAD", "ovload", "OL", "INF"]
)
def test_over_range_is_never_a_value(text: str) -> None:
    """Every form of it is an overload on the range that was told."""
    shown = scpi.shown(text, OHMS)
    assert shown is not None
    assert shown.value is None
    assert shown.full_scale == 10_000


def test_digits_are_not_resolution() -> None:
    """Nine digits say nothing of the count: unknown unless the instrument told it."""
    told = scpi.shown("+3.86000000E+03", OHMS)
    untold = scpi.shown("+3.86000000E+03", Set(function=OHMS.function))
    assert told is not None
    assert untold is not None
    assert told.resolution == Decimal("0.003")
    assert untold.resolution is None


def test_the_dialect_with_units_prints_its_count() -> None:
    """`101.234e-3 V DC` has a count of a microvolt and says that it is volts."""
    shown = scpi.shown("101.234e-3 V DC", Set())
    assert shown is not None
    assert (shown.quantity, shown.value) == (Quantity.VOLTAGE, Decimal("0.101234"))
    assert shown.resolution == Decimal("1E-6")
    assert shown.exponent == -3
    alternating = scpi.shown("1.5 V AC", Set())
    assert alternating is not None
    assert alternating.mode is Mode.AC


@pytest.mark.parametrize(
    "text", ["3,86E+3", "1.0,2.0", "", "nan", "hello", "3.86 kOhm", "1.5 V", "1.5 OHM XX", "#12ab"]
)
def test_an_answer_that_is_no_single_value(text: str) -> None:
    """Commas, words and a unit against the function set give no number."""
    assert scpi.shown(text, OHMS) is None


def test_no_number_is_said_in_words() -> None:
    """An instrument that says NaN has no value and is alive."""
    assert scpi.is_no_number(" nan ")
    assert not scpi.is_no_number("0")


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("GENERIC,DMM,1,1", "GENERIC,DMM,1,1"),
        ("MAKER, 34 , SN1 ,A.1", "MAKER,34,SN1,A.1"),
        ("MAKER,MODEL,0,0", "MAKER,MODEL,0,0"),
        ("1,2,3,4", None),
        ("+3.86E+03", None),
        ("A,B,C", None),
        ("A,B,C,D,E", None),
        (",B,C,D", None),
    ],
)
def test_an_identity_has_four_fields(text: str, found: str | None) -> None:
    """And none of the answers to other questions is one."""
    assert scpi.identity(text) == found


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ('+0,"No error"', (0, "No error")),
        ("0", (0, "")),
        ('-113,"Undefined header"', (-113, "Undefined header")),
        ('-350,"Queue overflow"', (-350, "Queue overflow")),
        ("0,No error", (0, "No error")),
        ('-113, "Undefined header"', (-113, "Undefined header")),
        ("+3.86E+03", None),
    ],
)
def test_entries_of_the_error_queue(text: str, found: tuple[int, str] | None) -> None:
    """Number and words."""
    assert scpi.error(text) == found


@pytest.mark.parametrize(
    ("text", "header"),
    [
        ('"RES"', "RES"),
        ('"FRES"', "FRES"),
        ("RES", "RES"),
        ('"VOLT"', "VOLT:DC"),
        ('"VOLT:DC"', "VOLT:DC"),
        ('"VOLT:AC"', "VOLT:AC"),
        ('"VOLTAGE:AC"', "VOLT:AC"),
        ('"FREQ"', "FREQ"),
        ('"TEMP:RTD"', None),
        ('"PER"', None),
        ("", None),
    ],
)
def test_functions_by_name(text: str, header: str | None) -> None:
    """Short and long names; what is not read here is nothing."""
    found = scpi.function(text)
    assert (found and found.header) == header


def test_a_configuration_gives_range_and_resolution() -> None:
    """As an instrument that knows CONF? answers it; a word instead of a number is unknown."""
    assert scpi.configuration('"RES +1.0E+4,+3.0E-3"') == OHMS
    assert scpi.configuration('"RES AUTO,DEF"') == Set(function=OHMS.function)
    assert scpi.configuration('"FREQ"') == Set(function=scpi.BY_HEADER["FREQ"])


@given(text=st.text(max_size=80))
def test_no_text_raises(text: str) -> None:
    """Whatever comes, every reader of answers gives something or nothing."""
    scpi.number(text)
    scpi.identity(text)
    scpi.error(text)
    scpi.function(text)
    shown = scpi.shown(text, scpi.configuration(text))
    if shown is not None and shown.value is not None:
        assert abs(shown.value) < scpi.OVER_RANGE
        shown.reading(t_s=0.0, channel="A")
