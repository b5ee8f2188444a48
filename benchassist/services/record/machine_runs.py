"""The runs of one check across a machine's visits, laid over each other, one of them strong."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

from benchassist.core.entry import RunEnded
from benchassist.core.run_log import runs_at
from benchassist.core.run_plot import RunPlot, Track
from benchassist.core.visit import Visit
from benchassist.services.needs import RunStore
from benchassist.services.record.machine_file_view import LaidRun, RunCard, RunRow, RunsView
from benchassist.services.runs.line import finding_of
from benchassist.services.runs.past import Span, past_plot, window_of
from benchassist.services.translation import _, ngettext
from benchassist.units import UnitChoice

BUCKETS: Final = 600
"""Rows a line has at most before one looks closer."""
PATTERNS: Final = 4
OHMS: Final = MappingProxyType({"Ω": 1.0, "kΩ": 1e3, "MΩ": 1e6, "GΩ": 1e9})


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Laid:
    """One run with its plot; None where it left no samples."""

    row: RunRow
    ended: RunEnded
    plot: RunPlot | None = None


def laid_runs(
    card: RunCard, visits: Sequence[Visit], *, runs: RunStore | None, units: UnitChoice
) -> tuple[Laid, ...]:
    """The runs of a card with their plots from disk, oldest first.

    One whose visit is not among `visits` is passed over.
    """
    rows = {row.run_id: row for row in card.rows}
    return tuple(
        Laid(
            row=rows[ended.run_id],
            ended=ended,
            plot=past_plot(visit, ended, runs, units, buckets=BUCKETS),
        )
        for visit in visits
        for ended in runs_at(visit, card.check_key)
        if ended.run_id in rows
    )


def runs_view(
    card: RunCard, laid: Sequence[Laid], run_id: str, *, place_text: str, busy: bool
) -> RunsView:
    """What the page shows of them; `run_id` is the strong one, the newest where that is none."""
    strong = strong_of(laid, run_id)
    chosen = strong.row.run_id if strong is not None else run_id
    count = len(card.rows)
    return RunsView(
        check_key=card.check_key,
        title=_("{title}: {runs}").format(
            title=card.title, runs=ngettext("{n} run", "{n} runs", count).format(n=count)
        ),
        place_text=place_text,
        rows=tuple(
            LaidRun(
                run_id=row.run_id,
                visit_id=row.visit_id,
                day_text=row.day_text,
                words=row.words,
                doubt=row.doubt,
                verdict=row.verdict,
                side=row.side,
                verdict_text=row.verdict_text,
                dash=place % PATTERNS,
                selected=row.run_id == chosen,
            )
            for place, row in enumerate(card.rows)
        ),
        plot=overlay_plot(laid, run_id),
        empty_text="" if busy else _("These runs left no samples: there is no line to draw."),
        busy=busy,
    )


def strong_of(laid: Sequence[Laid], run_id: str) -> Laid | None:
    """The run that is drawn strong: the one named, else the newest with a line."""
    named = next((one for one in laid if one.row.run_id == run_id), None)
    drawn = [one for one in laid if one.plot is not None]
    return named or (drawn[-1] if drawn else None)


def overlay_plot(
    laid: Sequence[Laid], run_id: str, look: Callable[[Laid], RunPlot | None] | None = None
) -> RunPlot | None:
    """The strong run's plot over the lines of the others; None where it has no line.

    `look` gives another plot of each, as of a closer look.
    """
    look = look or _whole
    strong = strong_of(laid, run_id)
    plot = look(strong) if strong is not None else None
    if strong is None or plot is None:
        others = [one for one in laid if one is not strong and one.plot is not None]
        return overlay_plot(others, "", look) if others else None
    overlay: list[Track] = []
    ends = [plot.end_s]
    for place, one in enumerate(laid):
        other = look(one)
        if one is strong or other is None:
            continue
        ends.append(other.end_s)
        overlay += (
            replace(_brought(track, like), dash=place % PATTERNS)
            for track in other.tracks
            for like in plot.tracks
            if like.title == track.title
        )
    return replace(plot, overlay=tuple(overlay), end_s=max(ends))


def closer(
    laid: Sequence[Laid], run_id: str, span: Span, *, runs: RunStore | None, units: UnitChoice
) -> RunPlot | None:
    """The same between two moments, as fine as it is kept on disk."""

    def look(one: Laid) -> RunPlot | None:
        finding = finding_of(one.ended)
        if one.plot is None or finding is None:
            return one.plot
        return window_of(one.plot, finding, span, runs=runs, run_id=one.row.run_id, units=units)

    return overlay_plot(laid, run_id, look)


def _whole(one: Laid) -> RunPlot | None:
    return one.plot


def _brought(track: Track, like: Track) -> Track:
    """A line in the unit of the one it is drawn behind: ohms may be in kilo-ohms there."""
    if track.unit == like.unit or not {track.unit, like.unit} <= OHMS.keys():
        return track
    factor = OHMS[track.unit] / OHMS[like.unit]
    return replace(track, unit=like.unit, low=track.low * factor, high=track.high * factor)
