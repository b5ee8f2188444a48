"""Where the window of the practice hands puts its parts, in design units."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from benchassist.practice.deed import Deed, Group, HandsView

WIDTH: Final = 376.0
HEIGHT: Final = 690.0
BAR: Final = 76.0
READS: Final = 50.0
"""Height of the strip below the tabs: what thermometer and gauges show."""
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


STRIP: Final = BAR + EDGE + TARGET + GAP
"""Where the strip begins."""


def headings(view: HandsView) -> Iterator[tuple[Group, float]]:
    """Every group and where its heading begins."""
    y = STRIP + READS
    for group in view.groups:
        yield group, y
        rows = -(-len(group.deeds) // group.columns)
        y += _heading(group) + rows * (TARGET + GAP)


def boxes(view: HandsView, width: float) -> Iterator[tuple[Deed, Box]]:
    """Every deed and its target, in a window that is `width` wide."""
    for group, y in ((view.tabs, BAR), *headings(view)):
        step = (width - 2.0 * EDGE + GAP) / group.columns
        for i, deed in enumerate(group.deeds):
            row, column = divmod(i, group.columns)
            top = y + _heading(group) + row * (TARGET + GAP)
            yield deed, Box(EDGE + column * step, top, step - GAP, TARGET)


def _heading(group: Group) -> float:
    return HEADING if group.title else EDGE
