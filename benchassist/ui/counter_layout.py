"""Where the parts of the counter stand, in units of the layout."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF

from benchassist.ui.bench_layout import MARGIN, Place
from benchassist.ui.lettering import columns_of
from benchassist.ui.message import height_of
from benchassist.ui.slip_part import SLIP_SHARE

WORK_HEIGHT = 232.0


@dataclass(frozen=True, slots=True)
class CounterPlaces:
    """Left the slips, right the box and what it found, or the work that is waited for."""

    slips: Place
    head: Place
    search: Place
    message: Place
    machines: Place
    work: Place
    buttons: tuple[Place, ...]

    @property
    def in_order(self) -> tuple[Place, ...]:
        """Of the parts as they are named, then of the buttons."""
        parts = (self.slips, self.head, self.search, self.message, self.machines, self.work)
        return (*parts, *self.buttons)


def counter_places(
    wide: float, high: float, *, buttons: int = 3, message: str = ""
) -> CounterPlaces:
    """Of a page so wide and high, with so many buttons at its foot.

    What is wrong takes what it needs: the rest gives way.
    """
    left = wide * SLIP_SHARE
    x, room = left + MARGIN, wide - left - 2 * MARGIN
    told = height_of(message, room)
    columns = columns_of(QRectF(x, high - 112, room, 96), buttons, 16.0)
    return CounterPlaces(
        slips=Place(0, 0, left, high),
        head=Place(x, 20, room, 180),
        search=Place(x, 84, room, 80),
        message=Place(x, 168, room, told),
        machines=Place(x, 172 + told, room, high - 300 - told),
        work=Place(x, 204, room, WORK_HEIGHT),
        buttons=tuple(Place(c.left(), c.top(), c.width(), c.height()) for c in columns),
    )
