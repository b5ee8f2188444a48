"""The one line that says what is wrong now; nothing pops up."""

from dataclasses import replace

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint import lettering
from benchassist.paint.palette import Palette
from benchassist.ui.bench_layout import Place
from benchassist.ui.lettering import Style, paragraph, row, wrapped_height
from benchassist.ui.look import Look
from benchassist.ui.part import Part

MARGIN = 14.0
ONE_LINE, LOW = 32.0, 56.0
"""The height of a room for one line, and of one that holds two."""
MOST = 84.0
"""What a page that moves down for it gives a message at most: three lines."""
LARGE, SMALL = 19, 15
"""Sizes of several lines, where there is room for them and where not."""
LEAST = 16
"""The smallest size of a single one."""


class Message(Part[str]):
    """What is wrong now, inverted: one line, two where it must be."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("", parent)
        self._place: Place | None = None
        self._spare = 0.0

    def lay(self, place: Place, *, spare: float) -> None:
        """A place for one line; what needs more covers `spare` units of what stands below it."""
        self._place, self._spare = place, spare
        self._fit()

    def _fit(self) -> None:
        place = self._place
        if place is not None:
            more = self._spare if height_of(self.value, place.width) > place.height else 0.0
            self.setGeometry(self.look.rect(replace(place, height=place.height + more)))
            self.raise_()

    def changed(self, before: str) -> None:
        """Another text may need another room."""
        self._fit()
        self.update()

    def dress(self, look: Look) -> None:
        """Another size, other pixels."""
        super().dress(look)
        self._fit()

    def words(self) -> str:
        """The message."""
        return self.value

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Light on dark, or dark on light at night."""
        painter.fillRect(room, QColor(palette.ink))
        px = 28 if room.height() > 40.0 else 19
        style = Style(px=px, weight=600, color=palette.bench)
        words = room.adjusted(MARGIN, 0, -MARGIN, 0)
        if _is_one_line(self.value, words.width(), style):
            row(painter, words, self.value, style, least=LEAST)
        else:
            small = replace(style, px=LARGE if room.height() > LOW else SMALL)
            paragraph(painter, words, self.value, small, least=12, upright=0.5)


def height_of(text: str, wide: float) -> float:
    """What a message that may be long needs of a page, so that all of it can be read."""
    style, room = Style(px=LARGE, weight=600, color=""), wide - 2 * MARGIN
    if _is_one_line(text, room, style):
        return ONE_LINE
    return wrapped_height(text, room, style) + MARGIN


def room_for(text: str, wide: float) -> float:
    """What a page gives a message: what it needs, within reason; nothing where there is none."""
    return min(height_of(text, wide), MOST) if text else 0.0


def _is_one_line(text: str, wide: float, style: Style) -> bool:
    return lettering.fit(text, wide, style, least=LEAST)[0] == text
