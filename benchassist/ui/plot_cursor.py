"""What a plot's cursor reads, in words: every track's value at a moment, and the moment itself."""

from math import isfinite, isinf, isnan, log10

import numpy as np

from benchassist.core.run_plot import RunPlot, Track
from benchassist.paint.run_axis import clock, number
from benchassist.paint.run_plot import Cursor
from benchassist.services.translation import _

_NEAR = 0.02
"""Of the view: how near a typed point, or a flag, has to be."""
_STEPS = 100
"""Steps of the cursor across the view where there are more rows than that."""


def cursor_at(plot: RunPlot, t_s: float) -> Cursor:
    """The cursor at a moment of what the plot shows."""
    return Cursor(
        t_s=t_s,
        time_text=_time_text(plot, t_s),
        readings=tuple(_reading(plot, track, t_s) for track in plot.tracks),
    )


def cursor_words(plot: RunPlot, cursor: Cursor) -> str:
    """The same as one sentence, for a screen reader."""
    values = [
        f"{track.title} {reading}".strip()
        for track, reading in zip(plot.tracks, cursor.readings, strict=True)
        if reading
    ]
    return f"{cursor.time_text}: {', '.join(values) or _('no reading')}"


def snapped(plot: RunPlot, t_s: float) -> float:
    """The moment of the first track's row nearest to t_s, t_s itself where there is none."""
    times = plot.tracks[0].t_s if plot.tracks else np.empty(0)
    if not len(times):
        return t_s
    place = int(np.searchsorted(times, t_s))
    near = times[max(0, place - 1) : place + 1]
    return float(near[np.argmin(np.abs(near - t_s))])


def stepped(plot: RunPlot, t_s: float | None, step: int) -> float:
    """The cursor moved by `step`: rows where few are in view, else hundredths of the view.

    Without a cursor yet: at the newest value in view, or in the middle.
    """
    start, end = plot.start_s, plot.end_s
    times = plot.tracks[0].t_s if plot.tracks else np.empty(0)
    seen = times[(times >= start) & (times <= end)]
    if t_s is None or not start <= t_s <= end:
        last = float(seen[-1]) if len(seen) else end
        return last if plot.now_s is not None else snapped(plot, (start + end) / 2.0)
    if not len(seen):
        return min(max(t_s + step * (end - start) / _STEPS, start), end)
    if len(seen) <= 2 * _STEPS:
        place = int(np.argmin(np.abs(seen - t_s))) + step
        return float(seen[min(max(place, 0), len(seen) - 1)])
    moved = min(max(t_s + step * (end - start) / _STEPS, float(seen[0])), float(seen[-1]))
    return snapped(plot, moved)


def flags_ahead(plot: RunPlot, t_s: float | None, step: int) -> list[float]:
    """The moments of events after one, before it where `step` is negative, the nearest first.

    All of them where there is no moment to go from.
    """
    times = sorted({flag.t_s for flag in plot.flags}, reverse=step < 0)
    return [t for t in times if t_s is None or (t - t_s) * step > 0.0]


def _time_text(plot: RunPlot, t_s: float) -> str:
    span = plot.end_s - plot.start_s
    step = 10.0 ** min(0.0, np.floor(log10(span / _STEPS)))
    if plot.ago:
        away = (plot.end_s if plot.now_s is None else plot.now_s) - t_s
        text = plot.words.seconds_ago.format(number(away, round(-log10(step))))
        text = text if abs(away) >= step / 2.0 else plot.words.now
    else:
        text = clock(t_s, step)
    near = [flag for flag in plot.flags if abs(flag.t_s - t_s) <= _NEAR / 2.0 * span]
    if near:
        flag = min(near, key=lambda flag: abs(flag.t_s - t_s))
        text = f"{text} · {flag.text}" if flag.text else text
    return text


def _reading(plot: RunPlot, track: Track, t_s: float) -> str:
    for gap in plot.gaps:
        if gap.start_s <= t_s <= gap.end_s:
            return gap.text
    place = int(np.searchsorted(track.t_s, t_s, side="right")) - 1
    if track.typed:
        near = np.flatnonzero(np.abs(track.t_s - t_s) <= _NEAR * (plot.end_s - plot.start_s))
        place = int(near[np.argmin(np.abs(track.t_s[near] - t_s))]) if len(near) else -1
    if place < 0:
        return ""
    low, high = float(track.low[place]), float(track.high[place])
    if isnan(high):
        return ""
    decimals = _decimals(track, low if isinf(high) else high)
    texts = [number(value, decimals) for value in (low, high) if isfinite(value)]
    unit = track.unit
    if isinf(high):
        open_text = track.overload_text or "–"
        return plot.words.spread.format(f"{texts[0]} {unit}", open_text) if texts else open_text
    value = texts[0] if texts[0] == texts[1] else plot.words.spread.format(*texts)
    return f"{value} {unit}".rstrip()


def _decimals(track: Track, value: float) -> int:
    """As given, else four figures."""
    if track.decimals is not None:
        return track.decimals
    return max(0, 3 - int(np.floor(log10(abs(value))))) if value and isfinite(value) else 2
