"""What the plot of a run shows, on screen and on paper; `services` fill it, `paint` draws it.

The window's shell imports this before its first paint, so numpy is named here and not loaded.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Column: TypeAlias = "NDArray[np.float64]"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Ribbon:
    """Where a sound part would read: low and high at each moment; all of one length."""

    t_s: Column
    low: Column
    high: Column


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """A horizontal band across a track, with its name: 'High band'. None: open on that side."""

    low: float | None
    high: float | None
    text: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Track:
    """One quantity over time: its lowest and highest value in each bucket, in the shown unit.

    `t_s`, `low` and `high` are of one length, times rising; a bucket of single samples has low
    equal to high. +inf in `high` is an overload: drawn at the top, as a word, never as a number.
    nan breaks the line (a gap). `typed` points are dots joined by straight dashed lines.
    """

    title: str
    unit: str
    t_s: Column
    low: Column
    high: Column
    ribbon: Ribbon | None = None
    shelves: tuple[Shelf, ...] = ()
    weight: float = 1.0
    """Share of the height, beside the other tracks."""
    typed: bool = False
    overload_text: str = ""
    floor: float | None = None
    """The axis never reaches below this (0 for ohms)."""
    decimals: int | None = None
    """Of a value read at the cursor; None: one more than the axis has."""
    dash: int = 0
    """Which pattern its line has among the overlay's: 0 is unbroken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlotFlag:
    """An event or a mark on the time axis. `number` 0 is an unnumbered mark.

    `severe` is drawn in the colour and shape of out of band; `end_s` None where it never ended.
    """

    t_s: float
    text: str
    number: int = 0
    end_s: float | None = None
    severe: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PlotGap:
    """Nothing is known between two moments."""

    start_s: float
    end_s: float
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlotWords:
    """The few words of the axes; `{}` takes a number. `services/plot_words` translates them."""

    now: str = "now"
    seconds_ago: str = "{} s ago"
    minutes_ago: str = "{} min ago"
    hours_ago: str = "{} h ago"
    minutes: str = "min"
    hours: str = "h"
    spread: str = "{} to {}"
    """Lowest and highest of what stands under the cursor."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class RunPlot:
    """A whole plot, tracks from top to bottom over one time axis, seconds of the run.

    `overlay` are the tracks of an earlier run, drawn faint behind the track of the same title.
    `now_s` is where the newest value's dot stands, None for a past run. `ago` counts the axis
    backwards from now ('90 s ago'). `summary` is the plot in words, for a screen reader.
    """

    tracks: tuple[Track, ...]
    start_s: float
    end_s: float
    now_s: float | None = None
    ago: bool = False
    flags: tuple[PlotFlag, ...] = ()
    gaps: tuple[PlotGap, ...] = ()
    overlay: tuple[Track, ...] = ()
    overlay_text: str = ""
    summary: str = ""
    words: PlotWords = PlotWords()
