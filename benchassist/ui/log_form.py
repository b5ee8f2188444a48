"""The form of a log: its file and how to read it, all of it by keyboard."""

from collections.abc import Mapping
from itertools import pairwise
from pathlib import PurePath

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import LIGHT
from benchassist.services.desk import Field, FieldKind
from benchassist.ui.bench_layout import Place
from benchassist.ui.choice_box import ChoiceBox
from benchassist.ui.field_box import FieldBox
from benchassist.ui.field_column import answer_of, focus_on, here_in, key_of, values_of
from benchassist.ui.look import Look

BOX, CHOICE_BOX, GAP = 78.0, 86.0, 12.0
WIDER = 0.4


class LogForm(QWidget):
    """Fields one under the other; those that are written after the first stand side by side."""

    answered = Signal(str)
    """The key of a choice that was made: what is asked may be other fields now."""
    submitted = Signal()
    """Past the last field."""
    left = Signal()
    changed = Signal()
    """Something was written."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.look = Look(LIGHT)
        self.boxes: list[FieldBox | ChoiceBox] = []

    @property
    def values(self) -> Mapping[str, str]:
        """What is written and chosen."""
        return values_of(self.boxes)

    @property
    def pairs(self) -> tuple[tuple[str, str], ...]:
        """Labels and answers as they read."""
        return tuple((_field(box).label, _said(box)) for box in self.boxes)

    @property
    def here(self) -> int:
        """The place of the field that has the focus; -1 where none has."""
        return here_in(self.boxes)

    def ask(self, fields: tuple[Field, ...]) -> None:
        """Show these fields; those that stay keep what is written in them, and the focus."""
        focused = key_of(self.boxes[self.here]) if self.here >= 0 else ""
        kept = {key_of(box): box for box in self.boxes}
        boxes: list[FieldBox | ChoiceBox] = []
        for field in fields:
            box = kept.pop(field.key, None)
            boxes.append(box if box is not None else self._box(field))
        for box in kept.values():
            box.hide()
            box.deleteLater()
        self.boxes = boxes
        for before, after in pairwise(boxes):
            self.setTabOrder(before, after)
        for box in boxes:
            box.dress(self.look)
            box.show()
            if key_of(box) == focused:
                box.setFocus()
        self.place()

    def _box(self, field: Field) -> FieldBox | ChoiceBox:
        if field.kind is FieldKind.CHOICE:
            choice = ChoiceBox(field, self)
            choice.chosen.connect(lambda key: self._choose(choice, key))
            return choice
        line = FieldBox(field, self)
        line.field.setAcceptDrops(False)  # a file dropped on it is the page's
        line.field.entered.connect(lambda _text: self.go(self._place_of(line) + 1))
        line.field.moved.connect(lambda by: self.go(max(0, self._place_of(line) + by)))
        line.field.left.connect(self.left)
        line.field.textChanged.connect(lambda _text: self.changed.emit())
        return line

    def _place_of(self, box: FieldBox | ChoiceBox) -> int:
        return self.boxes.index(box)

    def write(self, key: str, text: str) -> None:
        """Put a text into a written field."""
        for box in self.boxes:
            if isinstance(box, FieldBox) and key_of(box) == key:
                box.field.setText(text)

    def go(self, to: int) -> None:
        """The field at that place; past the last one the form is submitted."""
        if not focus_on(self.boxes, to):
            self.submitted.emit()

    def press(self, press: str) -> bool:
        """Keys that the field with the focus has no use for."""
        here = self.here
        box = self.boxes[here] if here >= 0 else None
        if press == "Enter" or (press == "Down" and here + 1 < len(self.boxes)):
            self.go(here + 1)
        elif press == "Up":
            self.go(max(0, here - 1))
        elif isinstance(box, ChoiceBox):
            before = box.value.key
            if not box.choose_by(press):
                return False
            if box.value.key != before:
                self.answered.emit(key_of(box))
        else:
            return press == "Down"
        return True

    def _choose(self, box: ChoiceBox, key: str) -> None:
        box.setFocus()
        if box.value.key != key:
            box.choose(key)
            self.answered.emit(key_of(box))

    def place(self) -> None:
        """Full rows, but for written fields after the first: they share one."""
        wide = self.width() / self.look.s
        written = [box for box in self.boxes[1:] if isinstance(box, FieldBox)]
        # The first of them has the longest label.
        share = (wide - GAP * (len(written) - 1)) / (len(written) + WIDER)
        x = y = 0.0
        for box in self.boxes:
            if box in written:
                across = share * (1.0 + WIDER if x == 0.0 else 1.0)
                where = Place(x, y, across, BOX)
                x += across + GAP
            else:
                high = BOX if isinstance(box, FieldBox) else CHOICE_BOX
                where = Place(0, y, wide, high)
                y += high + GAP
            box.setGeometry(self.look.rect(where))

    def dress(self, look: Look) -> None:
        """Dress the fields and place them."""
        self.look = look
        for box in self.boxes:
            box.dress(look)
        self.place()


def _field(box: FieldBox | ChoiceBox) -> Field:
    return box.field if isinstance(box, ChoiceBox) else box.value


def _said(box: FieldBox | ChoiceBox) -> str:
    """The answer as it reads; of a path its last name."""
    answer = answer_of(box)
    if isinstance(box, FieldBox):
        return PurePath(answer).name if key_of(box) == "path" else answer
    return next((c.text for c in box.field.choices if c.key == answer), "")
