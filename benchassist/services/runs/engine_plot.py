"""The plot of an engine's speed: the last ninety seconds while it runs, the whole run after."""

from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np

from benchassist.core.band import Band
from benchassist.core.entry import RunMarked
from benchassist.core.extremes import Rows
from benchassist.core.quantity import Quantity
from benchassist.core.run import MarkKind, RunGap, RunPlan
from benchassist.core.run_finding import EngineFinding
from benchassist.core.run_plot import PlotFlag, PlotGap, RunPlot, Shelf, Track
from benchassist.services.runs.doubt import gap_text
from benchassist.services.runs.engine_text import LOAD_OF
from benchassist.services.runs.plot_words import plot_words
from benchassist.services.runs.view import RunStage
from benchassist.services.runs.work import Earlier
from benchassist.services.translation import _, ngettext
from benchassist.units import UnitChoice, text_of

SHOWN: Final = 90.0
"""Seconds shown while it runs."""


def speed_track(rows: Rows, plan: RunPlan, *, typed: bool) -> Track:
    """Speeds in rpm with the bands of the plan as shelves."""
    t_s, low, high = rows
    limits = plan.limits
    return Track(
        title=_("Speed"),
        unit="rpm",
        t_s=t_s,
        low=low,
        high=high,
        shelves=tuple(
            Shelf(low=band.lower, high=band.high, text=text)
            for band, text in _bands(limits.high, limits.low)
        ),
        typed=typed,
        floor=0.0,
        decimals=0,
    )


def _bands(high: Band | None, low: Band | None) -> Iterable[tuple[Band, str]]:
    if high is not None:
        yield high, _("High band")
    if low is not None:
        yield low, _("Low band")


def typed_rows(marks: Sequence[RunMarked]) -> Rows:
    """Typed speeds as columns."""
    told = [(m.t_s, m.value) for m in marks if m.value is not None]
    t_s, rpm = np.array(told, dtype=np.float64).reshape(-1, 2).T
    return t_s, rpm, rpm


def speed_plot(
    track: Track,
    *,
    now_s: float,
    stage: RunStage,
    flags: tuple[PlotFlag, ...],
    gaps: Sequence[RunGap],
    earlier: Earlier | None,
    summary: str,
) -> RunPlot:
    """The whole plot; an earlier run is laid under a whole run only."""
    live = stage is RunStage.RUNNING
    overlay = earlier if earlier is not None and not live else None
    last = float(track.t_s[-1]) if len(track.t_s) else None
    return RunPlot(
        tracks=(track,),
        start_s=now_s - SHOWN if live else 0.0,
        end_s=now_s if live else max(now_s, last or 0.0, 1.0),
        now_s=last if live else None,
        ago=live,
        flags=flags,
        gaps=tuple(
            PlotGap(start_s=g.start_s, end_s=g.end_s, text=gap_text(g.reason)) for g in gaps
        ),
        overlay=overlay.tracks if overlay is not None else (),
        overlay_text=overlay.text if overlay is not None else "",
        summary=summary,
        words=plot_words(),
    )


def flags_of(
    finding: EngineFinding,
    out: frozenset[int],
    marks: Sequence[RunMarked],
    *,
    since_s: float = 0.0,
) -> tuple[PlotFlag, ...]:
    """Idle-downs with their numbers, severe for those in `out`, and what was marked."""
    flags = []
    for n, cycle in enumerate(finding.cycles, start=1):
        back = cycle.recover_start_s
        end_s = None if back is None else back + (cycle.recover_s or 0.0)
        if end_s is not None and end_s < since_s:
            continue
        text = _("Idle-down {n}").format(n=n)
        flags.append(
            PlotFlag(t_s=cycle.fall_start_s, text=text, number=n, end_s=end_s, severe=n in out)
        )
    for mark in marks:
        if mark.t_s < since_s:
            continue
        if mark.kind is MarkKind.MOMENT:
            flags.append(PlotFlag(t_s=mark.t_s, text=_("Mark")))
        elif mark.kind is MarkKind.LOAD and mark.text in LOAD_OF:
            flags.append(PlotFlag(t_s=mark.t_s, text=LOAD_OF[mark.text]))
    return tuple(sorted(flags, key=lambda flag: flag.t_s))


def summary_of(track: Track, finding: EngineFinding, units: UnitChoice, *, live: bool) -> str:
    """The plot in words."""
    with np.errstate(invalid="ignore"):
        seen = np.isfinite(track.high)
    if not seen.any():
        return _("No speed so far.")
    lowest, highest = float(track.low[seen].min()), float(track.high[seen].max())
    low, high = (
        text_of(rpm, Quantity.SPEED, resolution=1.0, units=units) for rpm in (lowest, highest)
    )
    span = _("Speed in the last 90 s") if live else _("Speed over the run")
    text = _("{span}: {low} to {high}.").format(span=span, low=low.digits, high=high)
    if not finding.cycles:
        return text
    count = ngettext("{n} idle-down.", "{n} idle-downs.", len(finding.cycles))
    return f"{text} {count.format(n=len(finding.cycles))}"
