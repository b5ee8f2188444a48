"""Flags above a run's plot: numbered, stacked where they stand close, joined where too close."""

from dataclasses import dataclass

from PySide6.QtGui import QPainter

from benchassist.core.run_plot import PlotFlag
from benchassist.paint.lettering import Style, draw
from benchassist.paint.palette import Palette
from benchassist.paint.stroke import line, pen, polygon, shape

BOX_HEIGHT = 20.0
ROW = 24.0
OVERHANG = 34.0
"""What the last flag may take beyond the plot's right end."""
_PAD, _TAIL = 6.0, 7.0
_PIN = 13.0
_GAP = 3.0


@dataclass(frozen=True, slots=True)
class FlagGroup:
    """One flag, or several too close to be told apart; `row` 0 is the lowest.

    Its pole stands at `x`, its cloth begins at `left`.
    """

    flags: tuple[PlotFlag, ...]
    x: float
    left: float = 0.0
    row: int = 0

    @property
    def severe(self) -> bool:
        """Whether any of them is."""
        return any(flag.severe for flag in self.flags)

    @property
    def text(self) -> str:
        """Its number, '3–5' for several in a row, '3+' with others or marks; empty for marks."""
        numbers = sorted(flag.number for flag in self.flags if flag.number)
        if not numbers:
            return ""
        first, last = numbers[0], numbers[-1]
        if numbers != list(range(first, last + 1)) or len(numbers) < len(self.flags):
            return f"{first}+"
        return str(first) if first == last else f"{first}–{last}"

    @property
    def width(self) -> float:
        """What it takes to the right of its pole."""
        return _STYLE.width(self.text) + 2.0 * _PAD + _TAIL if self.text else _PIN


_STYLE = Style(px=16, weight=800, color="#000000")


def place_flags(
    flags: tuple[PlotFlag, ...], xs: tuple[float, ...], rows: int, *, limit: float = float("inf")
) -> tuple[FlagGroup, ...]:
    """The flags at their places, in at most `rows` rows, none on another and no pole through one.

    An earlier one stands above a later one, so that its pole passes on the left. Where the rows do
    not do, the two nearest neighbours of the crowd are joined at the place of the first.
    """
    order = sorted(range(len(flags)), key=lambda i: xs[i])
    groups = [FlagGroup((flags[i],), xs[i]) for i in order]
    while True:
        placed: list[FlagGroup] = []
        free = [float("inf")] * rows
        crowded = -1
        for place in range(len(groups) - 1, -1, -1):
            group = groups[place]
            left = min(group.x, limit - group.width)
            right = left + group.width + _GAP
            row = next((r for r in range(rows) if right <= free[r]), -1)
            if row < 0:
                crowded = place
                break
            for below in range(row + 1):
                free[below] = min(free[below], left)
            placed.append(FlagGroup(group.flags, group.x, left, row))
        if crowded < 0:
            return tuple(reversed(placed))
        end = min(len(groups) - 1, crowded + rows)
        nearest = min(range(crowded, end), key=lambda i: groups[i + 1].x - groups[i].x)
        first, second = groups[nearest], groups[nearest + 1]
        groups[nearest : nearest + 2] = [FlagGroup(first.flags + second.flags, first.x)]


def paint_pole(
    painter: QPainter, group: FlagGroup, ys: tuple[float, float | None, float], palette: Palette
) -> None:
    """From the flag down: whole to where it meets the line, dashed from there to the time axis.

    `ys` are these three; without the second all of it is dashed.
    """
    top, meets, bottom = ys
    color = palette.out_text if group.severe else palette.ink
    width = 2.4 if group.severe else 1.6
    if meets is not None:
        line(painter, (group.x, top), (group.x, meets), pen(color, width))
    start = top if meets is None else meets
    line(painter, (group.x, start), (group.x, bottom), pen(color, width * 0.75, dash=(4.0, 4.0)))


def paint_flag(painter: QPainter, group: FlagGroup, foot: float, palette: Palette) -> None:
    """The flag itself: filled with a swallow's tail where severe, else an outlined pennant.

    An unnumbered mark is a small plain pennant. `foot` is the bottom of row 0.
    """
    bottom = foot - group.row * ROW
    top, x = bottom - BOX_HEIGHT, group.left
    color = palette.out_text if group.severe else palette.ink
    edge = pen(color, 1.6)
    if not group.text:
        pin = polygon([(x, bottom - _PIN), (x + _PIN, bottom - _PIN / 2.0), (x, bottom)])
        shape(painter, pin, fill=color if group.severe else palette.panel, stroke=edge)
        return
    right = x + group.width
    if group.severe:
        outline = [
            (x - 1.2, top),
            (right, top),
            (right - _TAIL, (top + bottom) / 2.0),
            (right, bottom),
            (x - 1.2, bottom),
        ]
        shape(painter, polygon(outline), fill=color)
    else:
        outline = [
            (x, top + 0.8),
            (right - _TAIL, top + 0.8),
            (right, (top + bottom) / 2.0),
            (right - _TAIL, bottom - 0.8),
            (x, bottom - 0.8),
        ]
        shape(painter, polygon(outline), fill=palette.panel, stroke=edge)
    text = Style(px=16, weight=800, color=palette.panel if group.severe else palette.ink)
    draw(painter, x + _PAD, bottom - 4.4, group.text, text)


def paint_length(
    painter: QPainter, xs: tuple[float, float], y: float, *, severe: bool, palette: Palette
) -> None:
    """How long an event lasted: a bar below its flag, closed by a short post; none where short."""
    start_x, end_x = xs
    if end_x - start_x < 3.0:
        return
    color = palette.out_text if severe else palette.ink
    line(painter, (start_x, y), (end_x, y), pen(color, 3.0))
    line(painter, (end_x, y - 4.0), (end_x, y + 4.0), pen(color, 2.0))
