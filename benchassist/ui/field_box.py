"""A labelled field of a form, and the tiles of a choice in it."""

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter, QResizeEvent
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.services.bench.view import Choice
from benchassist.services.desk import Field
from benchassist.ui.bench_layout import Place
from benchassist.ui.entry import LineField
from benchassist.ui.lettering import RIGHT, Style, row
from benchassist.ui.look import Look
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Part

LABEL = 26.0


class FieldBox(Part[Field]):
    """Label, box, and a hint at the label's right."""

    def __init__(self, value: Field, parent: QWidget | None = None, *, px: int = 22) -> None:
        self._px = px
        super().__init__(value, parent)
        self.field = LineField(self, px=px, weight=600)
        self.field.setText(value.value)
        self.setFocusProxy(self.field)
        self._name()

    def words(self) -> str:
        """Label and hint."""
        return ". ".join(t for t in (self.value.label, self.value.hint) if t)

    def changed(self, before: Field) -> None:
        """Another question: its own value."""
        if before.key != self.value.key:
            self.field.setText(self.value.value)
        self._name()
        self.update()

    def _name(self) -> None:
        self.field.setAccessibleName(self.value.label)
        self.field.setAccessibleDescription(self.value.hint)

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
        top = LABEL if self.value.label else 0.0
        self.field.setGeometry(self.look.rect(Place(12, top + 4, wide - 24, high - top - 8)))

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Everything but the text itself; the box is strong where the focus is."""
        field = self.value
        top = LABEL if field.label else 0.0
        label = Style(px=18, weight=700, color=palette.ink)
        head = QRectF(0, 0, room.width(), LABEL - 4)
        taken = row(painter, head, field.label, label)
        hint = Style(px=16, weight=400, color=palette.dim, align=RIGHT)
        row(painter, head.adjusted(taken.width() + 14, 0, 0, 0), field.hint, hint, least=12)
        edge = 3.0 if self.field.hasFocus() else 1.0
        paint_panel(painter, room.adjusted(0, top, 0, 0), palette, edge=edge)


def choices_of(field: Field, chosen: str) -> tuple[Choice, ...]:
    """The answers of a field as tiles, numbered from 1."""
    return tuple(
        Choice(key=c.key, press=str(i), text=c.text, chosen=c.key == chosen)
        for i, c in enumerate(field.choices, start=1)
    )
