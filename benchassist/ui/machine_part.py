"""The heading of a machine's file, the line of its photos, its fitted parts."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.paint.sketch import paint_machine
from benchassist.services.record.machine_file_view import PartLine
from benchassist.services.translation import _
from benchassist.ui.lettering import RIGHT, Style, paragraph, row
from benchassist.ui.machine_rows import SLACK
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Part

PICTURE = 104.0
ROW = 40.0


@dataclass(frozen=True, slots=True)
class MachineHeading:
    """Whose machine, its engine and visits, its tag; `place` counts what is in view below."""

    title: str = ""
    line: str = ""
    tag: str = ""
    place: str = ""


class MachineHead(Part[MachineHeading]):
    """The machine's picture, its name as large as fits, its tag."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(MachineHeading(), parent)

    def words(self) -> str:
        """Name, line, tag."""
        shown = self.value
        return ". ".join(t for t in (shown.title, shown.line, shown.tag, shown.place) if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Picture left, tag right, name between; the line below."""
        shown = self.value
        paint_machine(painter, QRectF(0.0, 2.0, PICTURE, room.height() - 6.0), palette)
        left = PICTURE + 20.0
        tag = Style(px=22, weight=700, color=palette.dim, align=RIGHT)
        head = QRectF(left, 0.0, room.width() - left, 50.0)
        taken = row(painter, QRectF(left, 0.0, head.width(), 50.0), shown.tag, tag).width()
        name = Style(px=38, weight=800, color=palette.ink)
        words = head.adjusted(0.0, 0.0, -taken - 20.0, 0.0)
        if name.sized(26).width(shown.title) <= words.width():
            row(painter, words, shown.title, name, least=26)
        else:
            rows = words.adjusted(0.0, 0.0, 0.0, 6.0)
            paragraph(painter, rows, shown.title, name.sized(24), least=13, upright=0.5)
        below = QRectF(left, 56.0, room.width() - left, 24.0)
        quiet = Style(px=19, weight=400, color=palette.dim)
        place = Style(px=18, weight=600, color=palette.dim, align=RIGHT)
        taken = row(painter, below, shown.place, place).width()
        taken += 16.0 if shown.place else 0.0
        row(painter, below.adjusted(0.0, 0.0, -taken, 0.0), shown.line, quiet, least=12)


class SaidLine(Part[str]):
    """What the last key did."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("", parent)

    def words(self) -> str:
        """The line."""
        return self.value

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """One line, quiet."""
        row(painter, room, self.value, Style(px=19, weight=600, color=palette.ink), least=13)


@dataclass(frozen=True, slots=True)
class PartsShown:
    """The parts that were fitted, newest first; `first` is the one at the top of the view."""

    parts: tuple[PartLine, ...] = ()
    first: int = 0
    visit_id: str = ""


class PartList(Part[PartsShown]):
    """A row a part: day, what it is, what became of the old one."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(PartsShown(), parent)

    @property
    def more_below(self) -> bool:
        """Whether there are parts below those in view."""
        return self.value.first + self.fits < len(self.value.parts)

    @property
    def fits(self) -> int:
        """How many rows there is room for."""
        return max(1, int((self.height() / self.look.s - 24.0) / ROW + SLACK))

    def words(self) -> str:
        """All of them."""
        return ". ".join(
            ", ".join(t for t in (p.day_text, p.text, p.note) if t) for p in self.value.parts
        )

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """From the first in view on."""
        paint_panel(painter, room, palette)
        shown = self.value
        if not shown.parts:
            quiet = Style(px=24, weight=500, color=palette.dim)
            text = _("No part was fitted yet.")
            paragraph(painter, room.adjusted(20.0, 16.0, -20.0, 0.0), text, quiet)
            return
        day = Style(px=20, weight=400, color=palette.dim)
        bold = Style(px=22, weight=700, color=palette.ink)
        inner = room.adjusted(20.0, 12.0, -20.0, -12.0)
        y = inner.top()
        for part in shown.parts[shown.first : shown.first + self.fits]:
            if part.visit_id == shown.visit_id:
                line = QRectF(1.0, y, room.width() - 2.0, ROW)
                painter.fillRect(line, QColor(palette.well))
                painter.fillRect(QRectF(0.0, y, 6.0, ROW), QColor(palette.live))
            row(painter, QRectF(inner.left(), y, 140.0, ROW), part.day_text, day)
            left, wide = inner.left() + 152.0, inner.width() - 152.0
            noted = row(
                painter,
                QRectF(left + 0.5 * wide, y, 0.5 * wide, ROW),
                part.note,
                Style(px=18, weight=400, color=palette.dim, align=RIGHT),
                least=13,
            )
            named = wide - (noted.width() + 16.0 if part.note else 0.0)
            row(painter, QRectF(left, y, named, ROW), part.text, bold, least=14)
            y += ROW
