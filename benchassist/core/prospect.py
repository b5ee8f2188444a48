"""What a meter on a range could say of a band, before the probes touch.

The doubt is the one a reading on that range would have (`benchassist.core.estimate`), so that what
is promised here and what is judged later are the same sum.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from math import inf, sqrt
from typing import Final

from benchassist.core.accuracy import SQRT3, SQRT12, WORST_CASE, MeterRange
from benchassist.core.band import Band, sayable
from benchassist.core.estimate import Conditions, MeterDoubt, copper_factor, meter_doubt
from benchassist.core.procedure import MeterCard
from benchassist.core.quantity import Quantity
from benchassist.core.volt_drop import HIGHEST_CURRENT, volt_drop_doubt

USUAL_CURRENT: Final = HIGHEST_CURRENT / 2.0
"""Ampere assumed for a volt drop to come."""

SMALL_VOLTS: Final = MeterRange(full_scale=0.2, resolution=1e-4, accuracy=WORST_CASE)
SMALL_AMPERES: Final = MeterRange(full_scale=0.2, resolution=1e-4, accuracy=WORST_CASE)
"""What the cheapest meters have, taken where the card says nothing of volts and amperes."""


class Reach(StrEnum):
    """How much of a band a meter can call."""

    CALLS_IT = "calls_it"
    """At least nine tenths of the band."""
    CALLS_MOST = "calls_most"
    """At least half."""
    CALLS_SOME = "calls_some"
    OPEN_ONLY = "open_only"
    """Never In band, but an open shows."""
    NOTHING = "nothing"


RANK: Final = tuple(Reach)
"""Best first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Prospect:
    """What one range could do for one band.

    `expanded` is U = k u at the middle of the band (at its only limit where there is one), `share`
    the part of the band over which In band could be said, both after correction.
    """

    full_scale: float | None
    resolution: float | None
    expanded: float
    share: float
    reach: Reach
    doubt: MeterDoubt

    @property
    def decides(self) -> bool:
        """Whether In band can be said at all."""
        return self.reach in {Reach.CALLS_IT, Reach.CALLS_MOST, Reach.CALLS_SOME}


def prospect(
    range_: MeterRange, band: Band, conditions: Conditions, *, k: float, rezeroed: bool = True
) -> Prospect:
    """What a range could do. `rezeroed`: the leads would be zeroed anew on it (ohms only).

    The part's temperature counts where the band is corrected for it; a spread does not, since it
    belongs to a touch and not to a meter.
    """
    q, full_scale = range_.resolution, range_.full_scale
    factor, slope = copper_factor(conditions)
    fixed = range_.accuracy.fixed_part(resolution=q, full_scale=full_scale) or 0.0
    zero = conditions.lead_zero
    offset = zero.value if zero else 0.0
    u_zero = 0.0
    if rezeroed and band.quantity is Quantity.RESISTANCE:
        u_zero = q / SQRT12
    elif zero:
        u_zero = zero.standard_uncertainty(resolution=q, full_scale=full_scale) or 0.0
    doubt = meter_doubt(
        range_.accuracy.percent / 100.0,
        fixed=fixed,
        offset=offset,
        u_constant=sqrt(q * q / 12.0 + u_zero * u_zero),
        factor=factor,
    )
    doubt = with_temperature(doubt, slope, conditions)
    return _prospect(
        doubt,
        band,
        k=k,
        top=(full_scale - offset) * factor,
        full_scale=full_scale,
        resolution=q,
    )


def volt_drop_prospect(
    band: Band, conditions: Conditions, *, card: MeterCard | None, k: float
) -> Prospect:
    """What a volt drop at half the allowed current could do, on the card's finest ranges."""
    factor, slope = copper_factor(conditions)
    i = USUAL_CURRENT
    ceiling = (band.high or band.lower or 0.0) / factor * i
    volts = _smallest(_ranges(card, Quantity.VOLTAGE), ceiling) or SMALL_VOLTS
    amperes = _smallest(_ranges(card, Quantity.CURRENT), i) or SMALL_AMPERES
    a_i = amperes.accuracy.half_width(
        i, resolution=amperes.resolution, full_scale=amperes.full_scale
    )
    fixed = volts.accuracy.fixed_part(resolution=volts.resolution, full_scale=volts.full_scale)
    per_volt = factor / i
    doubt = volt_drop_doubt(
        volts.accuracy.percent / 100.0,
        fixed=(fixed or 0.0) * per_volt,
        u_count=volts.resolution / SQRT12 * per_volt,
        relative_u_current=sqrt(((a_i or 0.0) / SQRT3) ** 2 + amperes.resolution**2 / 12.0) / i,
    )
    doubt = with_temperature(doubt, slope, conditions)
    return _prospect(
        doubt,
        band,
        k=k,
        top=volts.full_scale * per_volt,
        full_scale=None,
        resolution=volts.resolution * per_volt,
    )


def with_temperature(doubt: MeterDoubt, slope: float, conditions: Conditions) -> MeterDoubt:
    """The doubt with the part's temperature in it: a share of y, like a percentage of reading."""
    if not slope or conditions.part_temperature is None:
        return doubt
    return MeterDoubt(
        a2=doubt.a2 + (slope * conditions.part_temperature.u) ** 2, a1=doubt.a1, a0=doubt.a0
    )


def best_of(prospects: Iterable[Prospect]) -> Prospect | None:
    """The smallest U among those that can decide, else among those that find an open."""
    ranked = sorted(prospects, key=lambda p: p.expanded)
    deciding = next((p for p in ranked if p.decides), None)
    return deciding or next((p for p in ranked if p.reach is Reach.OPEN_ONLY), None)


def _prospect(
    doubt: MeterDoubt,
    band: Band,
    *,
    k: float,
    top: float,
    full_scale: float | None,
    resolution: float | None,
) -> Prospect:
    low, high = band.lower, band.high
    share = _share(doubt, band, k=k, top=top)
    if high is None and low is not None and top >= low:
        share = 1.0  # above range is In band there: an overload calls the rest
    if share > 0.0:
        reach = (
            Reach.CALLS_IT
            if share >= 0.9
            else Reach.CALLS_MOST
            if share >= 0.5
            else Reach.CALLS_SOME
        )
    else:
        reach = Reach.OPEN_ONLY if high is not None and top > high else Reach.NOTHING
    return Prospect(
        full_scale=full_scale,
        resolution=resolution,
        expanded=k * doubt.standard_uncertainty(abs(_middle(band))),
        share=share,
        reach=reach,
        doubt=doubt,
    )


def _share(doubt: MeterDoubt, band: Band, *, k: float, top: float) -> float:
    """The part of the band over which In band could be said: 0 to 1."""
    stretches = sayable(doubt, band, k=k, top=top)
    if not stretches:
        return 0.0
    start = band.lower if band.lower is not None else min(0.0, *(s for s, _ in stretches))
    end = band.high if band.high is not None else top
    if start == -inf or end <= start:
        return 1.0
    covered = sum(max(0.0, min(b, end) - max(a, start)) for a, b in stretches)
    return min(1.0, covered / (end - start))


def _middle(band: Band) -> float:
    low, high = band.lower, band.high
    if low is not None and high is not None:
        return 0.5 * (low + high)
    return low if low is not None else high if high is not None else 0.0


def _ranges(card: MeterCard | None, quantity: Quantity) -> tuple[MeterRange, ...]:
    return card.ranges.get(quantity, ()) if card else ()


def _smallest(ranges: tuple[MeterRange, ...], ceiling: float) -> MeterRange | None:
    """The range with the finest count that holds `ceiling`."""
    return min(
        (r for r in ranges if r.full_scale >= ceiling), key=lambda r: r.resolution, default=None
    )
