"""text-line: what a line says and when it is refused."""

from decimal import Decimal

import pytest

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag
from benchassist.meters.decoder import Unread
from benchassist.meters.shown import Shown
from benchassist.meters.text_line import FAMILY, parse


def display(text: str) -> Shown:
    """What a line that shows something shows."""
    shown = parse(text.encode("utf-8"))
    assert isinstance(shown, Shown)
    return shown


@pytest.mark.parametrize(
    "text",
    [
        "",
        "OHM",
        "OHM kOhm",
        "OHM 3.860",
        "3.860",
        "OHM 3,860 kOhm",
        "OHM 3.8.6 kOhm",
        "OHM nan kOhm",
        "OHM inf kOhm",
        "OHM 1e3 Ohm",
        "OHM ++3.86 kOhm",
        "OHM 3.86 kV",
        "DCV 3.86 kOhm",
        "OHM 3.86 xOhm",
        "OHM 3.86 kOhm AVG",
        "TMP 25",
        "OHM 25 C",
        "OHM 3.86 kOhm 4.1 kOhm",
        "OHM ٣ Ohm",
        "OHM -",
    ],
)
def test_a_line_that_says_more_or_less_is_refused(text: str) -> None:
    """No unit, two units, a comma, a word that could change the meaning: no number."""
    assert parse(text.encode("utf-8")) is None


@pytest.mark.parametrize(
    ("text", "value", "count"),
    [
        ("OHM 10 kOhm", "1E4", "1E3"),
        ("OHM 10.0 kOhm", "10.0E3", "1E2"),
        ("OHM .8 Ohm", "0.8", "0.1"),
        ("OHM 0.00 kOhm", "0", "10"),
        ("OHM 1.234 MOhm", "1234000", "1000"),
        ("DCV -0.001 V", "-0.001", "0.001"),
        ("DCV 12. V", "12", "1"),
    ],
)
def test_one_count_is_the_last_decimal_times_the_prefix(text: str, value: str, count: str) -> None:
    """The digits as printed carry the resolution."""
    shown = display(text)
    assert (shown.value, shown.resolution) == (Decimal(value), Decimal(count))


@pytest.mark.parametrize("unit", ["Ohm", "ohm", "OHM", "Ω", "\N{OHM SIGN}", "ohms"])
def test_the_ohm_has_many_spellings(unit: str) -> None:
    """All of them are the ohm."""
    assert display(f"OHM 3.86 k{unit}").value == 3860


@pytest.mark.parametrize("micro", ["u", "µ", "\N{GREEK SMALL LETTER MU}"])
def test_the_micro_has_three(micro: str) -> None:
    """Letter u and both signs."""
    assert display(f"CAP 1.5 {micro}F").value == Decimal("1.5E-6")


def test_bytes_that_are_no_unicode_are_read_as_latin() -> None:
    """A degree or micro sign in one byte."""
    shown = parse("TMP 25.1 °C".encode("latin-1"))
    assert isinstance(shown, Shown)
    assert (shown.quantity, shown.value) == (Quantity.TEMPERATURE, Decimal("25.1"))


def test_flags_are_words_anywhere_behind_the_function() -> None:
    """They bar taking and are no part of the number."""
    shown = display("OHM AUTO 3.86 kOhm HOLD rel MIN MAX LOBAT")
    assert shown.flags == frozenset(Flag)


def test_a_line_without_its_function_is_read_by_its_unit() -> None:
    """Once the end of the line before was seen, it is whole."""
    decoder = FAMILY.make_decoder("A")
    found = decoder.feed(b"60 kOhm\r\n3.860 kOhm\r\n", 0.0)
    assert [r.value for r in found] == [3860.0]


@pytest.mark.parametrize("end", [b"\n", b"\r", b"\r\n", b"\n\r"])
def test_any_line_end_will_do(end: bytes) -> None:
    """LF, CR, both and the other way round; stray zero bytes and 0xFF at the ends are no matter."""
    decoder = FAMILY.make_decoder("A")
    found = decoder.feed(b"OHM 1.1 Ohm" + end + b"\x00OHM 1.2 Ohm\xff" + end, 0.0)
    assert [r.value for r in found] == [1.1, 1.2]


def test_no_line_is_unread() -> None:
    """Every function of the dialect is read."""
    assert not isinstance(parse(b"TMP 25 C\r\n"), Unread)
