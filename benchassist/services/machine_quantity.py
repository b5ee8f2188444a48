"""One quantity of a machine across its visits: rows with rulers, the drift, the last good value.

Work at a check, or a part of it renewed, ends the old series: what was read before says nothing of
how the new part moves.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from benchassist.core.band import Band, Judgement, Verdict
from benchassist.core.copper import correction
from benchassist.core.entry import Did, Entry, PartFitted, Taken
from benchassist.core.procedure import Check
from benchassist.core.quantity import Quantity
from benchassist.core.trend import TrendPoint, trend_of, trend_point
from benchassist.core.visit import Visit
from benchassist.services import wording
from benchassist.services.drift_text import drift_text
from benchassist.services.machine_file_view import LastGood, QuantityCard, QuantityRow
from benchassist.services.rulers import ruler_of
from benchassist.services.slip_line import value_text
from benchassist.services.taking import OTHER_WAY
from benchassist.services.translation import _
from benchassist.units import Shown, UnitChoice, display_unit, text_of, with_doubt


@dataclass(frozen=True, slots=True)
class Kept:
    """A reading that stood when its visit, or the work in it, was done; `series` counts works."""

    visit: Visit
    taken: Taken
    series: int


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

    def judgement(self, taken: Taken) -> Judgement:
        """A reading's judgement with its figures at the card's temperature."""
        point = self.point(taken)
        if point is None:
            return taken.judgement
        expanded = None if point.u is None else point.u * taken.judgement.k
        return replace(taken.judgement, value=point.value, expanded_uncertainty=expanded)


def check_of(visit: Visit, key: str) -> Check | None:
    """A visit's check of that key, None where its procedure has none."""
    return next((check for check in visit.procedure.checks if check.key == key), None)


def quantity_card(
    check: Check, visits: Sequence[Visit], units: UnitChoice, *, now: Visit | None
) -> QuantityCard | None:
    """A check's quantity across visits, oldest first; None where it was never taken.

    `check` is the newest one of its key, `now` the visit whose row is 'now', None for none.
    """
    kept = list(_kept(check, visits))
    if check.quantity is None or not kept:
        return None
    frame = _frame(check, check.quantity, kept, units)
    newest = [one for one in kept if one.series == kept[-1].series]
    points = [point for one in newest if (point := frame.point(one.taken)) is not None]
    trend = trend_of(points, k=kept[-1].visit.header.k)
    words, detail = drift_text(trend, frame.quantity, units, exponent=frame.exponent)
    latest = newest[-1]
    here = now is None or latest.visit is now
    if not here:
        detail, words = (f"{words}. {detail}" if detail else words), _("Not taken this visit")
    elif latest.taken.judgement.verdict is Verdict.OUT_OF_BAND:
        out = _("Now out of band") if now is not None else _("Last out of band")
        words = _("{change}. {out}").format(change=words, out=out) if words else out
    return QuantityCard(
        check_key=check.key,
        title=check.title,
        unit_text=frame.unit_text,
        rows=tuple(_rows(visits, kept, frame, now)),
        drift=trend.drift,
        drift_text=words or _untold(newest, points),
        detail=detail,
        corrected_text=_("at {celsius:g} °C").format(celsius=frame.celsius) if frame.copper else "",
        last_good=_last_good(check, kept, frame, now),
    )


def _untold(newest: Sequence[Kept], points: Sequence[TrendPoint]) -> str:
    """Why nothing is said of a change."""
    if len(newest) > 1 and len(points) < 2:
        return _("No two numbers to compare")
    if len(points) > 1:
        return _("Not to be compared: temperature or doubt unknown")
    if newest[-1].series:
        return _("Worked on: a new series begins")
    return _("Nothing to compare it with yet")


def _kept(check: Check, visits: Sequence[Visit]) -> Iterator[Kept]:
    """What stood at a check at the end of each visit, and before each work on it."""
    series = 0
    for visit in visits:
        own, last = check_of(visit, check.key), None
        if own is None or own.quantity is not check.quantity:
            continue
        for entry in visit.entries:
            if is_work(entry, own):
                if last is not None:
                    yield Kept(visit, last, series)
                last, series = None, series + 1
            elif (
                isinstance(entry, Taken)
                and entry.check_key == check.key
                and entry.method != OTHER_WAY
                and not visit.is_struck(entry)
            ):
                last = entry
        if last is not None:
            yield Kept(visit, last, series)


def is_work(entry: Entry, check: Check) -> bool:
    """Whether an entry is work at a check, or its part renewed."""
    if not isinstance(entry, Did | PartFitted):
        return False
    renewed = isinstance(entry, PartFitted) and bool(check.part) and entry.part == check.part
    return entry.check_key == check.key or renewed


def _frame(check: Check, quantity: Quantity, kept: Sequence[Kept], units: UnitChoice) -> Frame:
    band = next((k.taken.band for k in reversed(kept) if k.taken.band is not None), check.band)
    limits = [v for v in (band.lower, band.high) if v is not None] if band is not None else []
    largest = max((abs(v) for v in limits), default=_largest(kept))
    return Frame(
        quantity=quantity,
        copper=band is not None and band.copper,
        celsius=band.reference_celsius if band is not None else 20.0,
        exponent=display_unit(largest, quantity, units=units).exponent,
        units=units,
    )


def _largest(kept: Sequence[Kept]) -> float:
    return max((abs(k.taken.judgement.value or 0.0) for k in kept), default=0.0)


def _rows(
    visits: Sequence[Visit], kept: Sequence[Kept], frame: Frame, now: Visit | None
) -> Iterator[QuantityRow]:
    """A row a visit, from the first at which the quantity was taken."""
    first = next(i for i, visit in enumerate(visits) if visit is kept[0].visit)
    years = [visit.header.opened_at.astimezone().year for visit in visits]
    series = kept[0].series
    for place, visit in enumerate(visits):
        if place < first:
            continue
        once = years.count(years[place]) == 1
        opened = visit.header.opened_at
        when = _("now") if visit is now else _when(opened, year_only=once)
        own = [one for one in kept if one.visit is visit]
        if not own:
            yield QuantityRow(visit_id=visit.header.id, when=when, now=visit is now)
            continue
        yield _row(own, frame, when=when, now=visit is now, broken=own[-1].series != series)
        series = own[-1].series


def _when(opened: datetime, *, year_only: bool) -> str:
    return str(opened.astimezone().year) if year_only else wording.day_text(opened)


def _row(own: Sequence[Kept], frame: Frame, *, when: str, now: bool, broken: bool) -> QuantityRow:
    taken, before = own[-1].taken, own[-2].taken if len(own) > 1 else None
    judgement, point = frame.judgement(taken), frame.point(taken)
    value, doubt = frame.digits(taken)
    ruler = None
    if taken.band is not None:
        was = frame.point(before) if before is not None else None
        ruler = ruler_of(
            judgement,
            frame.band(taken.band),
            reading=taken.reading,
            units=frame.units,
            before=was.value if was is not None else None,
            zero=taken.conditions.lead_zero,
        )
    unknown = point is not None and not point.comparable
    return QuantityRow(
        visit_id=own[-1].visit.header.id,
        when=when,
        now=now,
        value=value,
        doubt=doubt,
        before=frame.digits(before)[0] if before is not None else "",
        ruler=ruler,
        verdict=judgement.verdict,
        side=judgement.side,
        verdict_text=wording.verdict_word(judgement.verdict, judgement.side),
        note=_("temperature unknown: not compared") if unknown else "",
        broken=broken,
    )


def _last_good(
    check: Check, kept: Sequence[Kept], frame: Frame, now: Visit | None
) -> LastGood | None:
    """The newest value in band of a visit before this one."""
    for one in reversed(kept):
        point = frame.point(one.taken)
        if one.visit is now or one.taken.judgement.verdict is not Verdict.IN_BAND or point is None:
            continue
        value, doubt = frame.digits(one.taken)
        day = wording.day_text(one.taken.stamp.at)
        return LastGood(
            check_key=check.key,
            text=" ".join(t for t in (value, doubt, frame.unit_text) if t),
            day_text=day,
            quantity=frame.quantity,
            point=point,
            copper=frame.copper,
            reference_celsius=frame.celsius,
            band=frame.band(one.taken.band) if one.taken.band is not None else None,
            note=_("worked on or renewed since") if one.series != kept[-1].series else "",
        )
    return None
