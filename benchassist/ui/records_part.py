"""Parts of the page of the shop's records: a list, and what is said line by line."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter, QWheelEvent
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.services.record.records_view import RecordRow
from benchassist.services.translation import _
from benchassist.ui.lettering import RIGHT, Style, paragraph, row, wrapped_height
from benchassist.ui.part import Part, Target
from benchassist.ui.scroll_list import NOTCH, RowShown, ScrollList, bar_of, paint_bar, paint_ground

VALUE = 190.0
"""The column of what is said at a row's right."""
FIRST, NEXT = 28, 20
"""Sizes of the first line that is said, and of the others."""


class RowTarget(Target[RowShown[RecordRow]]):
    """Title and detail on the left, value and note on the right."""

    def words(self) -> str:
        """All of it."""
        one = self.value.row
        chosen = _("chosen") if self.value.cursor else ""
        return ". ".join(t for t in (one.title, one.detail, one.value, one.note, chosen) if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """The cursor has the ground and the bar."""
        one = self.value.row
        paint_ground(painter, room, palette, cursor=self.value.cursor)
        wide = room.width() - VALUE - 40
        title = Style(px=19, weight=700, color=palette.ink)
        row(painter, QRectF(14, 4, wide, 24), one.title, title, least=13)
        quiet = Style(px=16, weight=400, color=palette.dim)
        row(painter, QRectF(14, 28, wide, 19), one.detail, quiet, least=12)
        left = room.width() - VALUE - 14
        value = Style(px=19, weight=700, color=palette.ink, align=RIGHT)
        row(painter, QRectF(left, 4, VALUE, 24), one.value, value, least=13)
        note = Style(px=16, weight=400, color=palette.dim, align=RIGHT)
        row(painter, QRectF(left, 28, VALUE, 19), one.note, note, least=12)


class RecordRows(ScrollList[RecordRow]):
    """Backups, files, people: whatever is to choose from."""

    def row_target(self, item: RowShown[RecordRow]) -> RowTarget:
        """One of them."""
        return RowTarget(item)

    def counted(self, count: int) -> str:
        """Rows."""
        return _("{n} rows").format(n=count)


@dataclass(frozen=True, slots=True)
class LinesShown:
    """What is said, a line each; `large`: the first of them stands out."""

    lines: tuple[str, ...] = ()
    large: bool = False


class SaidLines(Part[LinesShown]):
    """Lines below each other, wrapped, scrolled by line."""

    def __init__(self, parent: QWidget | None = None) -> None:
        self.first = 0
        super().__init__(LinesShown(), parent)

    def words(self) -> str:
        """All of it."""
        return ". ".join(self.value.lines)

    def changed(self, before: LinesShown) -> None:
        """Something else begins at its top."""
        self.first = 0
        self.update()

    def step(self, by: int) -> None:
        """Down where positive; by lines."""
        first = min(max(0, self.first + by), max(0, len(self.value.lines) - self.most))
        if first != self.first:
            self.first = first
            self.update()

    @property
    def most(self) -> int:
        """How many of the last lines fit."""
        high, count = self.height() / self.look.s, 0
        for number in range(len(self.value.lines) - 1, -1, -1):
            high -= self._needs(number, self.width() / self.look.s)
            if high < 0:
                break
            count += 1
        return max(1, count)

    def _style(self, number: int, palette: Palette) -> Style:
        if number == 0 and self.value.large:
            return Style(px=FIRST, weight=800, color=palette.ink)
        return Style(px=NEXT, weight=500, color=palette.ink)

    def _needs(self, number: int, wide: float) -> float:
        style = self._style(number, self.look.palette)
        return wrapped_height(self.value.lines[number], wide - 16, style) + 12.0

    def wheelEvent(self, event: QWheelEvent) -> None:
        """A notch is a line."""
        self.step(-round(event.angleDelta().y() / NOTCH))
        event.accept()

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """As many as fit; where one alone does not, it is set smaller."""
        y, count = 0.0, len(self.value.lines)
        for number in range(self.first, count):
            needs = self._needs(number, room.width())
            if y and y + needs > room.height() + 12.0:
                break
            where = QRectF(0, y, room.width() - 16, min(needs, room.height() - y))
            paragraph(painter, where, self.value.lines[number], self._style(number, palette))
            y += needs
        paint_bar(painter, bar_of(room), palette, (self.first, self.most, count))
