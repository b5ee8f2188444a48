"""One quantity of a machine across its visits: rows with rulers, the drift, the last good value.

Work at a check, or a part of it renewed, ends the old series: what was read before says nothing of
how the new part moves.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from benchassist.core.band import Band, BandSource, Verdict
from benchassist.core.entry import Did, Entry, PartFitted, Taken
from benchassist.core.plain_text import capital
from benchassist.core.procedure import Check
from benchassist.core.quantity import Quantity
from benchassist.core.trend import TrendPoint, trend_of
from benchassist.core.visit import Visit
from benchassist.services import wording
from benchassist.services.bench.rulers import ruler_of
from benchassist.services.bench.taking import OTHER_WAY
from benchassist.services.record.drift_text import drift_text
from benchassist.services.record.machine_file_view import LastGood, QuantityCard, QuantityRow
from benchassist.services.record.machine_frame import Frame
from benchassist.services.record.part_mark import Said, marking_of
from benchassist.services.translation import _
from benchassist.units import (
    UnitChoice,
    display_unit,
)


@dataclass(frozen=True, slots=True)
class Kept:
    """A reading that stood when its visit, or the work in it, was done; `series` counts works."""

    visit: Visit
    taken: Taken
    series: int


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
    good = _last_good(check, kept, frame, now)
    return QuantityCard(
        check_key=check.key,
        title=check.title,
        unit_text=frame.unit_text,
        rows=tuple(_rows(visits, kept, frame, now)),
        drift=trend.drift,
        drift_text=words or _untold(newest, points),
        detail=detail,
        corrected_text=frame.corrected_text,
        last_good=good,
        limits=frame.limits(_band(kept)),
        foot=" ".join(_sentence(text) for text in (detail, good_text(good)) if text),
    )


def good_text(good: LastGood | None) -> str:
    """What was last in band in an earlier visit, in words; empty where nothing was."""
    if good is None:
        return ""
    text = _("last in band: {value} on {day}").format(value=good.text, day=good.day_text)
    return f"{text}, {good.note}" if good.note else text


def _sentence(text: str) -> str:
    return f"{capital(text).rstrip('.')}."


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
    series, marked = 0, None
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
                if is_another(marked, entry.band):
                    if last is not None:
                        yield Kept(visit, last, series)
                    series += 1
                last, marked = entry, entry.band or marked
        if last is not None:
            yield Kept(visit, last, series)


def is_another(before: Band | None, now: Band | None) -> bool:
    """Whether a part of another marking sits there now: it tells nothing of how the old one did."""
    if before is None or now is None or BandSource.MARKING not in {before.source, now.source}:
        return False
    return (before.low, before.high) != (now.low, now.high)


def is_work(entry: Entry, check: Check) -> bool:
    """Whether an entry is work at a check, or its part renewed."""
    if not isinstance(entry, Did | PartFitted):
        return False
    renewed = isinstance(entry, PartFitted) and bool(check.part) and entry.part == check.part
    return entry.check_key == check.key or renewed


def _frame(check: Check, quantity: Quantity, kept: Sequence[Kept], units: UnitChoice) -> Frame:
    """The newest band's frame; a card without one goes by its largest value."""
    band = _band(kept) or check.band
    limits = [v for v in (band.lower, band.high) if v is not None] if band is not None else []
    values = [abs(k.taken.judgement.value or 0.0) for k in kept]
    largest = max((abs(v) for v in limits), default=max(values, default=0.0))
    return Frame(
        quantity=quantity,
        copper=band is not None and band.copper,
        celsius=band.reference_celsius if band is not None else 20.0,
        exponent=display_unit(largest, quantity, units=units).exponent,
        units=units,
    )


def _band(kept: Sequence[Kept]) -> Band | None:
    """The newest band that a reading was judged against."""
    return next((k.taken.band for k in reversed(kept) if k.taken.band is not None), None)


def _rows(
    visits: Sequence[Visit], kept: Sequence[Kept], frame: Frame, now: Visit | None
) -> Iterator[QuantityRow]:
    """A row a visit, from the first at which the quantity was taken."""
    first = next(i for i, visit in enumerate(visits) if visit is kept[0].visit)
    named = _names([visit.header.opened_at for visit in visits])
    series = kept[0].series
    for place, visit in enumerate(visits):
        if place < first:
            continue
        when = _("now") if visit is now else named[place]
        own = [one for one in kept if one.visit is visit]
        if not own:
            yield QuantityRow(visit_id=visit.header.id, when=when, now=visit is now)
            continue
        yield _row(own, frame, when=when, now=visit is now, broken=own[-1].series != series)
        series = own[-1].series


def _names(moments: Sequence[datetime]) -> list[str]:
    """The year of each; the month where a year has two of them, the day where a month has."""
    years = [str(at.astimezone().year) for at in moments]
    months = [wording.month_text(at) for at in moments]
    return [
        year
        if years.count(year) == 1
        else month
        if months.count(month) == 1
        else wording.day_text(at)
        for at, year, month in zip(moments, years, months, strict=True)
    ]


def _row(own: Sequence[Kept], frame: Frame, *, when: str, now: bool, broken: bool) -> QuantityRow:
    taken, before = own[-1].taken, own[-2].taken if len(own) > 1 else None
    judgement, point = frame.judgement(taken), frame.point(taken)
    value, doubt = frame.digits(taken)
    ruler = None
    if taken.band is not None:
        earlier = frame.point(before) if before is not None else None
        ruler = ruler_of(
            judgement,
            frame.band(taken.band),
            reading=taken.reading,
            units=frame.units,
            before=earlier.value if earlier is not None else None,
            zero=taken.conditions.lead_zero,
        )
    elif judgement.value is not None:
        ruler = frame.bare_ruler(judgement)
    unknown = point is not None and not point.comparable
    marking = marking_of(own[-1].visit, taken.stamp.id)
    note = _("temperature unknown: not compared") if unknown else ""
    was = frame.digits(before)[0] if before is not None else ""
    told = _("{value} before the work").format(value=was) if was else ""
    return QuantityRow(
        visit_id=own[-1].visit.header.id,
        when=when,
        now=now,
        value=value,
        doubt=doubt,
        before=was,
        ruler=ruler,
        verdict=judgement.verdict,
        side=judgement.side,
        verdict_text=wording.verdict_word(judgement.verdict, judgement.side),
        note=note,
        broken=broken,
        entry_id=taken.stamp.id,
        good=marking.said is Said.GOOD,
        mark_text=marking.text,
        remark="; ".join(text for text in (told, note, marking.text) if text),
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
