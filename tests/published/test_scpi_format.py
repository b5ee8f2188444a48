"""What instruments say, against published manuals. The source stands beside each case."""

from decimal import Decimal

import pytest

from benchassist.meters import scpi
from benchassist.meters.scpi import Set


@pytest.mark.parametrize(
    "text",
    [
        # Keysight application note on infinity and NaN; R&S SMC100A help: plus and minus infinity.
        "9.9E37",
        "-9.9E37",
        # As programs for bench meters receive an overload: signed, unsigned and negative.
        "+9.90000000E+37",
        "9.90000000E+37",
        "-9.90000000E+37",
        # Not a number: Keysight N1911A guide p. 75, HP 53131A guide p. 3-17. Some instruments
        # (N6781A, same application note) answer an overload with it.
        "9.91E37",
        "+9.91000000E+37",
    ],
)
def test_infinity_and_not_a_number_are_no_reading(text: str) -> None:
    """Anything of 9.9E37 and more is above range and never a value."""
    shown = scpi.shown(text, Set())
    assert shown is not None
    assert shown.value is None


@pytest.mark.parametrize(
    ("text", "value"),
    [
        # HP 53131A guide, Table 3-3 p. 3-17: NR1 implicit point, NR2 explicit point, NR3 exponent.
        ("+100", "100"),
        ("-256", "-256"),
        ("+1.5", "1.5"),
        ("-.625", "-0.625"),
        ("+4.98748741E-01", "0.498748741"),
        ("+1.23E+3", "1230"),
    ],
)
def test_the_three_forms_of_numbers(text: str, value: str) -> None:
    """Each gives its exact value."""
    assert scpi.number(text) == Decimal(value)


@pytest.mark.parametrize(
    ("text", "entry"),
    [
        # Keysight 81160A guide p. 504; Fluke 1529 guide p. 113; Metrix MTX3292 guide p. 20.
        ('0,"No error"', (0, "No error")),
        ('+0,"No error"', (0, "No error")),
        ("0,No error", (0, "No error")),
        ('-113,"Undefined header"', (-113, "Undefined header")),
        ('-350,"Queue overflow"', (-350, "Queue overflow")),
    ],
)
def test_entries_of_the_error_queue(text: str, entry: tuple[int, str]) -> None:
    """Quoted or not, signed or not."""
    assert scpi.error(text) == entry


def test_an_identity_has_four_fields() -> None:
    """Maker, model, serial, revision (Agilent Truevolt guide p. 156); HP 53131A puts a space in."""
    assert scpi.identity("HEWLETT-PACKARD, 53131A,0,3944") == "HEWLETT-PACKARD,53131A,0,3944"
