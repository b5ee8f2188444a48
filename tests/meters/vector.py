"""Blocks of the hand-held families with what their displays showed.

Worked out by hand from the layouts in the modules' docstrings and not by a program of ours: they
catch slips of arithmetic, not a table that is wrong for a meter.
"""

from dataclasses import dataclass
from decimal import Decimal

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Mode
from benchassist.meters.shown import Shown

R, V, F, T = (
    Quantity.RESISTANCE,
    Quantity.VOLTAGE,
    Quantity.FREQUENCY,
    Quantity.TEMPERATURE,
)
AUTO = frozenset({Flag.AUTO})
NONE: frozenset[Flag] = frozenset()


@dataclass(frozen=True, slots=True)
class Sample:
    """A block and what it shows."""

    block: bytes
    shown: Shown


def _sample(
    text: str,
    quantity: Quantity | None,
    value: str | None,
    count: str | None,
    *,
    full_scale: str | None = None,
    exponent: int = 0,
    flags: frozenset[Flag] = NONE,
) -> Sample:
    return Sample(
        bytes.fromhex(text),
        Shown(
            quantity=quantity,
            value=None if value is None else Decimal(value),
            resolution=None if count is None else Decimal(count),
            full_scale=None if full_scale is None else Decimal(full_scale),
            mode=Mode.PLAIN,
            flags=flags,
            exponent=exponent,
        ),
    )


NIBBLE_11 = tuple(
    _sample(text, quantity, value, count, full_scale=end, exponent=exponent, flags=AUTO)
    for text, quantity, value, count, end, exponent in (
        ("30 30 30 31 31 33 30 30 32 0D 0A", R, "1.1", "0.1", "400", 0),
        ("32 30 33 38 36 33 30 30 32 0D 0A", R, "3860", "10", "40E3", 3),
        ("32 31 31 33 38 33 30 30 32 0D 0A", R, "11380", "10", "40E3", 3),
        ("32 31 33 32 30 33 30 30 32 0D 0A", R, "13200", "10", "40E3", 3),
        ("35 34 30 30 30 33 31 30 32 0D 0A", R, None, "1E4", "40E6", 6),
        ("30 30 30 36 30 32 38 30 32 0D 0A", F, "60", "1", "4000", 3),
        ("32 31 32 33 34 3B 34 30 3A 0D 0A", V, "-12.34", "0.01", "40", 0),
    )
)
ASCII_14 = (
    _sample("2B 30 30 31 31 20 34 20 00 00 20 00 0D 0A", R, "1.1", "0.1", flags=AUTO),
    _sample("2B 33 38 36 30 20 31 20 00 20 20 00 0D 0A", R, "3860", "1", exponent=3, flags=AUTO),
    _sample("2B 31 31 33 38 20 32 20 00 20 20 00 0D 0A", R, "11380", "10", exponent=3, flags=AUTO),
    _sample("2B 31 33 32 30 20 32 20 00 20 20 00 0D 0A", R, "13200", "10", exponent=3, flags=AUTO),
    _sample(
        "2B 3F 30 3A 3F 20 32 20 00 10 20 00 0D 0A",
        R,
        None,
        "1E4",
        full_scale="40E6",
        exponent=6,
        flags=AUTO,
    ),
    _sample("2B 30 36 30 30 20 34 20 00 00 10 00 0D 0A", F, "60.0", "0.1", flags=AUTO),
    _sample("2B 30 30 32 35 20 30 00 00 00 02 00 0D 0A", T, "25", "1"),
    _sample("2D 31 32 33 34 20 32 30 00 00 80 00 0D 0A", V, "-12.34", "0.01", flags=AUTO),
)
SEGMENT_14 = tuple(
    _sample(text, quantity, value, count, full_scale=end, exponent=exponent, flags=flags)
    for text, quantity, value, count, end, exponent, flags in (
        ("13 27 3D 47 5D 60 75 88 95 A0 B0 C4 D0 E0", R, "1.1", "0.1", "400", 0, AUTO),
        ("13 20 30 41 5F 6F 7F 87 9E A2 B0 C4 D0 E0", R, "3860", "10", "40E3", 3, AUTO),
        ("13 20 35 40 55 69 7F 87 9F A2 B0 C4 D0 E0", R, "11380", "10", "40E3", 3, AUTO),
        ("13 20 35 41 5F 6D 7B 87 9D A2 B0 C4 D0 E0", R, "13200", "10", "40E3", 3, AUTO),
        ("13 20 30 47 5D 6E 78 80 90 A0 B2 C4 D0 E0", R, None, "1E4", "40E6", 6, AUTO),
        ("13 27 3D 47 5E 67 7D 8F 9D A0 B0 C0 D2 E0", F, "60.0", "0.1", None, 0, AUTO),
        ("11 27 3D 47 5D 65 7B 83 9E A0 B0 C0 D0 E1", None, "25", "1", None, 0, NONE),
        ("17 28 35 45 5B 69 7F 82 97 A0 B0 C0 D4 E0", V, "-12.34", "0.01", "40", 0, AUTO),
    )
)
STX_16 = tuple(
    _sample(text, quantity, value, count, exponent=exponent)
    for text, quantity, value, count, exponent in (
        ("02 34 31 33 38 30 31 30 30 30 30 30 30 31 31 0D", R, "1.1", "0.1", 0),
        ("02 34 31 33 39 30 32 30 30 30 30 30 33 38 36 0D", R, "3860", "10", 3),
        ("02 34 31 33 39 30 32 30 30 30 30 31 31 33 38 0D", R, "11380", "10", 3),
        ("02 34 31 33 39 30 31 30 30 30 30 30 31 33 32 0D", R, "13200", "100", 3),
        ("02 34 31 33 31 30 31 30 30 30 30 30 36 30 30 0D", F, "60.0", "0.1", 0),
        ("02 34 31 30 31 30 30 30 30 30 30 30 30 32 35 0D", T, "25", "1", 0),
        ("02 34 31 33 34 31 32 30 30 30 30 31 32 33 34 0D", V, "-12.34", "0.01", 0),
    )
)
POLL_14 = tuple(
    _sample(text, quantity, value, count, exponent=exponent)
    for text, quantity, value, count, exponent in (
        ("4F 48 20 20 20 30 31 2E 31 20 4F 68 6D 0D", R, "1.1", "0.1", 0),
        ("4F 48 20 20 20 33 2E 38 36 6B 4F 68 6D 0D", R, "3860", "10", 3),
        ("4F 48 20 20 31 31 2E 33 38 6B 4F 68 6D 0D", R, "11380", "10", 3),
        ("4F 48 20 20 20 31 33 2E 32 6B 4F 68 6D 0D", R, "13200", "100", 3),
        ("4F 48 20 20 20 20 4F 2E 4C 4D 4F 68 6D 0D", R, None, None, 6),
        ("46 52 20 20 20 36 30 2E 30 20 20 48 7A 0D", F, "60.0", "0.1", 0),
        ("54 45 20 20 20 30 30 32 35 20 20 20 43 0D", T, "25", "1", 0),
        ("44 43 20 2D 31 32 2E 33 34 20 20 20 56 0D", V, "-12.34", "0.01", 0),
    )
)
VECTORS = {
    "nibble-11": NIBBLE_11,
    "ascii-14": ASCII_14,
    "segment-14": SEGMENT_14,
    "stx-16": STX_16,
    "poll-14": POLL_14,
}
