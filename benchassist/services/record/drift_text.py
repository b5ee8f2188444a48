"""Whether a quantity has moved, in words: a drift is stated only where it exceeds its doubt."""

from benchassist.core.entry import Taken
from benchassist.core.quantity import Quantity
from benchassist.core.trend import Change, Drift, Line, Trend, TrendPoint, change, trend_point
from benchassist.services.record.machine_file_view import LastGood
from benchassist.services.translation import _
from benchassist.services.wording import day_text
from benchassist.units import UnitChoice, difference_text

LONG_ENOUGH_S = 180.0 * 86400.0
"""Visits have to lie this far apart before a change is told as so much a year."""


def drift_text(
    trend: Trend, quantity: Quantity, units: UnitChoice, *, exponent: int | None
) -> tuple[str, str]:
    """What may be said of a trend, and the figures it stands on; both empty where nothing may.

    A line over three visits and half a year is told as so much a year. Where no line is a drift,
    the newest step may still be a change by itself.
    """
    last, line = trend.last, trend.line
    counting = [point for point in trend.points if point.counts]
    if trend.drift is Drift.UNTOLD or last is None:
        return "", ""
    if line is not None and line.real and len(counting) > 2:
        span = (counting[-1].at - counting[0].at).total_seconds()
        if span >= LONG_ENOUGH_S:
            return _per_year(line, quantity, units, exponent=exponent)
        along = Change(delta=line.slope * span, u=line.u * span, k=line.k)
        return _since(along, counting[0], quantity, units, exponent=exponent), ""
    if last.real:
        return _since(last, counting[-2], quantity, units, exponent=exponent), ""
    least = _width(last.k * last.u, quantity, units, exponent=exponent)
    return _("No real change"), _("a change below {width} cannot be told").format(width=least)


def _since(
    moved: Change, point: TrendPoint, quantity: Quantity, units: UnitChoice, *, exponent: int | None
) -> str:
    text = change_text(moved, quantity, units, exponent=exponent)
    return _("{change} since {day}").format(change=text, day=day_text(point.at))


def _per_year(
    line: Line, quantity: Quantity, units: UnitChoice, *, exponent: int | None
) -> tuple[str, str]:
    rate = _width(abs(line.per_year), quantity, units, exponent=exponent)
    doubt = _width(line.k * line.u_per_year, quantity, units, exponent=exponent)
    text = _("Creeping up {rate} a year") if line.slope > 0.0 else _("Creeping down {rate} a year")
    return text.format(rate=rate), _("±{doubt} a year").format(doubt=doubt)


def change_text(
    moved: Change, quantity: Quantity, units: UnitChoice, *, exponent: int | None = None
) -> str:
    """'Up 0.12 kΩ ±0.05 kΩ', 'Down ...', or that it is no real change."""
    if not moved.real:
        return _("No real change")
    amount = _width(abs(moved.delta), quantity, units, exponent=exponent)
    doubt = _width(moved.k * moved.u, quantity, units, exponent=exponent)
    text = _("Up {amount} ±{doubt}") if moved.delta > 0.0 else _("Down {amount} ±{doubt}")
    return text.format(amount=amount, doubt=doubt)


def beside_now(good: LastGood, taken: Taken, units: UnitChoice, *, k: float = 2.0) -> str:
    """What is measured now against the last value in band, in one line; empty where neither can be.

    An overload and a winding of unknown temperature have nothing to be compared by.
    """
    point = trend_point(taken, copper=good.copper, reference_celsius=good.reference_celsius)
    if point is None or not (point.counts and good.point.counts):
        return ""
    moved = change(good.point, point, k=k)
    exponent = taken.reading.exponent if taken.reading.quantity is good.quantity else None
    text = change_text(moved, good.quantity, units, exponent=exponent)
    return _("{change} since {day}").format(change=text, day=good.day_text)


def _width(value: float, quantity: Quantity, units: UnitChoice, *, exponent: int | None) -> str:
    return str(difference_text(value, quantity, exponent=exponent, units=units))
