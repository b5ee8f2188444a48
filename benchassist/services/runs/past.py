"""A run's plot from what is on disk: a past run, a closer look, the picture on the slip."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from benchassist.core.entry import RunEnded, RunMarked
from benchassist.core.extremes import Rows
from benchassist.core.quantity import Quantity
from benchassist.core.run import HeatedPart, MarkKind, RunPlan
from benchassist.core.run_finding import EngineFinding, Finding, HeatFinding
from benchassist.core.run_log import marks_of, start_of
from benchassist.core.run_plot import Column, PlotFlag, Ribbon, RunPlot, Track
from benchassist.core.speed import rpm_per_hertz
from benchassist.core.visit import Visit
from benchassist.errors import NotFoundError
from benchassist.services.needs import RunStore
from benchassist.services.runs import engine_plot
from benchassist.services.runs.engine_plot import speed_track
from benchassist.services.runs.engine_verdict import CycleJudge
from benchassist.services.runs.heat_plot import (
    celsius_track,
    flags_of,
    ohm_track,
    ohm_unit,
    plot_gaps,
    ribbon_between,
)
from benchassist.services.runs.line import ended_words, finding_of
from benchassist.services.runs.plot_words import plot_words
from benchassist.services.translation import _
from benchassist.units import UnitChoice

BUCKETS = 1000


def past_plot(
    visit: Visit,
    ended: RunEnded,
    runs: RunStore | None,
    units: UnitChoice,
    *,
    buckets: int = BUCKETS,
) -> RunPlot | None:
    """The whole of an ended run; None where it left no samples."""
    start = start_of(visit, ended.run_id)
    finding = finding_of(ended)
    if start is None or runs is None or finding is None:
        return None
    marks = marks_of(visit, ended.run_id)
    tracks = tracks_of(ended, start.plan, runs, units, marks=marks, buckets=buckets)
    if not tracks:
        return None
    words, check = ended_words(visit, ended, units), visit.procedure.check(ended.check_key)
    end_s = max(float(track.t_s[-1]) for track in tracks)
    return RunPlot(
        tracks=tracks,
        start_s=0.0,
        end_s=max(end_s, 1.0),
        flags=_flags(finding, start.plan, marks, units),
        gaps=plot_gaps(finding.gaps) if isinstance(finding, HeatFinding | EngineFinding) else (),
        summary=_("{title}: {words}.").format(title=check.title, words=words.title or words.words),
        words=plot_words(),
    )


def _flags(
    finding: Finding, plan: RunPlan, marks: Sequence[RunMarked], units: UnitChoice
) -> tuple[PlotFlag, ...]:
    match finding:
        case HeatFinding():
            return flags_of(finding.events, marks, units)
        case EngineFinding():
            out = CycleJudge(finding, plan).out()
            return engine_plot.flags_of(finding, out, marks)
        case _:
            return ()


def tracks_of(
    ended: RunEnded,
    plan: RunPlan,
    runs: RunStore | None,
    units: UnitChoice,
    *,
    marks: Sequence[RunMarked] = (),
    buckets: int = BUCKETS,
) -> tuple[Track, ...]:
    """The tracks of an ended run from disk, none where it left no samples."""
    finding = finding_of(ended)
    if runs is None or finding is None:
        return ()
    try:
        start_s, end_s = runs.run_extent(ended.run_id)
    except NotFoundError:
        return ()

    def rows(channel: str) -> Rows | None:
        return _rows(
            runs, ended.run_id, channel, start_s=max(0.0, start_s), end_s=end_s, buckets=buckets
        )

    value = rows("A")
    if value is None:
        return ()
    match finding:
        case HeatFinding():
            return tuple(_heat_tracks(finding, value, rows("B"), marks, units))
        case EngineFinding():
            return (speed_track(_rpm(value, finding), plan, typed=False),)
        case _:
            return ()


def _heat_tracks(
    finding: HeatFinding,
    value: Rows,
    warm: Rows | None,
    marks: Sequence[RunMarked],
    units: UnitChoice,
) -> Iterable[Track]:
    numbers = value[2][np.isfinite(value[2])]
    symbol, factor = ohm_unit(float(numbers.max()) if len(numbers) else 0.0)
    typed = warm is None
    if warm is None:
        told = [(m.t_s, m.value) for m in marks if m.kind is MarkKind.TEMPERATURE and m.value]
        t_s, celsius = np.array(told, dtype=np.float64).reshape(-1, 2).T
        warm = t_s, celsius, celsius
    ribbon = _ribbon(finding, value[0], warm, factor)
    yield ohm_track(value, symbol, factor, ribbon)
    if len(warm[0]):
        yield celsius_track(warm, units, typed=typed)


def _ribbon(finding: HeatFinding, t_s: Column, warm: Rows, factor: float) -> Ribbon | None:
    """What sound copper reads at the temperatures told; None for what is no plain winding."""
    if finding.part is not HeatedPart.WINDING or finding.r20 is None or len(warm[0]) < 2:
        return None
    celsius = np.interp(t_s, warm[0], 0.5 * (warm[1] + warm[2]))
    return ribbon_between(t_s, celsius, finding.r20, factor)


def _rows(
    runs: RunStore, run_id: str, channel: str, *, start_s: float, end_s: float, buckets: int
) -> Rows | None:
    try:
        rows = runs.run_envelope(run_id, channel, start_s=start_s, end_s=end_s, buckets=buckets)
    except NotFoundError:
        return None
    return rows if len(rows[0]) else None


def _rpm(rows: Rows, finding: EngineFinding) -> Rows:
    factor = rpm_per_hertz(finding.pulses_per_rev or 1.0)
    return rows[0], rows[1] * factor, rows[2] * factor


# --- a closer look --------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """Two moments of a run, and about how many rows are wanted between them."""

    start_s: float
    end_s: float
    buckets: int


def window_of(
    plot: RunPlot,
    finding: Finding,
    span: Span,
    *,
    runs: RunStore | None,
    run_id: str,
    units: UnitChoice,
) -> RunPlot:
    """A run's plot between two moments, as fine as it is kept on disk."""
    channels = ("A", "B") if isinstance(finding, HeatFinding) else ("A",)
    start_s, end_s = span.start_s, span.end_s
    tracks = list(plot.tracks)
    for place, (channel, track) in enumerate(zip(channels, plot.tracks, strict=False)):
        if runs is None or track.typed:
            continue
        rows = _rows(runs, run_id, channel, start_s=start_s, end_s=end_s, buckets=span.buckets)
        if rows is None:
            continue
        convert = _converter(track, finding, units)
        t_s, low, high = rows
        tracks[place] = replace(track, t_s=t_s, low=convert(low), high=convert(high))
    return replace(plot, tracks=tuple(tracks), start_s=start_s, end_s=end_s, ago=False)


def _converter(track: Track, finding: Finding, units: UnitChoice) -> Callable[[Column], Column]:
    """From the base unit of what is on disk to the unit of a track."""
    if track.unit == "rpm":
        pulses = finding.pulses_per_rev if isinstance(finding, EngineFinding) else None
        factor = rpm_per_hertz(pulses or 1.0)
        return lambda column: column * factor
    known = units.unit(Quantity.TEMPERATURE)
    if known is not None and track.unit == known.symbol:
        offset, size = float(known.offset), float(known.factor)
        return lambda column: (column - offset) / size
    ohms = {"kΩ": 1e3, "MΩ": 1e6, "GΩ": 1e9}.get(track.unit, 1.0)
    return lambda column: column / ohms
