"""Where the window of the practice hands puts its parts, in design units."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from benchassist.practice.desk import Deed, Group, HandsView

WIDTH: Final = 376.0
HEIGHT: Final = 668.0
BAR: Final = 76.0
EDGE: Final = 10.0
GAP: Final = 4.0
TARGET: Final = 46.0
"""Height of whatever can be pressed; a unit is never below one pixel."""
HEADING: Final = 26.0


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle by its corner and size."""

    x: float
    y: float
    width: float
    height: float


def headings(view: HandsView) -> Iterator[tuple[Group, float]]:
    """Every group and where its heading begins."""
    y = BAR
    for group in view.groups:
        yield group, y
        rows = -(-len(group.deeds) // group.columns)
        y += _heading(group) + rows * (TARGET + GAP)


def boxes(view: HandsView, width: float) -> Iterator[tuple[Deed, Box]]:
    """Every deed and its target, in a window that is `width` wide."""
    for group, y in headings(view):
        step = (width - 2.0 * EDGE + GAP) / group.columns
        for i, deed in enumerate(group.deeds):
            row, column = divmod(i, group.columns)
            top = y + _heading(group) + row * (TARGET + GAP)
            yield deed, Box(EDGE + column * step, top, step - GAP, TARGET)


def _heading(group: Group) -> float:
    return HEADING if group.title else EDGE
