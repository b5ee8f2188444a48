"""A meter card as a table: each range with its steps, its doubt and an example of that."""

from benchassist.core.accuracy import Accuracy, MeterRange
from benchassist.core.estimate import Conditions, estimate
from benchassist.core.procedure import MeterCard
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.services.desk import RangeRow
from benchassist.services.translation import _
from benchassist.services.wording import value_and_doubt
from benchassist.units import scaled

EXAMPLE_AT = 0.45
"""Where on a range the example stands."""


def range_rows(card: MeterCard | None, k: float) -> tuple[RangeRow, ...]:
    """The card's ranges for ohms, volts and hertz, in that order."""
    if card is None:
        return ()
    return tuple(
        _row(quantity, one, k)
        for quantity in (Quantity.RESISTANCE, Quantity.VOLTAGE, Quantity.FREQUENCY)
        for one in card.ranges.get(quantity, ())
    )


def _row(quantity: Quantity, one: MeterRange, k: float) -> RangeRow:
    reading = Reading(
        t_s=0.0,
        channel="",
        quantity=quantity,
        value=EXAMPLE_AT * one.full_scale,
        resolution=one.resolution,
        full_scale=one.full_scale,
    )
    found = estimate(reading, Conditions(accuracy=one.accuracy))
    value, doubt = value_and_doubt(found.y, k * found.standard_uncertainty, quantity)
    return RangeRow(
        range_text=str(scaled(one.full_scale, quantity)),
        steps_text=str(scaled(one.resolution, quantity)),
        doubt_text=_statement(one.accuracy),
        example_text=_("{value} is {doubt}").format(value=value, doubt=doubt),
    )


def _statement(accuracy: Accuracy) -> str:
    """As short as a booklet prints it: 0.8% + 3."""
    parts = [f"{accuracy.percent:g}%"]
    if accuracy.percent_of_range:
        parts.append(_("{percent:g}% range").format(percent=accuracy.percent_of_range))
    if accuracy.counts:
        parts.append(f"{accuracy.counts:g}")
    return " + ".join(parts)
