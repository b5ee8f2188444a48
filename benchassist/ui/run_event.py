"""What happened in a run: a line an event, a press jumps to it on the plot."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.paint.stroke import line, pen, polygon, shape
from benchassist.services.runs.view import EventRow
from benchassist.ui.crowd import Crowd
from benchassist.ui.lettering import RIGHT, Style, paragraph, row
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Target

ROW = 58.0


@dataclass(frozen=True, slots=True)
class Happened:
    """What happened, oldest first, under its title."""

    title: str = ""
    rows: tuple[EventRow, ...] = ()


class EventTarget(Target[EventRow]):
    """One line: when, what, and its flag's number; a press jumps to it."""

    def words(self) -> str:
        """Everything on it."""
        event = self.value
        return ". ".join(t for t in (event.time_text, event.title, event.detail) if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Time left, title and detail, flag at the right."""
        event = self.value
        line(painter, (0, room.height()), (room.width(), room.height()), pen(palette.rule, 1.0))
        colour = palette.out_text if event.severe else palette.ink
        wide = 60.0
        time = Style(px=18, weight=500, color=palette.dim)
        row(painter, QRectF(0, 4, wide - 4, 26), event.time_text, time, least=13)
        right = room.width() - (30.0 if event.number else 0.0)
        title = Style(px=18, weight=700, color=colour)
        detail = Style(px=16, weight=400, color=palette.dim)
        if event.detail:
            row(painter, QRectF(wide, 4, right - wide, 26), event.title, title, least=13)
            below = QRectF(wide, 30, room.width() - wide, room.height() - 34)
            paragraph(painter, below, event.detail, detail, least=12)
        else:
            whole = QRectF(wide, 4, right - wide, room.height() - 8)
            paragraph(painter, whole, event.title, title, least=13)
        if event.number:
            _paint_flag(painter, QRectF(room.width() - 24, 6, 22, 20), event, palette)


def _paint_flag(painter: QPainter, room: QRectF, event: EventRow, palette: Palette) -> None:
    """The flag of the plot: notched cloth with its number."""
    colour = palette.out_text if event.severe else palette.dim
    right, middle = room.right(), room.center().y()
    cloth = polygon(
        [
            (room.left(), room.top()),
            (right, room.top()),
            (right - 5, middle),
            (right, room.bottom()),
            (room.left(), room.bottom()),
        ]
    )
    shape(painter, cloth, fill=colour)
    number = Style(px=15, weight=800, color=palette.panel)
    row(painter, room.adjusted(4, 0, -5, 0), str(event.number), number, least=9)


class Events(Crowd[Happened, EventRow]):
    """What happened: the latest that fit, the whole list for a screen reader."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Happened(), parent)

    def words(self) -> str:
        """Title and every row."""
        rows = (f"{e.time_text} {e.title} {e.detail}".strip() for e in self.value.rows)
        return ". ".join((self.value.title, *rows))

    def items(self) -> Sequence[EventRow]:
        """The latest that fit; the start stays the first where there is room for it."""
        rows = self.value.rows
        room = self.height() / self.look.s - 46.0
        most = max(1, int(room / ROW))
        if len(rows) <= most or most < 3:
            return rows[-most:]
        return (rows[0], *rows[-(most - 1) :])

    def make(self, item: EventRow) -> EventTarget:
        """A line."""
        return EventTarget(item)

    def token(self, item: EventRow) -> str:
        """Where the plot jumps to."""
        return repr(item.t_s)

    def places(self, items: Sequence[EventRow], room: QRectF) -> list[QRectF | None]:
        """One under the other."""
        return [QRectF(14, 42 + i * ROW, room.width() - 28, ROW) for i in range(len(items))]

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Panel and title."""
        paint_panel(painter, room, palette)
        title = Style(px=18, weight=700, color=palette.ink)
        row(painter, QRectF(14, 6, room.width() - 28, 30), self.value.title, title, least=13)
        hidden = len(self.value.rows) - len(self.items())
        if hidden > 0:
            more = Style(px=15, weight=400, color=palette.dim, align=RIGHT)
            row(painter, QRectF(14, 6, room.width() - 28, 30), f"+{hidden}", more)
        line(painter, (14, 40), (room.width() - 14, 40), pen(palette.ink, 2.0))
