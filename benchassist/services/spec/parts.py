"""The shop's own good parts behind a figure of the spec book: shown, set aside, made its band."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from benchassist.core.band import Band
from benchassist.core.own_band import OwnBand
from benchassist.core.own_part import LeftOut, OwnPart
from benchassist.core.quantity import NEVER_NEGATIVE
from benchassist.core.ruler import Ruler
from benchassist.core.spec_entry import SpecEntry, Stated
from benchassist.errors import NotFoundError, StepError
from benchassist.services.bench.rulers import empty_ruler
from benchassist.services.needs import Clock
from benchassist.services.record.band_look import Look
from benchassist.services.record.own_band_text import (
    left_out_text,
    offered,
    own_band_view,
    own_line,
    value_text,
)
from benchassist.services.record.own_bands import OwnBands
from benchassist.services.record.part_mark import Said
from benchassist.services.spec.view import PartRow, PartState, PartsView
from benchassist.services.translation import _
from benchassist.services.wording import band_limits, day_text
from benchassist.units import UnitChoice, display_unit

OWN_PARTS: Final = "own parts"
"""The source of such a band, in the word of a profile."""


class SpecParts:
    """What `own_bands` knows, figure by figure."""

    def __init__(self, own_bands: OwnBands, clock: Clock) -> None:
        self._own_bands = own_bands
        self._clock = clock

    def learned(self, entry: SpecEntry) -> Look | None:
        """The band of a figure as it is known now; None for one that no part can teach.

        Raises StoreError.
        """
        if not entry.check_key or entry.quantity is None:
            return None
        return self._own_bands.look(
            entry.check_key,
            entry.quantity,
            engine_class=entry.engine_class,
            option_key=entry.option_key,
            beside=entry.band,
        )

    def line(self, own: OwnBand | None) -> str:
        """What they make of a figure, in a few words; how many are missing; empty without any."""
        if not marked(own) or own is None:
            return ""
        view = own_band_view(own, self._own_bands.units)
        if view.band is None:
            return view.origin
        return f"{band_limits(view.band, units=self._own_bands.units)}, {view.origin}"

    def view(self, entry: SpecEntry) -> PartsView:
        """All of it. Raises StepError for a figure that no part can teach, StoreError."""
        look, units = self._of(entry), self._own_bands.units
        own = look.band
        if own is None:
            return PartsView(
                key=entry.key,
                title=entry.name,
                detail=entry.detail,
                origin=_("The parts are being read"),
                coming=True,
            )
        told = own_band_view(own, units, alone=entry.band is None)
        band = told.band
        return PartsView(
            key=entry.key,
            title=entry.name,
            detail=entry.detail,
            band_text=band_limits(band, units=units) if band is not None else "",
            origin=told.origin,
            pairs=tuple(_pairs(entry, own, units)),
            rows=tuple(_rows(own, units)),
            ruler=_ruler(entry, own, units),
            adopt_text=_("Make it the band")
            if self._is_news(entry, own) and not look.coming
            else "",
            coming=look.coming,
        )

    def stated(self, entry: SpecEntry) -> Stated:
        """The band as the book would state it. Raises StepError where there is none."""
        own = self._now(entry)
        band = offered(own, self._clock.now())
        if band is None:
            raise StepError(own_band_view(own, self._own_bands.units).origin)
        return Stated(
            value=stated_band(band),
            source=OWN_PARTS,
            note=band.source_note,
            measured=entry.now.measured,
        )

    def set_aside(self, entry: SpecEntry, part: str, reason: str) -> str:
        """Leave a part out. Raises InputError without a reason, StepError, NotFoundError."""
        one = self._part(entry, part)
        return self._own_bands.set_aside(one.visit_id, one.entry_id, reason)

    def take_up(self, entry: SpecEntry, part: str) -> str:
        """Mark a part anew, with every reading of it that was set aside. Raises StepError."""
        one = self._part(entry, part)
        own = self._now(entry)
        said = ""
        for kin in own.left_out:
            if kin.part != one.part or kin.left_out is not LeftOut.SET_ASIDE:
                continue
            if self._own_bands.marking(kin.visit_id, kin.entry_id).said is Said.ASIDE:
                said = self._own_bands.mark(kin.visit_id, kin.entry_id)
        if not said:
            raise StepError(_("nobody set this one aside"))
        return said

    def _of(self, entry: SpecEntry) -> Look:
        look = self.learned(entry)
        if look is None:
            raise StepError(_("no part teaches this figure: only a step that is measured has any"))
        return look

    def _now(self, entry: SpecEntry) -> OwnBand:
        """What is to be done something with. Raises StepError while it is being read."""
        look = self._of(entry)
        if look.band is None or look.coming:
            raise StepError(_("the parts are being read: try again in a moment"))
        return look.band

    def _part(self, entry: SpecEntry, part: str) -> OwnPart:
        own = self._now(entry)
        found = next((p for p in (*own.parts, *own.left_out) if p.entry_id == part), None)
        if found is None:
            raise NotFoundError(_("this part is not on the list any more"))
        return found

    def _is_news(self, entry: SpecEntry, own: OwnBand) -> bool:
        """Whether there is a band to put into the book that is not in it already."""
        there = entry.band if entry.now.source == OWN_PARTS else None
        return own.band is not None and not _same(own.band, there)


def marked(own: OwnBand | None) -> int:
    """How many readings were ever marked for a figure, as far as it is known."""
    return 0 if own is None else len(own.parts) + len(own.left_out)


def stated_band(band: Band) -> str:
    """A band as a profile writes it: '3.9 kΩ..6.1 kΩ', '..10 Ω', '10 MΩ..'.

    To ten digits: what is learned has four, so it is read again as it is.
    """
    limits = (band.lower, band.high)
    unit = display_unit(max(abs(v) for v in limits if v is not None), band.quantity)
    return "..".join("" if v is None else f"{unit.from_base(v):.10g} {unit.symbol}" for v in limits)


def _same(one: Band | None, other: Band | None) -> bool:
    """Whether two bands have the same limits that count."""
    if one is None or other is None:
        return False
    return (one.lower, one.high) == (other.lower, other.high)


def _pairs(entry: SpecEntry, own: OwnBand, units: UnitChoice) -> Iterator[tuple[str, str]]:
    view = own_band_view(own, units, alone=entry.band is None)
    book = band_limits(entry.band, units=units) if entry.band is not None else _("recorded")
    yield _("In the book"), book
    yield (
        _("This shop’s parts"),
        (f"{band_limits(view.band, units=units)}, {view.origin}" if view.band else view.origin),
    )
    if view.claim:
        yield _("It claims"), view.claim
    if view.normality:
        yield _("Their distribution"), view.normality
    for remark in view.remarks:
        yield _("To know"), remark


def _rows(own: OwnBand, units: UnitChoice) -> Iterator[PartRow]:
    """The newest first, those that count before those that do not."""
    apart = {part.entry_id for part in own.outliers}
    for part in reversed(own.parts):
        odd = part.entry_id in apart
        yield PartRow(
            key=part.entry_id,
            value=value_text(part, own.quantity, units),
            day_text=day_text(part.at),
            tag=part.tag,
            state=PartState.APART if odd else PartState.COUNTS,
            note=_("stands apart, counts") if odd else "",
        )
    for part in reversed(own.left_out):
        yield PartRow(
            key=part.entry_id,
            value=value_text(part, own.quantity, units),
            day_text=day_text(part.at),
            tag=part.tag,
            state=PartState.LEFT_OUT,
            note=left_out_text(part),
            aside=part.left_out is LeftOut.SET_ASIDE,
        )


def _ruler(entry: SpecEntry, own: OwnBand, units: UnitChoice) -> Ruler | None:
    """The book's band as a block, the shop's own as a caliper, a tick a part."""
    values = [part.value for part in own.parts if part.value is not None]
    if not values:
        return None
    book = empty_ruler(entry.band, units=units) if entry.band is not None else None
    largest = max(abs(v) for v in values)
    unit = display_unit(largest, own.quantity, units=units)
    bare = Ruler(
        low=None,
        high=None,
        unit_text=unit.symbol,
        factor=1.0 if unit.offset else float(unit.factor),
        floor_at_zero=own.quantity in NEVER_NEGATIVE,
    )
    ruler = book or bare
    shifted = bool(unit.offset)
    limits = (own.band.lower, own.band.high) if own.band is not None else (None, None)
    low, high, *ticks = (
        unit.from_base(v) if shifted and v is not None else v for v in (*limits, *values)
    )
    return replace(
        ruler,
        own_low=low,
        own_high=high,
        own_label="" if _same(own.band, entry.band) else own_line(own, units),
        earlier=tuple(v for v in ticks if v is not None),
        earlier_label=_("{n} good parts").format(n=len(values)),
    )
