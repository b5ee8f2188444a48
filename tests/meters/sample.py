"""Blocks of every frame family with what the display showed when they were sent.

The nibble-14 blocks come from the tables in its module, worked out by hand and not by a program of
ours; the text lines are of the dialect its module describes.
"""

from decimal import Decimal

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Mode
from benchassist.meters.shown import Shown
from tests.meters.vector import VECTORS, Sample

__all__ = ["NIBBLE_14", "SAMPLES", "TEXT_LINE", "Sample"]

AUTO = frozenset({Flag.AUTO})
HELD = frozenset({Flag.HOLD, Flag.LOW_BATTERY})


def _nibble(
    text: str,
    quantity: Quantity,
    value: str | None,
    *,
    count: str,
    full_scale: str,
    exponent: int = 0,
    mode: Mode = Mode.PLAIN,
    flags: frozenset[Flag] = AUTO,
) -> Sample:
    return Sample(
        bytes.fromhex(text),
        Shown(
            quantity=quantity,
            value=None if value is None else Decimal(value),
            resolution=Decimal(count),
            full_scale=Decimal(full_scale),
            mode=mode,
            flags=flags,
            exponent=exponent,
        ),
    )


def _line(
    text: str,
    quantity: Quantity,
    value: str | None,
    *,
    count: str | Decimal | None = None,
    exponent: int = 0,
    mode: Mode = Mode.PLAIN,
    flags: frozenset[Flag] = frozenset(),
) -> Sample:
    return Sample(
        text.encode("utf-8") + b"\r\n",
        Shown(
            quantity=quantity,
            value=None if value is None else Decimal(value),
            resolution=None if count is None else Decimal(count),
            mode=mode,
            flags=flags,
            exponent=exponent,
        ),
    )


R, V, F = Quantity.RESISTANCE, Quantity.VOLTAGE, Quantity.FREQUENCY
T, C = Quantity.TEMPERATURE, Quantity.CAPACITANCE
NIBBLE_14 = tuple(
    _nibble(text, quantity, value, count=count, full_scale=full_scale, exponent=exponent)
    for text, quantity, value, count, full_scale, exponent in (
        ("30 30 30 31 31 30 33 30 30 30 32 30 0D 0A", R, "1.10", "0.01", "220", 0),
        ("32 30 33 38 36 30 33 30 30 30 32 30 0D 0A", R, "3860", "1", "22000", 3),
        ("32 31 31 33 38 30 33 30 30 30 32 30 0D 0A", R, "11380", "1", "22000", 3),
        ("32 31 33 32 30 30 33 30 30 30 32 30 0D 0A", R, "13200", "1", "22000", 3),
        ("36 32 32 30 30 30 33 31 30 30 32 30 0D 0A", R, None, "1E+4", "220E6", 6),
        ("31 30 30 36 30 30 32 30 30 30 32 30 0D 0A", F, "60.0", "0.1", "220", 0),
        ("31 31 32 33 34 35 3B 34 30 30 3A 30 0D 0A", V, "-12.345", "0.001", "22", 0),
    )
)
TEXT_LINE = (
    _line("OHM 1.1 Ohm", R, "1.1", count="0.1"),
    _line("OHM  3.86 kOhm ", R, "3860", count="10", exponent=3),
    _line("2 OHM + 11.38 k Ohm", R, "11380", count="10", exponent=3),
    _line("OHM 13.20 kΩ", R, "13200", count="10", exponent=3),
    _line("OHM OL MOhm", R, None, exponent=6),
    _line("OHM O.L", R, None),
    _line("OHM -OL", R, None),
    _line("OHM OVLOAD", R, None),
    _line("OHM ----", R, None),
    _line("FRQ 60.0 Hz", F, "60.0", count="0.1"),
    _line("TMP 25 C", T, "25", count="1"),
    _line("TMP 77 F", T, "25", count=Decimal(5) / 9),
    _line("DCV -12.34 V", V, "-12.34", count="0.01"),
    _line("ACV .482 mV", V, ".000482", count="1E-6", exponent=-3, mode=Mode.AC),
    _line("DIO 0.612 V", V, "0.612", count="0.001", mode=Mode.DIODE),
    _line("BEP 0.3 Ohm", R, "0.3", count="0.1", mode=Mode.CONTINUITY),
    _line("CAP 4.70 µF", C, "4.70E-6", count="1E-8", exponent=-6),
    _line("OHM 3.9 kOhm HOLD BAT", R, "3900", count="100", exponent=3, flags=HELD),
)
SAMPLES = {"nibble-14": NIBBLE_14, "text-line": TEXT_LINE, **VECTORS}
