"""The plots of runs on a printed slip: one across the sheet, two side by side, or words instead."""

from collections.abc import Iterator, Sequence
from typing import Final

from PySide6.QtCore import QRectF

from benchassist.core.run_plot import RunPlot
from benchassist.core.slip import SlipPlot
from benchassist.paint.lettering import Style
from benchassist.paint.palette import Palette
from benchassist.paint.slip_mark import Block, Mark, PlotMark, paragraph

TALLEST: Final = 275.0
"""Height of a plot where there is room, in units of 1/150 inch: 46 mm."""
LEAST: Final = 178.0
"""Below 30 mm a plot of two tracks loses one: then it goes, and words say where it can be seen."""
_GUTTER: Final = 36.0
_ABOVE: Final = 12.0
_MOST_FLAG_LINES: Final = 2


def plot_rows(count: int) -> int:
    """Rows that so many plots take."""
    return (count + 1) // 2


def plot_blocks(
    plots: Sequence[SlipPlot], shown: int, *, width: float, height: float, palette: Palette
) -> Iterator[Block]:
    """The first `shown` plots, each that high, in rows of two; for the others where they are."""
    for start in range(0, shown, 2):
        pair = plots[start : min(start + 2, shown)]
        across = (width - _GUTTER) / 2.0 if shown > 1 else width
        blocks = [
            _plot(plot, left=i * (across + _GUTTER), width=across, height=height, palette=palette)
            for i, plot in enumerate(pair)
        ]
        marks = tuple(mark for block in blocks for mark in block.marks)
        yield Block(max(block.height for block in blocks), marks)
    elsewhere = " ".join(plot.elsewhere for plot in plots[shown:] if plot.elsewhere)
    if elsewhere:
        style = Style(px=16, color=palette.ink)
        rows, y = paragraph(elsewhere, style, x=0.0, baseline=26.0, width=width, leading=20.0)
        yield Block(y + 6.0, rows)


def _plot(shown: SlipPlot, *, left: float, width: float, height: float, palette: Palette) -> Block:
    """Title and what it came to, the plot, what its numbered flags are."""
    marks: list[Mark] = []
    rows, y = paragraph(
        shown.caption.removeprefix(f"{shown.title}: "),
        Style(px=19, color=palette.ink),
        x=left,
        baseline=_ABOVE + 22.0,
        width=width,
        leading=23.0,
        lead=(f"{shown.title}.", Style(px=19, weight=800, color=palette.ink)),
    )
    marks += rows
    y += 10.0
    marks.append(PlotMark(rect=QRectF(left, y, width, height), plot=shown.plot))
    y += height
    small = Style(px=16, color=palette.ink)
    text = flag_line(shown.plot, _MOST_FLAG_LINES * width - 60.0, small)
    if text:
        rows, y = paragraph(text, small, x=left, baseline=y + 16.0, width=width, leading=20.0)
        marks += rows
    return Block(y + 8.0, tuple(marks))


def flag_line(plot: RunPlot, room: float, style: Style) -> str:
    """'1 Open 2.1 s at 78 °C · 2 ...', as many as `room` holds, and how many more there are."""
    named = [f"{flag.number} {flag.text}" for flag in plot.flags if flag.number]
    shown = named
    while len(shown) > 1 and style.width(" · ".join(shown)) > room:
        shown = shown[:-1]
    text = " · ".join(shown)
    return f"{text} · +{len(named) - len(shown)}" if len(shown) < len(named) else text
