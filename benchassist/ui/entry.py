"""A line of text typed in place: label above, field, and below it how to write it or what is wrong.

There are no pop-ups: notes, typed readings and temperatures are all typed here.
"""

from dataclasses import dataclass
from typing import ClassVar

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QKeyEvent,
    QPainter,
    QPalette,
    QResizeEvent,
    QValidator,
)
from PySide6.QtWidgets import QLineEdit, QWidget

from benchassist.core.plain_text import plain, typed
from benchassist.paint.font import font
from benchassist.paint.palette import Palette
from benchassist.ui.cap import paint_triangle
from benchassist.ui.lettering import Style, paragraph, row
from benchassist.ui.look import Look
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Part

ENTRY_HEIGHT, ENTRY_LOW = 124.0, 98.0


class Seen(QValidator):
    """Takes out of a line what cannot be seen or would steer it, as soon as it is pasted."""

    def validate(self, text: str, at: int) -> tuple[QValidator.State, str, int]:
        """All that is left is right."""
        return QValidator.State.Acceptable, typed(text), min(at, len(typed(text[:at])))


class LineField(QLineEdit):
    """A field that hands on what it does not use: Enter, Esc, Up and Down, function keys.

    Ctrl+Enter is its page's. What is typed or pasted into it comes out on one line, without what
    cannot be seen; what was put into it and not touched comes out as it was, however long.
    """

    entered = Signal(str)
    left = Signal()
    moved = Signal(int)
    HANDED_ON: ClassVar[frozenset[str]] = frozenset()
    """Keys that its page may hint at while it has the focus, though other lines type them."""

    def __init__(self, parent: QWidget | None = None, *, px: int = 26, weight: int = 600) -> None:
        super().__init__(parent)
        self._px, self._weight = px, weight
        self._put = self._stands = ""
        self.setFrame(False)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.NoContextMenu)
        self.setValidator(Seen(self))

    def setAccessibleName(self, name: str) -> None:
        """A name for who does not see it: as plain as what is drawn."""
        super().setAccessibleName(plain(name))

    def setAccessibleDescription(self, description: str) -> None:
        """As plain as the name."""
        super().setAccessibleDescription(plain(description))

    def setPlaceholderText(self, text: str) -> None:
        """What stands in it while it is empty, plain too."""
        super().setPlaceholderText(plain(text))

    def setText(self, text: str | None) -> None:
        """Put a text in; what does not fit into a field is not shown."""
        self._put = text or ""
        self._stands = plain(self._put)
        super().setText(self._stands)

    def text(self) -> str:
        """What stands in it."""
        stands = super().text()
        return self._put if stands == self._stands else typed(stands)

    def dress(self, look: Look, *, ground: str = "") -> None:
        """Font and colours."""
        self.setFont(font(look.px(self._px), self._weight))
        colours = QPalette()
        palette = look.palette
        for role, colour in (
            (QPalette.ColorRole.Base, ground or palette.panel),
            (QPalette.ColorRole.Text, palette.ink),
            (QPalette.ColorRole.PlaceholderText, palette.dim),
            (QPalette.ColorRole.Highlight, palette.band),
            (QPalette.ColorRole.HighlightedText, palette.ink),
        ):
            colours.setColor(role, QColor(colour))
        self.setPalette(colours)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """The frame around it grows strong."""
        super().focusInEvent(event)
        self._frame()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """The frame grows thin."""
        super().focusOutEvent(event)
        self._frame()

    def _frame(self) -> None:
        if (around := self.parentWidget()) is not None:
            around.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter enters, Esc leaves, Up and Down move between fields."""
        control = event.modifiers() & Qt.KeyboardModifier.ControlModifier
        match event.key():
            case Qt.Key.Key_Return | Qt.Key.Key_Enter if control:
                event.ignore()
            case Qt.Key.Key_Return | Qt.Key.Key_Enter:
                self.entered.emit(self.text())
            case Qt.Key.Key_Escape:
                self.left.emit()
            case Qt.Key.Key_Up:
                self.moved.emit(-1)
            case Qt.Key.Key_Down:
                self.moved.emit(1)
            case Qt.Key.Key_Left | Qt.Key.Key_Right if not self.text():
                event.ignore()
            case _:
                super().keyPressEvent(event)


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryShown:
    """What is asked for; an error takes the hint's place."""

    label: str = ""
    hint: str = ""
    error: str = ""


class EntryLine(Part[EntryShown]):
    """Label, field, hint or error; 124 units high, 98 where it is tight."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(EntryShown(), parent)
        self.field = LineField(self)
        self.setFocusProxy(self.field)

    def words(self) -> str:
        """Label and what stands below."""
        return ". ".join(t for t in (self.value.label, self.value.error or self.value.hint) if t)

    def changed(self, before: EntryShown) -> None:
        """The field says what it is for."""
        self.field.setAccessibleName(self.value.label)
        self.field.setAccessibleDescription(self.value.error or self.value.hint)
        self.update()

    def dress(self, look: Look) -> None:
        """Dress and place the field."""
        super().dress(look)
        self.field.dress(look)
        self._place()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Place the field."""
        self._place()

    def _box(self) -> QRectF:
        low = self.height() / self.look.s < ENTRY_HEIGHT - 1.0
        return QRectF(0, 26, self.width() / self.look.s, 44 if low else 50)

    def _place(self) -> None:
        box = self._box().adjusted(12, 5, -10, -5)
        s = self.look.s
        rect = QRectF(box.left() * s, box.top() * s, box.width() * s, box.height() * s)
        self.field.setGeometry(rect.toAlignedRect())

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Everything but the text itself."""
        shown = self.value
        label = Style(px=20, weight=700, color=palette.ink)
        row(painter, QRectF(0, 0, room.width(), 24), shown.label, label)
        paint_panel(painter, self._box(), palette, edge=3.0)
        top = self._box().bottom() + 3
        below = QRectF(0, top, room.width(), room.height() - top)
        if shown.error:
            paint_triangle(painter, QRectF(0, top + 2, 24, 20), palette.out_text, palette.bench)
            words = below.adjusted(32, 0, 0, 0)
            style = Style(px=18, weight=700, color=palette.out_text)
            paragraph(painter, words, shown.error, style, least=13, upright=0.5)
        else:
            style = Style(px=18, weight=400, color=palette.dim)
            paragraph(painter, below, shown.hint, style, least=13, upright=0.5)
