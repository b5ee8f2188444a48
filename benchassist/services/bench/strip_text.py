"""The strip of the last minute: readings of one channel scaled to the unit of their band."""

from collections.abc import Sequence

from benchassist.core.band import Band
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.speed import speed_reading
from benchassist.services.bench.view import Strip
from benchassist.services.translation import _, ngettext
from benchassist.units import UnitChoice, display_unit


def strip_of(
    rows: Sequence[tuple[float, Reading]],
    band: Band | None,
    *,
    units: UnitChoice | None = None,
    pulses_per_rev: float | None = None,
) -> Strip:
    """Seconds before now and values; overloads as None, what is of another kind left out."""
    units = units or UnitChoice()
    if pulses_per_rev is not None:
        rows = [(s, speed_reading(r, pulses_per_rev)) for s, r in rows]
    quantity = band.quantity if band is not None else _kind(rows)
    if quantity is None:
        return Strip()
    rows = [(s, r) for s, r in rows if r.quantity is quantity]
    limits = (band.lower, band.high) if band is not None else ()
    known = [v for v in limits if v is not None] or [r.value or 0.0 for _s, r in rows]
    unit = display_unit(max((abs(v) for v in known), default=0.0), quantity, units=units)
    low, high = limits or (None, None)
    return Strip(
        seconds=tuple(s for s, _r in rows),
        values=tuple(None if r.value is None else unit.from_base(r.value) for _s, r in rows),
        low=None if low is None else unit.from_base(low),
        high=None if high is None else unit.from_base(high),
        unit=unit.symbol,
        summary=_summary(rows),
    )


def _kind(rows: Sequence[tuple[float, Reading]]) -> Quantity | None:
    return rows[-1][1].quantity if rows else None


def _summary(rows: Sequence[tuple[float, Reading]]) -> str:
    """The strip for who does not see it."""
    if not rows:
        return _("No readings in the last minute.")
    above = sum(1 for _s, r in rows if r.overload)
    text = ngettext(
        "{n} reading in the last minute, {above} above range.",
        "{n} readings in the last minute, {above} above range.",
        len(rows),
    )
    return text.format(n=len(rows), above=above)
