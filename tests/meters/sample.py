"""Blocks of every frame family with what the display showed when they were sent.

The nibble-14 blocks come from the tables in its module, worked out by hand and not by a program of
ours; the text lines are of the dialect its module describes.
"""

from dataclasses import dataclass
from decimal import Decimal

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Mode
from benchassist.meters.shown import Shown

AUTO = frozenset({Flag.AUTO})


@dataclass(frozen=True, slots=True)
class Sample:
    """A block and what it shows."""

    block: bytes
    shown: Shown


def _nibble(
    text: str,
    quantity: Quantity,
    value: str | None,
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
    count: str | Decimal | None,
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
NIBBLE_14 = (
    _nibble("30 30 30 31 31 30 33 30 30 30 32 30 0D 0A", R, "1.10", "0.01", "220"),
    _nibble("32 30 33 38 36 30 33 30 30 30 32 30 0D 0A", R, "3860", "1", "22000", 3),
    _nibble("32 31 31 33 38 30 33 30 30 30 32 30 0D 0A", R, "11380", "1", "22000", 3),
    _nibble("32 31 33 32 30 30 33 30 30 30 32 30 0D 0A", R, "13200", "1", "22000", 3),
    _nibble("36 32 32 30 30 30 33 31 30 30 32 30 0D 0A", R, None, "1E+4", "220E6", 6),
    _nibble("31 30 30 36 30 30 32 30 30 30 32 30 0D 0A", F, "60.0", "0.1", "220"),
    _nibble("31 31 32 33 34 35 3B 34 30 30 3A 30 0D 0A", V, "-12.345", "0.001", "22"),
)
TEXT_LINE = (
    _line("OHM 1.1 Ohm", R, "1.1", "0.1"),
    _line("OHM  3.86 kOhm ", R, "3860", "10", 3),
    _line("2 OHM + 11.38 k Ohm", R, "11380", "10", 3),
    _line("OHM 13.20 kΩ", R, "13200", "10", 3),
    _line("OHM OL MOhm", R, None, None, 6),
    _line("OHM O.L", R, None, None),
    _line("OHM -OL", R, None, None),
    _line("OHM OVLOAD", R, None, None),
    _line("OHM ----", R, None, None),
    _line("FRQ 60.0 Hz", F, "60.0", "0.1"),
    _line("TMP 25 C", Quantity.TEMPERATURE, "25", "1"),
    _line("TMP 77 F", Quantity.TEMPERATURE, "25", Decimal(5) / 9, 0),
    _line("DCV -12.34 V", V, "-12.34", "0.01"),
    _line("ACV .482 mV", V, ".000482", "1E-6", -3, Mode.AC),
    _line("DIO 0.612 V", V, "0.612", "0.001", 0, Mode.DIODE),
    _line("BEP 0.3 Ohm", R, "0.3", "0.1", 0, Mode.CONTINUITY),
    _line("CAP 4.70 µF", Quantity.CAPACITANCE, "4.70E-6", "1E-8", -6),
    _line(
        "OHM 3.86 kOhm HOLD BAT",
        R,
        "3860",
        "10",
        3,
        Mode.PLAIN,
        frozenset({Flag.HOLD, Flag.LOW_BATTERY}),
    ),
)
SAMPLES = {"nibble-14": NIBBLE_14, "text-line": TEXT_LINE}
