"""Parts of the page of a log: what is wrong with it, how far it is read, what happened in it."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter, QWheelEvent
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.paint.stroke import line, pen
from benchassist.services.logs.view import FaultRow
from benchassist.services.runs.view import EventRow
from benchassist.services.translation import _
from benchassist.ui.lettering import RIGHT, Style, paragraph, row
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Part
from benchassist.ui.run_event import ROW, Events, Happened
from benchassist.ui.scroll_list import NOTCH, paint_bar

HEAD = 42.0
FAULT = 46.0
LINE_WIDE = 92.0


@dataclass(frozen=True, slots=True)
class FaultsShown:
    """How many rows could be used, and what is wrong with the others."""

    title: str = ""
    rows: tuple[FaultRow, ...] = ()


def faults_height(count: int) -> float:
    """Height of a list in which so many faults are in view."""
    return HEAD + FAULT * count + 10.0


class FaultList(Part[FaultsShown]):
    """A row a fault, with its line; scrolled by wheel and keys."""

    def __init__(self, parent: QWidget | None = None) -> None:
        self.first = 0
        super().__init__(FaultsShown(), parent)

    @property
    def most(self) -> int:
        """How many faults show at once."""
        return max(1, int((self.height() / self.look.s - HEAD - 4.0) / FAULT))

    @property
    def in_view(self) -> tuple[FaultRow, ...]:
        """What shows now."""
        return self.value.rows[self.first : self.first + self.most]

    def step(self, by: int) -> None:
        """Down the list where positive; by rows."""
        last = max(0, len(self.value.rows) - self.most)
        first = min(max(0, self.first + by), last)
        if first != self.first:
            self.first = first
            self.setAccessibleName(self.words())
            self.update()

    def words(self) -> str:
        """The count, and the faults in view."""
        rows = (f"{fault.line} {fault.text}".strip() for fault in self.in_view)
        return ". ".join((self.value.title, *rows))

    def changed(self, before: FaultsShown) -> None:
        """Another log begins at its top."""
        self.first = 0
        self.update()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """A notch is a fault."""
        self.step(-round(event.angleDelta().y() / NOTCH))
        event.accept()

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Title with the place in the list, the faults, a bar at the right where it scrolls."""
        paint_panel(painter, room, palette)
        head = QRectF(14, 6, room.width() - 28, 30)
        rows, shown = self.value.rows, self.in_view
        taken = 0.0
        if len(rows) > len(shown):
            place = _("{first} to {last} of {n}").format(
                first=self.first + 1, last=self.first + len(shown), n=len(rows)
            )
            style = Style(px=15, weight=400, color=palette.dim, align=RIGHT)
            taken = row(painter, head, place, style).width() + 12.0
        title = Style(px=18, weight=700, color=palette.ink)
        row(painter, head.adjusted(0, 0, -taken, 0), self.value.title, title, least=13)
        line(painter, (14, 40), (room.width() - 14, 40), pen(palette.ink, 2.0))
        number = Style(px=17, weight=700, color=palette.out_text)
        text = Style(px=17, weight=400, color=palette.ink)
        for i, fault in enumerate(shown):
            y = HEAD + i * FAULT
            left = 14.0
            if fault.line:
                one = fault.line.isdecimal()
                name = _("line {n}").format(n=fault.line) if one else fault.line
                row(painter, QRectF(left, y, LINE_WIDE - 8, FAULT), name, number, least=11)
                left += LINE_WIDE
            words = QRectF(left, y + 2, room.width() - left - 24, FAULT - 4)
            paragraph(painter, words, fault.text, text, least=12, upright=0.5)
            bottom = y + FAULT
            line(painter, (14, bottom), (room.width() - 20, bottom), pen(palette.rule, 1.0))
        track = QRectF(room.width() - 12, HEAD + 4, 5, room.height() - HEAD - 10)
        paint_bar(painter, track, palette, (self.first, len(shown), len(rows)))


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgressShown:
    """Which file, how much of it is read (0 to 1), and in words."""

    name: str = ""
    share: float = 0.0
    text: str = ""
    rows_text: str = ""


class ProgressPanel(Part[ProgressShown]):
    """A file while it is read."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(ProgressShown(), parent)

    def words(self) -> str:
        """File and how far."""
        shown = self.value
        return ". ".join(t for t in (shown.name, shown.text, shown.rows_text) if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Name, words, a bar."""
        shown = self.value
        paint_panel(painter, room, palette)
        inner = room.adjusted(24, 18, -24, -18)
        name = Style(px=28, weight=800, color=palette.ink)
        row(painter, QRectF(inner.left(), inner.top(), inner.width(), 40), shown.name, name)
        text = Style(px=24, weight=500, color=palette.ink)
        below = QRectF(inner.left(), inner.top() + 46, inner.width(), 34)
        taken = row(painter, below, shown.text, text)
        counted = Style(px=20, weight=400, color=palette.dim, align=RIGHT)
        row(painter, below.adjusted(taken.width() + 16, 0, 0, 0), shown.rows_text, counted)
        bar = QRectF(inner.left(), inner.top() + 92, inner.width(), 18)
        painter.fillRect(bar, QColor(palette.well))
        done = QRectF(bar.left(), bar.top(), bar.width() * shown.share, bar.height())
        painter.fillRect(done, QColor(palette.live))


class LogEvents(Events):
    """What happened in a log: as many as fit, those about the cursor of the plot."""

    def __init__(self, parent: QWidget | None = None) -> None:
        self.first = 0
        super().__init__(parent)

    @property
    def most(self) -> int:
        """How many show at once."""
        return max(1, int((self.height() / self.look.s - 46.0) / ROW))

    def items(self) -> Sequence[EventRow]:
        """Those in view."""
        return self.value.rows[self.first : self.first + self.most]

    def scroll_to(self, first: int) -> None:
        """Show the list from a row on."""
        first = min(max(0, first), max(0, len(self.value.rows) - self.most))
        if first != self.first:
            self.first = first
            self.lay_out()
            self.update()

    def follow(self, t_s: float) -> None:
        """Bring the event nearest to a moment into view."""
        rows = self.value.rows
        if not rows:
            return
        near = min(range(len(rows)), key=lambda i: abs(rows[i].t_s - t_s))
        if not self.first <= near < self.first + self.most:
            self.scroll_to(near - self.most // 2)

    def changed(self, before: Happened) -> None:
        """Another log begins at its top."""
        self.first = 0
        super().changed(before)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """A notch is an event."""
        self.scroll_to(self.first - round(event.angleDelta().y() / NOTCH))
        event.accept()
