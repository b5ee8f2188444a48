"""One undecided verdict, and each thing that may be tried on it, computed before it is offered."""

from collections.abc import Iterator
from dataclasses import replace
from math import inf, sqrt
from typing import Final

from benchassist.core.accuracy import MeterRange, Part
from benchassist.core.band import Band, Judgement, normal_cdf
from benchassist.core.estimate import Conditions, copper_factor
from benchassist.core.procedure import MeterCard
from benchassist.core.prospect import RANK, Prospect, Reach, prospect, volt_drop_prospect
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.remedy import (
    Advice,
    Remedy,
    by_volt_drop,
    finer_count,
    leads_matter,
    on_range,
    smallest_of_each,
)

WORTH_TRYING: Final = 0.5
"""Least probability of a decision for which a remedy is offered on a reading too close to call."""
CLOSER_TEMPERATURES: Final = (1.0, 0.5)
"""Standard uncertainties in kelvin that a bench can reach with some care."""
HOT: Final = 10.0
"""Kelvin above the reference from which letting the part cool is worth its time."""


class Undecided:
    """One undecided verdict and all that may be tried on it."""

    def __init__(
        self,
        judgement: Judgement,
        band: Band,
        conditions: Conditions,
        *,
        reading: Reading,
        card: MeterCard | None,
        volt_drop: bool,
    ) -> None:
        self.judgement, self.band, self.conditions = judgement, band, conditions
        self.reading, self.card, self.k = reading, card, judgement.k
        self.volt_drop = volt_drop and band.quantity is Quantity.RESISTANCE
        self.ranges = card.ranges.get(band.quantity, ()) if card else ()
        self.factor, self.slope = copper_factor(conditions)

    def range_up(self) -> Advice:
        """The smallest range of the card that holds the limit in question."""
        limit = self.band.high if self.band.high is not None else self.band.lower or 0.0
        here = self.reading.full_scale or 0.0
        up = min(
            (r for r in self.ranges if r.full_scale > max(here, limit / self.factor)),
            key=lambda r: r.full_scale,
            default=None,
        )
        if up is None:
            return Advice(remedy=Remedy.GO_UP_A_RANGE)
        return Advice(
            remedy=Remedy.GO_UP_A_RANGE, full_scale=up.full_scale, resolution=up.resolution
        )

    def finer(self) -> Iterator[Advice]:
        """Where the meter is too coarse: a range, a finer count or a volt drop that can decide.

        A range of the card that finds an open only is named as such; one that is guessed is not.
        """
        if self.judgement.dominant is Part.LEAD_ZERO:
            yield Advice(remedy=Remedy.LEAD_ZERO)
        useful = [
            a
            for a, p in self._candidates()
            if p.decides or (p.reach is Reach.OPEN_ONLY and a.remedy is not Remedy.FINER_COUNT)
        ]
        yield from smallest_of_each(useful)
        if self._assumed():
            yield Advice(remedy=Remedy.ACCURACY_STATEMENT)

    def off_the_edge(self) -> Iterator[Advice]:
        """Where the lozenge touches an edge: what makes it narrow enough to come free of it."""
        match self.judgement.dominant:
            case Part.TEMPERATURE:
                yield from self._temperature()
            case Part.SPREAD:
                yield Advice(remedy=Remedy.STEADY_CONTACT)
            case Part.LEAD_ZERO:
                yield Advice(remedy=Remedy.LEAD_ZERO)
            case _:
                if self._assumed():
                    yield Advice(remedy=Remedy.ACCURACY_STATEMENT)
        settling = []
        for advice, p in self._candidates():
            y, spread = abs(self.judgement.value or 0.0), self.conditions.spread * self.factor
            odds = self._odds(sqrt(p.doubt.standard_uncertainty(y) ** 2 + spread * spread))
            if odds >= WORTH_TRYING:
                settling.append(replace(advice, odds=odds))
        yield from smallest_of_each(settling)
        expanded = self.judgement.expanded_uncertainty or 0.0
        unzeroed = self.conditions.lead_zero is None and self.judgement.dominant is not None
        if unzeroed and leads_matter(self.band, expanded):
            yield Advice(remedy=Remedy.LEAD_ZERO)

    def _candidates(self) -> list[tuple[Advice, Prospect]]:
        """Every other way to read this part that has less doubt than the present one."""
        found = [(on_range(p, self.band, self.conditions), p) for p in self._other_ranges()]
        if not self.ranges:
            found = [(finer_count(p, self.band), p) for p in self._finer_counts()]
        if self.volt_drop:
            drop = volt_drop_prospect(self.band, self.conditions, card=self.card, k=self.k)
            found.append((by_volt_drop(drop), drop))
        y = abs(self.judgement.value or 0.0)
        present = self.judgement.expanded_uncertainty or 0.0
        return [(a, p) for a, p in found if self.k * p.doubt.standard_uncertainty(y) < present]

    def _other_ranges(self) -> list[Prospect]:
        """The card's ranges but the one in use, as far as they hold the value."""
        reading, y = self.reading, self.judgement.value or 0.0
        in_use = self.card and self.card.range_of(
            self.band.quantity, full_scale=reading.full_scale, resolution=reading.resolution
        )
        return [
            prospect(r, self.band, self.conditions, k=self.k)
            for r in self.ranges
            if r != in_use and r.full_scale * self.factor >= y
        ]

    def _finer_counts(self) -> list[Prospect]:
        """The same statement at a tenth, a hundredth ... of the count, where no card is known.

        Up to the coarsest that calls most of the band: that one is enough.
        """
        q, full_scale, accuracy = (
            self.reading.resolution,
            self.reading.full_scale,
            self.conditions.accuracy,
        )
        if q is None or (full_scale is None and accuracy.percent_of_range):
            return []
        found = []
        for tenths in (10.0, 100.0, 1e3, 1e4, 1e5):
            scale = inf if full_scale is None else full_scale / tenths
            finer = MeterRange(full_scale=scale, resolution=q / tenths, accuracy=accuracy)
            found.append(prospect(finer, self.band, self.conditions, k=self.k))
            if RANK.index(found[-1].reach) <= RANK.index(Reach.CALLS_MOST):
                break
        return found

    def _temperature(self) -> Iterator[Advice]:
        """How well the temperature would have to be known, if that can settle it."""
        part, reference = self.conditions.part_temperature, self.conditions.copper_reference
        if part is None or reference is None:
            return
        rest2 = sum(
            c.standard_uncertainty**2
            for c in self.judgement.contributions
            if c.name is not Part.TEMPERATURE
        )
        y = abs(self.judgement.value or 0.0)
        for u in CLOSER_TEMPERATURES:
            odds = self._odds(sqrt(rest2 + (self.slope * y * u) ** 2))
            if u < part.u and odds >= WORTH_TRYING:
                hot = part.celsius - reference > HOT
                remedy = Remedy.COLDER_PART if hot else Remedy.BETTER_THERMOMETER
                yield Advice(remedy=remedy, u_temperature=u, odds=odds)
                return

    def _odds(self, u_new: float) -> float:
        """Probability that a reading with the doubt `u_new` is decided, from what is known now.

        The true value is taken as normal about y; it stays undecided within k u_new of a limit.
        """
        y, u_now = (
            self.judgement.value or 0.0,
            (self.judgement.expanded_uncertainty or 0.0) / self.k,
        )
        if u_now <= 0.0:
            return 0.0
        undecided = 0.0
        for limit in (self.band.lower, self.band.high):
            if limit is not None:
                near, far = limit - self.k * u_new, limit + self.k * u_new
                undecided += normal_cdf((far - y) / u_now) - normal_cdf((near - y) / u_now)
        return max(0.0, 1.0 - undecided)

    def _assumed(self) -> bool:
        """Whether most of the doubt is an accuracy that was assumed and not stated."""
        return not self.conditions.accuracy.stated and self.judgement.dominant is Part.ACCURACY
