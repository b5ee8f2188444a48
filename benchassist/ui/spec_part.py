"""Parts of the page of the spec book: where one types to find, the figures found, what is wrong."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QKeyEvent, QPainter, QResizeEvent
from PySide6.QtWidgets import QWidget

from benchassist.paint.glyph import paint_magnifier
from benchassist.paint.palette import Palette
from benchassist.services.desk import SpecRow
from benchassist.services.translation import _
from benchassist.ui.bench_layout import Place
from benchassist.ui.cap import paint_triangle
from benchassist.ui.entry import LineField
from benchassist.ui.lettering import RIGHT, Style, paragraph, row
from benchassist.ui.look import Look
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Part, Target
from benchassist.ui.scroll_list import RowShown, ScrollList, paint_ground

VALUE = 236.0
"""The column of what a figure is."""
FIND_HEAD = 26.0


class FindField(LineField):
    """Ctrl+Z takes back a change of the book, not the letters typed here."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Hand Ctrl+Z on."""
        control = event.modifiers() & Qt.KeyboardModifier.ControlModifier
        if control and event.key() == Qt.Key.Key_Z:
            event.ignore()
        else:
            super().keyPressEvent(event)


class FindBox(Part[str]):
    """The box to type in; its value is how many figures were found."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("", parent)
        self.field = FindField(self, px=24, weight=600)
        self.field.setAccessibleName(_("Find a figure"))
        self.setFocusProxy(self.field)

    def words(self) -> str:
        """What was found."""
        return self.value

    def changed(self, before: str) -> None:
        """The field says it too."""
        self.field.setAccessibleDescription(self.value)
        self.update()

    def dress(self, look: Look) -> None:
        """Dress and place the field."""
        super().dress(look)
        self.field.dress(look)
        self._place()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Place the field."""
        self._place()

    def _place(self) -> None:
        s = self.look.s
        wide, high = self.width() / s, self.height() / s
        box = Place(52, FIND_HEAD + 4, wide - 64, high - FIND_HEAD - 8)
        self.field.setGeometry(self.look.rect(box))

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Label, count, box, glass."""
        head = QRectF(0, 0, room.width(), FIND_HEAD - 4)
        label = Style(px=18, weight=700, color=palette.ink)
        taken = row(painter, head, _("Find"), label)
        hint = Style(px=16, weight=400, color=palette.dim, align=RIGHT)
        row(painter, head.adjusted(taken.width() + 14, 0, 0, 0), self.value, hint, least=12)
        box = room.adjusted(0, FIND_HEAD, 0, 0)
        paint_panel(painter, box, palette, edge=3.0)
        paint_magnifier(painter, QRectF(15, box.center().y() - 12, 24, 24), palette.ink)


class FigureTarget(Target[RowShown[SpecRow]]):
    """One figure: its name and where it belongs, its value and whose it is."""

    def words(self) -> str:
        """All of it."""
        one = self.value.row
        chosen = _("chosen") if self.value.cursor else ""
        parts = (one.title, one.detail, one.sheet, one.value, one.origin, chosen)
        return ". ".join(part for part in parts if part)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Two lines at either side; the cursor has the ground and the bar."""
        one = self.value.row
        paint_ground(painter, room, palette, cursor=self.value.cursor)
        wide = room.width() - VALUE - 40
        title = Style(px=19, weight=700, color=palette.ink)
        row(painter, QRectF(14, 4, wide, 23), one.title, title)
        place = " · ".join(part for part in (one.detail, one.sheet) if part)
        quiet = Style(px=15, weight=400, color=palette.dim)
        row(painter, QRectF(14, 27, wide, 18), place, quiet)
        left = room.width() - VALUE - 14
        value = Style(px=19, weight=800, color=palette.ink, align=RIGHT)
        row(painter, QRectF(left, 4, VALUE, 23), one.value, value)
        whose = Style(
            px=15,
            weight=700 if one.own else 400,
            color=palette.in_text if one.own else palette.dim,
            align=RIGHT,
        )
        row(painter, QRectF(left, 27, VALUE, 18), one.origin, whose)


class Figures(ScrollList[SpecRow]):
    """The figures found."""

    def row_target(self, item: RowShown[SpecRow]) -> FigureTarget:
        """A figure."""
        return FigureTarget(item)

    def counted(self, count: int) -> str:
        """Figures."""
        return _("{n} figures").format(n=count)


@dataclass(frozen=True, slots=True)
class WrongShown:
    """What is wrong, a line each; `fine` is said where nothing is."""

    faults: tuple[str, ...] = ()
    fine: str = ""


class Wrong(Part[WrongShown]):
    """What is wrong with what is typed, as it is typed."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(WrongShown(), parent)

    def words(self) -> str:
        """All of it."""
        return ". ".join(self.value.faults) or self.value.fine

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """A triangle before every fault."""
        shown = self.value
        if not shown.faults:
            style = Style(px=18, weight=400, color=palette.dim)
            paragraph(painter, room, shown.fine, style, least=14)
            return
        high = min(54.0, room.height() / len(shown.faults))
        text = Style(px=18, weight=700, color=palette.out_text)
        for number, fault in enumerate(shown.faults):
            top = number * high
            paint_triangle(painter, QRectF(0, top + 2, 24, 20), palette.out_text, palette.bench)
            words = QRectF(34, top, room.width() - 34, high - 4)
            paragraph(painter, words, fault, text, least=12)
