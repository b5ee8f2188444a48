"""What is known of a meter as a table: each range with its steps, its doubt and an example of that.

What was typed stands first, then the ranges of the card, each with the statement that holds on it.
"""

from collections.abc import Iterator

from benchassist.core.accuracy import Accuracy, MeterRange
from benchassist.core.estimate import Conditions, estimate
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.services.bench.condition_text import quantity_text
from benchassist.services.bench.taking import MeterSetup
from benchassist.services.desk import RangeRow
from benchassist.services.metering.statement import same_range
from benchassist.services.translation import _
from benchassist.services.wording import value_and_doubt
from benchassist.units import Statement, scaled, step_text

EXAMPLE_AT = 0.45
"""Where on a range the example stands."""
SHOWN = (Quantity.RESISTANCE, Quantity.VOLTAGE, Quantity.FREQUENCY, Quantity.TEMPERATURE)


def range_rows(setup: MeterSetup, k: float) -> tuple[RangeRow, ...]:
    """Ranges for ohms, volts, hertz and celsius, in that order; what else was typed follows."""
    stated = tuple(one.quantity for one in setup.stated)
    return tuple(
        row for quantity in dict.fromkeys((*SHOWN, *stated)) for row in _rows(setup, quantity, k)
    )


def _rows(setup: MeterSetup, quantity: Quantity, k: float) -> Iterator[RangeRow]:
    on_card = setup.card.ranges.get(quantity, ()) if setup.card is not None else ()
    typed = [one for one in setup.stated if one.quantity is quantity]
    for one in typed:
        if one.full_scale is None or not any(_is_on(one, known) for known in on_card):
            yield _typed_row(one, every=one.full_scale is None)
    for known in on_card:
        yield _row(quantity, known, setup.accuracy_of(_example(quantity, known)), k)


def _is_on(one: Statement, known: MeterRange) -> bool:
    return one.full_scale is not None and same_range(one.full_scale, known.full_scale)


def _typed_row(one: Statement, *, every: bool) -> RangeRow:
    """A statement whose steps are not known before the meter shows them."""
    name = (
        quantity_text(one.quantity) if every else str(scaled(one.full_scale or 0.0, one.quantity))
    )
    return RangeRow(
        range_text=name,
        steps_text="",
        doubt_text=_statement(one.accuracy, one.quantity),
        example_text=_("as typed, every range") if every else _("as typed"),
    )


def _example(quantity: Quantity, one: MeterRange) -> Reading:
    return Reading(
        t_s=0.0,
        channel="",
        quantity=quantity,
        value=EXAMPLE_AT * one.full_scale,
        resolution=one.resolution,
        full_scale=one.full_scale,
    )


def _row(quantity: Quantity, one: MeterRange, accuracy: Accuracy, k: float) -> RangeRow:
    found = estimate(_example(quantity, one), Conditions(accuracy=accuracy))
    value, doubt = value_and_doubt(found.y, k * found.standard_uncertainty, quantity)
    return RangeRow(
        range_text=str(scaled(one.full_scale, quantity)),
        steps_text=str(scaled(one.resolution, quantity)),
        doubt_text=_statement(accuracy, quantity),
        example_text=_("{value} is {doubt}").format(value=value, doubt=doubt),
    )


def _statement(accuracy: Accuracy, quantity: Quantity) -> str:
    """As short as a booklet prints it: 0.8% + 3."""
    parts = [f"{accuracy.percent:g}%"] if accuracy.percent or not accuracy.fixed else []
    if accuracy.percent_of_range:
        parts.append(_("{percent:g}% range").format(percent=accuracy.percent_of_range))
    if accuracy.counts:
        parts.append(f"{accuracy.counts:g}")
    if accuracy.fixed:
        parts.append(str(step_text(accuracy.fixed, quantity)))
    return " + ".join(parts)
