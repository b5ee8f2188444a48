"""What a machine's values of one quantity are brought to: unit, temperature, digits, limits."""

from dataclasses import dataclass, replace
from typing import Final

from benchassist.core.band import Band, Judgement
from benchassist.core.copper import correction
from benchassist.core.entry import Taken
from benchassist.core.quantity import NEVER_NEGATIVE, Quantity
from benchassist.core.ruler import Ruler
from benchassist.core.trend import TrendPoint, trend_point
from benchassist.services.bench.rulers import empty_ruler
from benchassist.services.slips.line import value_text
from benchassist.services.translation import _
from benchassist.units import Shown, UnitChoice, display_unit, limits_text, text_of, with_doubt

LONGEST: Final = 5
"""Signs of a limit below a ruler; a longer one is shown with three figures."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """What a card's values are brought to: quantity, unit, and the copper law's temperature."""

    quantity: Quantity
    copper: bool
    celsius: float
    exponent: int | None
    units: UnitChoice

    def point(self, taken: Taken) -> TrendPoint | None:
        """A reading at the card's temperature; None for an overload."""
        return trend_point(taken, copper=self.copper, reference_celsius=self.celsius)

    @property
    def unit_text(self) -> str:
        """The unit of all digits; empty where each value brings its own (seconds and minutes)."""
        if self.quantity is Quantity.DURATION:
            return ""
        unit = display_unit(0.0, self.quantity, exponent=self.exponent, units=self.units)
        return unit.symbol

    @property
    def corrected_text(self) -> str:
        """The temperature windings are brought to: 'at 20 °C'; empty for what is no copper."""
        if not self.copper:
            return ""
        shown = text_of(self.celsius, Quantity.TEMPERATURE, resolution=1.0, units=self.units)
        return _("at {temperature}").format(temperature=shown)

    def digits(self, taken: Taken) -> tuple[str, str]:
        """Value and doubt in the card's unit; words for an overload."""
        point = self.point(taken)
        if point is None:
            return value_text(taken, self.units)[0], ""
        direct = taken.reading.quantity is self.quantity
        count = taken.reading.resolution if direct else None
        if point.u is None:
            shown = text_of(
                point.value,
                self.quantity,
                resolution=count,
                exponent=self.exponent,
                units=self.units,
            )
            return self._bare(shown), ""
        number, doubt = with_doubt(
            point.value,
            self.quantity,
            uncertainty=point.u * taken.judgement.k,
            resolution=count,
            exponent=self.exponent,
            units=self.units,
        )
        return self._bare(number), f"±{doubt}" if doubt else ""

    def _bare(self, shown: Shown) -> str:
        return shown.digits if self.unit_text else str(shown)

    def band(self, band: Band) -> Band:
        """A band's limits at the card's temperature."""
        if not (self.copper and band.copper) or band.reference_celsius == self.celsius:
            return band
        over = correction(band.reference_celsius, self.celsius)[0]
        low, high = (None if v is None else v * over for v in (band.low, band.high))
        return replace(band, low=low, high=high, reference_celsius=self.celsius)

    def bare_ruler(self, judgement: Judgement) -> Ruler:
        """The place of a value that has no band."""
        unit = display_unit(0.0, self.quantity, exponent=self.exponent, units=self.units)
        value, doubt = judgement.value, judgement.expanded_uncertainty or 0.0
        factor, shifted = float(unit.factor), bool(unit.offset)
        if shifted and value is not None:
            value, doubt = unit.from_base(value), doubt / factor
        return Ruler(
            low=None,
            high=None,
            value=value,
            doubt=doubt,
            unit_text=unit.symbol,
            factor=1.0 if shifted else factor,
            floor_at_zero=self.quantity in NEVER_NEGATIVE,
        )

    def judgement(self, taken: Taken) -> Judgement:
        """A reading's judgement with its figures at the card's temperature."""
        point = self.point(taken)
        if point is None:
            return taken.judgement
        expanded = None if point.u is None else point.u * taken.judgement.k
        return replace(taken.judgement, value=point.value, expanded_uncertainty=expanded)

    def limits(self, band: Band | None) -> tuple[tuple[float, str], ...]:
        """A band's limits at the card's temperature, as a ruler has them, and their digits."""
        if band is None:
            return ()
        band = self.band(band)
        ruler = empty_ruler(band, units=self.units)
        low, high, unit = limits_text(
            band.lower, band.high, self.quantity, exponent=self.exponent, units=self.units
        )
        return tuple(
            (placed, short(text) if self.unit_text else f"{text} {unit}")
            for placed, text in ((ruler.low, low), (ruler.high, high))
            if placed is not None and text is not None
        )


def short(digits: str) -> str:
    """Digits of a limit, of a converted one no more than the eye can use."""
    if len(digits) <= LONGEST:
        return digits
    rounded = f"{float(digits.replace('−', '-')):.3g}"
    return digits if "e" in rounded else rounded.replace("-", "−")
