"""A figure of an engine run as text with its doubt, and as a band ruler."""

from benchassist.core.quantity import Quantity
from benchassist.core.ruler import Ruler
from benchassist.services.bench.rulers import ruler_of
from benchassist.services.runs.engine_verdict import Gauged, Judged
from benchassist.services.translation import _
from benchassist.units import UnitChoice, text_of, with_doubt


def figure_text(judged: Judged, units: UnitChoice) -> tuple[str, str]:
    """A figure with its unit, and its doubt as '±20'."""
    doubt = judged.judgement.expanded_uncertainty
    if judged.gauged is Gauged.DROOP:
        return percent_text(judged.value), f"±{100.0 * doubt:.1f}" if doubt else ""
    quantity = judged.reading.quantity or Quantity.SPEED
    count = judged.reading.resolution
    if not doubt:
        return str(text_of(judged.value, quantity, resolution=count, units=units)), ""
    number, digits = with_doubt(
        judged.value, quantity, uncertainty=doubt, resolution=count, units=units
    )
    return str(number), f"±{digits}"


def percent_text(fraction: float) -> str:
    """A fraction in percent, to a tenth: '5.1 %'."""
    return _("{percent:.1f} %").format(percent=100.0 * fraction)


def figure_ruler(judged: Judged, units: UnitChoice) -> Ruler | None:
    """The figure in its band; None where there is no band."""
    band = judged.band
    if band is None:
        return None
    if judged.gauged is not Gauged.DROOP:
        return ruler_of(judged.judgement, band, reading=judged.reading, units=units)
    value, doubt = figure_text(judged, units)
    return Ruler(
        low=band.low,
        high=band.high,
        value=judged.value,
        doubt=judged.judgement.expanded_uncertainty or 0.0,
        verdict=judged.judgement.verdict,
        side=judged.judgement.side,
        unit_text="%",
        factor=0.01,
        reading_label=f"{value} {doubt}".strip(),
        floor_at_zero=False,
    )
