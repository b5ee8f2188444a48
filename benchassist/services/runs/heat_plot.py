"""The plot of a heat run: resistance with its ribbon, the part's temperature below.

The same tracks are drawn live, from what a bounded memory keeps, and for a past run, from disk.
"""

from collections.abc import Iterable, Sequence
from math import isfinite, nan

import numpy as np

from benchassist.core.copper import ALPHA_20
from benchassist.core.entry import RunMarked
from benchassist.core.envelope import Envelope
from benchassist.core.extremes import Rows
from benchassist.core.heat_trend import LIMIT_SHARE
from benchassist.core.quantity import Quantity
from benchassist.core.run import MarkKind, RunGap
from benchassist.core.run_finding import HeatEvent, HeatEventKind
from benchassist.core.run_plot import Column, PlotFlag, PlotGap, Ribbon, Track
from benchassist.core.samples import Samples
from benchassist.services.runs.doubt import gap_text
from benchassist.services.runs.heat_text import event_title, place_text
from benchassist.services.translation import _
from benchassist.units import UnitChoice, display_unit

BUCKETS = 1000
RIBBON_POINTS = 1000
WEIGHTS = (3.0, 1.0)
"""Shares of the height: resistance, temperature."""


class RibbonTrace:
    """What a sound part would have read, as it stood at each moment; in bounded memory."""

    def __init__(self, spacing: float = 1.0) -> None:
        self._spacing = spacing
        self._points: list[tuple[float, float, float]] = []

    def append(self, t_s: float, low: float, high: float) -> None:
        """A moment; those closer together than is drawn are left out."""
        if self._points and t_s < self._points[-1][0] + self._spacing:
            return
        self._points.append((t_s, low, high))
        if len(self._points) > RIBBON_POINTS:
            self._points = self._points[::2]
            self._spacing *= 2.0

    def ribbon(self, factor: float) -> Ribbon | None:
        """In the shown unit, None before the line was found."""
        if len(self._points) < 2:
            return None
        t_s, low, high = np.array(self._points).T
        return Ribbon(t_s=t_s, low=low / factor, high=high / factor)


class HeatTrace:
    """A heat run as it comes, for its plot."""

    def __init__(self) -> None:
        self.ohms = Envelope(BUCKETS)
        self.celsius = Envelope(BUCKETS)
        self.line = RibbonTrace()
        self.reference = 0.0
        """Ohm: the largest value so far that is a number; the prefix of the axis follows it."""
        self._last_s = -1.0

    def ohm(self, t_s: float, value: float | None) -> None:
        """A resistance, None for an overload."""
        self.ohms.append(t_s, float("inf") if value is None else value)
        self._last_s = t_s
        if value is not None:
            self.reference = max(self.reference, abs(value))

    def ohm_block(self, samples: Samples) -> None:
        """Many."""
        self.ohms.extend(samples.t_s, samples.value)
        self._last_s = float(samples.t_s[-1])
        numbers = samples.value[np.isfinite(samples.value)]
        if len(numbers):
            self.reference = max(self.reference, float(np.abs(numbers).max()))

    def gap(self, start_s: float) -> None:
        """The line ends here until the next value."""
        if self._last_s >= 0.0 and start_s >= self._last_s:
            self.ohms.append(self._last_s, nan)

    def tracks(self, units: UnitChoice, *, typed: bool) -> tuple[Track, ...]:
        """What the plot shows now."""
        symbol, factor = ohm_unit(self.reference)
        ohms = ohm_track(self.ohms.columns(), symbol, factor, self.line.ribbon(factor))
        if not len(self.celsius):
            return (ohms,)
        return ohms, celsius_track(self.celsius.columns(), units, typed=typed)


def ohm_unit(reference: float) -> tuple[str, float]:
    """The unit resistances are drawn in, and its size in ohm."""
    unit = display_unit(reference, Quantity.RESISTANCE)
    return unit.symbol, float(unit.factor)


def ohm_track(rows: Rows, symbol: str, factor: float, ribbon: Ribbon | None) -> Track:
    """The resistance's track, rows in ohm."""
    t_s, low, high = rows
    return Track(
        title=_("Resistance"),
        unit=symbol,
        t_s=t_s,
        low=low / factor,
        high=high / factor,
        ribbon=ribbon,
        weight=WEIGHTS[0],
        overload_text=_("open"),
        floor=0.0,
    )


def celsius_track(rows: Rows, units: UnitChoice, *, typed: bool) -> Track:
    """The temperature's track, rows in celsius."""
    t_s, low, high = rows
    unit = display_unit(0.0, Quantity.TEMPERATURE, units=units)
    return Track(
        title=_("Temperature"),
        unit=unit.symbol,
        t_s=t_s,
        low=(low - float(unit.offset)) / float(unit.factor),
        high=(high - float(unit.offset)) / float(unit.factor),
        weight=WEIGHTS[1],
        typed=typed,
    )


def ribbon_between(t_s: Column, celsius: Column, r20: float, factor: float) -> Ribbon:
    """What sound copper of `r20` ohm reads at temperatures in celsius, within the alarm limit."""
    expected = r20 * (1.0 + ALPHA_20 * (celsius - 20.0)) / factor
    return Ribbon(t_s=t_s, low=expected * (1.0 - LIMIT_SHARE), high=expected * (1.0 + LIMIT_SHARE))


def overlay_of(tracks: Sequence[Track], earlier: Sequence[Track]) -> tuple[Track, ...]:
    """An earlier run's tracks in the units of this one's."""
    found = []
    for track in earlier:
        same = next((t for t in tracks if t.title == track.title), None)
        if same is None:
            continue
        ratio = _size(track.unit) / _size(same.unit)
        found.append(
            Track(
                title=track.title,
                unit=same.unit,
                t_s=track.t_s,
                low=track.low * ratio,
                high=track.high * ratio,
                weight=track.weight,
                typed=track.typed,
                overload_text=track.overload_text,
            )
        )
    return tuple(found)


def _size(unit: str) -> float:
    return {"kΩ": 1e3, "MΩ": 1e6, "GΩ": 1e9}.get(unit, 1.0)


def numbered(events: Iterable[HeatEvent]) -> list[tuple[int, HeatEvent]]:
    """Events in order of time with the number of their flag; a lone spike has none."""
    found, number = [], 0
    for event in sorted(events, key=lambda e: e.start_s):
        severe = event.kind is not HeatEventKind.SPIKE
        number += severe
        found.append((number if severe else 0, event))
    return found


def flags_of(
    events: Iterable[HeatEvent], marks: Iterable[RunMarked], units: UnitChoice
) -> tuple[PlotFlag, ...]:
    """Events and marks on the time axis."""
    flags = [
        PlotFlag(
            t_s=event.start_s,
            end_s=event.end_s,
            number=number,
            severe=number > 0,
            text=f"{event_title(event)} {place_text(event, units)}",
        )
        for number, event in numbered(events)
    ]
    flags += [
        PlotFlag(t_s=mark.t_s, text=mark.text or _("Mark"))
        for mark in marks
        if mark.kind is MarkKind.MOMENT
    ]
    return tuple(sorted(flags, key=lambda flag: flag.t_s))


def plot_gaps(gaps: Iterable[RunGap]) -> tuple[PlotGap, ...]:
    """Where the resistance is not known."""
    return tuple(
        PlotGap(start_s=g.start_s, end_s=g.end_s, text=gap_text(g.reason))
        for g in gaps
        if g.channel == "A" and isfinite(g.end_s)
    )
