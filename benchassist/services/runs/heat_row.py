"""'What happened' in a heat run: its start, its line, events, marks and gaps, in order of time."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from benchassist.core.quantity import Quantity
from benchassist.core.run import MarkKind
from benchassist.core.run_finding import HeatEvent, HeatEventKind, Leg
from benchassist.services.runs.clock import clock_text, seconds_text
from benchassist.services.runs.doubt import gap_text
from benchassist.services.runs.heat_plot import numbered
from benchassist.services.runs.heat_text import COPPER, celsius_text, event_title, place_text
from benchassist.services.runs.view import EventRow
from benchassist.services.translation import _
from benchassist.units import shown, text_of

if TYPE_CHECKING:
    from benchassist.services.runs.heat_work import HeatWork

LONG = 10.0
"""Seconds from which an event has a row of its own for its end."""


class HeatRows:
    """The list of one run, made anew only where something happened."""

    def __init__(self, work: "HeatWork") -> None:
        self._work = work
        self._units = work.setting.units
        self._listed: tuple[int, tuple[EventRow, ...]] | None = None

    def rows(self) -> tuple[EventRow, ...]:
        """All of it, oldest first."""
        if self._listed is None or self._listed[0] != self._work.news:
            rows = [*self._opening(), *self._event_rows(), *self._mark_rows(), *self._gap_rows()]
            listed = tuple(sorted(rows, key=lambda row: row.t_s))
            self._listed = self._work.news, listed
        return self._listed[1]

    def _opening(self) -> Iterable[EventRow]:
        work = self._work
        if work.first is None:
            return
        reading, celsius = work.first
        yield _row(0.0, _("Start"), self._beside(str(shown(reading, self._units)), celsius))
        if work.tracking is not None:
            t_s, value, celsius = work.tracking
            text = text_of(value, Quantity.RESISTANCE, resolution=reading.resolution)
            copper = work.plan.part in COPPER and work.thermometer.last is not None
            title = _("Tracking copper") if copper else _("Line found")
            yield _row(t_s, title, self._beside(str(text), celsius))

    def _beside(self, value: str, celsius: float | None) -> str:
        if celsius is None:
            return value
        warm = celsius_text(celsius, self._units)
        return _("{value} at {celsius}").format(value=value, celsius=warm)

    def _event_rows(self) -> Iterable[EventRow]:
        for number, event in numbered(self._work.events.values()):
            detail = place_text(event, self._units) if event.celsius is not None else ""
            yield _row(event.start_s, event_title(event), detail, number=number)
            if number and event.end_s is not None and event.end_s - event.start_s >= LONG:
                yield _row(event.end_s, _back(event), self._back_at(event))

    def _back_at(self, event: HeatEvent) -> str:
        if event.end_celsius is None:
            return ""
        return place_text(event, self._units, end=True)

    def _mark_rows(self) -> Iterable[EventRow]:
        for mark in self._work.marks:
            match mark.kind:
                case MarkKind.MOMENT:
                    yield _row(mark.t_s, _("Mark"), mark.text)
                case MarkKind.TEMPERATURE if mark.value is not None and mark.t_s > 0.0:
                    warm = celsius_text(mark.value, self._units)
                    yield _row(mark.t_s, _("Typed {celsius}").format(celsius=warm))
                case MarkKind.LEG:
                    off = mark.text == Leg.COOLING
                    yield _row(mark.t_s, _("Heat off") if off else _("Heat again"))

    def _gap_rows(self) -> Iterable[EventRow]:
        for gap in self._work.gaps:
            if gap.channel == "A":
                length = seconds_text(gap.end_s - gap.start_s)
                title = _("No readings {length}").format(length=length)
                yield _row(gap.start_s, title, gap_text(gap.reason))


def _row(t_s: float, title: str, detail: str = "", *, number: int = 0) -> EventRow:
    return EventRow(
        time_text=clock_text(t_s),
        title=title,
        detail=detail,
        number=number,
        severe=number > 0,
        t_s=t_s,
    )


def _back(event: HeatEvent) -> str:
    return _("Reclosed") if event.kind is HeatEventKind.OPEN else _("Back on its line")
