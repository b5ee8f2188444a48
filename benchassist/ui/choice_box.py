"""A field of a form that is answered by a number key: its answers side by side under its label."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFocusEvent, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.services.bench.view import Choice
from benchassist.services.desk import Field
from benchassist.ui.crowd import Crowd
from benchassist.ui.field_box import LABEL, choices_of
from benchassist.ui.lettering import RIGHT, Style, columns_of, row
from benchassist.ui.panel import paint_panel
from benchassist.ui.tile import ChoiceTile

INSET = 4.0


@dataclass(frozen=True, slots=True)
class Chosen:
    """A field and the key of the answer chosen."""

    field: Field
    key: str


class ChoiceBox(Crowd[Chosen, Choice]):
    """Number keys choose while it has the focus; a click chooses at any time."""

    def __init__(self, field: Field, parent: QWidget | None = None) -> None:
        super().__init__(Chosen(field, field.value), parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    @property
    def field(self) -> Field:
        """What is asked."""
        return self.value.field

    def choose(self, key: str) -> None:
        """Take an answer."""
        self.put(Chosen(self.field, key))

    def choose_by(self, press: str) -> bool:
        """Take the answer with that number, or the one beside; False where there is none."""
        keys = [choice.key for choice in self.field.choices]
        here = keys.index(self.value.key) if self.value.key in keys else 0
        steps = {"Left": here - 1, "Right": here + 1}
        to = int(press) - 1 if press.isdecimal() else steps.get(press, -1)
        if not 0 <= to < len(keys):
            return press in steps
        self.choose(keys[to])
        return True

    def words(self) -> str:
        """Label, and the answer chosen."""
        field = self.value.field
        chosen = next((c.text for c in field.choices if c.key == self.value.key), "")
        return ". ".join(t for t in (field.label, chosen) if t)

    def items(self) -> Sequence[Choice]:
        """The answers."""
        return choices_of(self.value.field, self.value.key)

    def make(self, item: Choice) -> ChoiceTile:
        """An answer; the box has the focus for all of them."""
        tile = ChoiceTile(item)
        tile.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        return tile

    def token(self, item: Choice) -> str:
        """Its key."""
        return item.key

    def places(self, items: Sequence[Choice], room: QRectF) -> Sequence[QRectF | None]:
        """Columns of one width inside the frame."""
        inner = room.adjusted(INSET, LABEL + INSET, -INSET, -INSET)
        return columns_of(inner, max(1, len(items)), INSET)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """The frame grows strong."""
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """The frame grows thin."""
        self.update()

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Label, hint, and the frame, strong where the focus is."""
        head = QRectF(0, 0, room.width(), LABEL - 4)
        label = Style(px=18, weight=700, color=palette.ink)
        taken = row(painter, head, self.field.label, label)
        hint = Style(px=16, weight=400, color=palette.dim, align=RIGHT)
        row(painter, head.adjusted(taken.width() + 14, 0, 0, 0), self.field.hint, hint, least=12)
        edge = 3.0 if self.hasFocus() else 1.0
        paint_panel(painter, room.adjusted(0, LABEL, 0, 0), palette, edge=edge)
