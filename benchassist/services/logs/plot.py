"""The plot of a log from elsewhere, whole or a stretch of it, drawn as a run's is."""

from typing import Final

import numpy as np

from benchassist.core.extremes import Rows
from benchassist.core.run import HeatedPart, RunKind, RunPlan
from benchassist.core.run_finding import EngineFinding, HeatFinding
from benchassist.core.run_plot import PlotFlag, PlotGap, Ribbon, RunPlot, Track
from benchassist.services.logs.reader import LogFound
from benchassist.services.runs import engine_plot, heat_plot
from benchassist.services.runs.plot_words import plot_words
from benchassist.services.translation import _
from benchassist.units import UnitChoice

BUCKETS: Final = 1500
"""Rows of a track where the whole shows: more than a line on a wide screen can hold."""
MOST_FLAGS: Final = 300
"""Beyond that many they would be one on another; the list of events has all of them."""


def log_plot(found: LogFound, units: UnitChoice, summary: str) -> RunPlot:
    """All of a log, with what happened in it; `summary` is the plot in words."""
    detail = found.detail
    start, end = detail.start_s, max(detail.end_s, detail.start_s + 1.0)
    return RunPlot(
        tracks=log_tracks(found, units, start, end, buckets=BUCKETS),
        start_s=start,
        end_s=end,
        flags=_flags(found, units),
        gaps=tuple(PlotGap(start_s=a, end_s=b, text=_("no rows")) for a, b in detail.holes),
        summary=summary,
        words=plot_words(),
    )


def log_tracks(
    found: LogFound, units: UnitChoice, start_s: float, end_s: float, *, buckets: int
) -> tuple[Track, ...]:
    """A log between two moments, at most about so many rows a track."""
    rows = found.detail.values(start_s, end_s, buckets)
    finding = found.finding
    if isinstance(finding, EngineFinding):
        return (engine_plot.speed_track(rows, RunPlan(kind=RunKind.ENGINE), typed=False),)
    symbol, factor = heat_plot.ohm_unit(found.detail.extent[1])
    warm = found.detail.celsius(start_s, end_s, buckets)
    ohms = heat_plot.ohm_track(rows, symbol, factor, _ribbon(finding, rows, warm, factor))
    if warm is None:
        return (ohms,)
    return ohms, heat_plot.celsius_track(warm, units, typed=False)


def _ribbon(finding: HeatFinding, rows: Rows, warm: Rows | None, factor: float) -> Ribbon | None:
    """What sound copper reads at the temperatures of the log; None for what is no winding."""
    is_winding = finding.part is HeatedPart.WINDING and finding.r20 is not None
    if not is_winding or warm is None or len(warm[0]) < 2 or finding.r20 is None:
        return None
    t_s = rows[0]
    celsius = np.interp(t_s, warm[0], 0.5 * (warm[1] + warm[2]))
    return heat_plot.ribbon_between(t_s, celsius, finding.r20, factor)


def _flags(found: LogFound, units: UnitChoice) -> tuple[PlotFlag, ...]:
    finding = found.finding
    if isinstance(finding, HeatFinding):
        flags = heat_plot.flags_of(finding.events, (), units)
    else:
        flags = engine_plot.flags_of(finding, frozenset(), ())
    if len(flags) <= MOST_FLAGS:
        return flags
    gravest = sorted(flags, key=lambda flag: not flag.severe)[:MOST_FLAGS]
    return tuple(sorted(gravest, key=lambda flag: flag.t_s))
