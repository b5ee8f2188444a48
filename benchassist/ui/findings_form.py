"""A form that is open over the findings: its fields in the order given, by keyboard alone."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from PySide6.QtCore import QRectF, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QWidget

from benchassist.services.bench.view import Choice, KeyHint
from benchassist.services.findings.view import FormView
from benchassist.services.front.counter_view import Field, FieldKind
from benchassist.services.translation import _
from benchassist.ui.bench_layout import Place
from benchassist.ui.caution import CautionPanel, caution_panel_height
from benchassist.ui.choice_box import INSET, ChoiceBox
from benchassist.ui.field_box import LABEL, FieldBox
from benchassist.ui.field_column import column_hints, focus_on, here_in, values_of
from benchassist.ui.findings_part import DoneLine
from benchassist.ui.lettering import Style, columns_of
from benchassist.ui.look import Look
from benchassist.ui.tile import Button, ButtonTile

BOX, BOX_LOW, GAP, ACROSS = 70.0, 62.0, 8.0, 16.0
ANSWER, ANSWER_HIGH = 44.0, 56.0
FOOT = 72.0
HINT = 34.0
PRESSES = "123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
TEXT, TEXT_LOW, BESIDE = 19, 16, 78.0
"""Sizes at which an answer is measured, and what its tile needs beside the words."""


class AnswerBox(ChoiceBox):
    """Answers in as many columns as their words leave room for."""

    def columns(self, width: float, px: int = TEXT) -> int:
        """How many fit side by side in a box that wide, set in that size."""
        style = Style(px=px, weight=600, color="#000000")
        texts = [choice.text for choice in self.field.choices]
        widest = max((style.width(text) for text in texts), default=0.0) + BESIDE
        return max(1, min(len(texts), int((width - INSET) / (widest + INSET))))

    def height_for(self, width: float, answer: float) -> float:
        """What the box takes with answers that high."""
        count = max(1, len(self.field.choices))
        rows = -(-count // self.columns(width, _px(answer)))
        return LABEL + INSET + rows * (answer + INSET)

    def items(self) -> Sequence[Choice]:
        """The answers; past nine they have letters."""
        return [
            replace(choice, press=PRESSES[i]) if i < len(PRESSES) else replace(choice, press="")
            for i, choice in enumerate(super().items())
        ]

    def choose_by(self, press: str) -> bool:
        """Take the answer with that number or letter, or the one beside."""
        choices = self.field.choices
        if len(press) == 1 and press in PRESSES:
            at = PRESSES.index(press)
            if at < len(choices):
                self.choose(choices[at].key)
            return at < len(choices)
        return super().choose_by(press)

    def _columns_in(self, inner: QRectF, width: float) -> int:
        """As many as its height was made for."""
        columns = self.columns(width)
        rows = -(-len(self.field.choices) // columns)
        if (inner.height() + INSET) / max(1, rows) - INSET < ANSWER - 1.0:
            columns = self.columns(width, TEXT_LOW)
        return columns

    def places(self, items: Sequence[Choice], room: QRectF) -> Sequence[QRectF | None]:
        """Row by row inside the frame."""
        inner = room.adjusted(INSET, LABEL + INSET, -INSET, -INSET)
        columns = self._columns_in(inner, room.width())
        rows = max(1, -(-len(items) // columns))
        high = (inner.height() - INSET * (rows - 1)) / rows
        across = columns_of(QRectF(inner.left(), inner.top(), inner.width(), high), columns, INSET)
        return [
            across[i % columns].translated(0.0, (i // columns) * (high + INSET))
            for i in range(len(items))
        ]


def _px(answer: float) -> int:
    """The size in which an answer is set on a tile that high."""
    return TEXT if answer > ANSWER else TEXT_LOW


class FindingsForm(QWidget):
    """Fields, a hint, cautions, and the key that keeps it."""

    submitted = Signal()
    left = Signal()
    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.form: FormView | None = None
        self.look: Look | None = None
        self.boxes: list[FieldBox | AnswerBox] = []
        self.hint = DoneLine(self)
        self.cautions = CautionPanel(self)
        self.keep = ButtonTile(Button(press="Ctrl+Enter", text="", main=True), self)
        self.keep.clicked.connect(self.submitted)
        self.hide()

    def show_form(self, form: FormView | None) -> None:
        """Open a form, or close the one that is open; one that is open already stays as typed."""
        if form == self.form:
            return
        before, self.form = self.form, form
        same = form is not None and before is not None and form.fields == before.fields
        if not (same and form is not None and before is not None and form.key == before.key):
            self._build(form)
        self.hint.put(form.hint if form is not None else "")
        self.cautions.put(form.cautions if form is not None else ())
        text = form.submit_text if form is not None else ""
        self.keep.put(Button(press="Ctrl+Enter", text=text, main=True))
        self.setVisible(form is not None)
        if self.look is not None:
            self.dress(self.look)
        if form is not None:
            self.go(0)

    def _build(self, form: FormView | None) -> None:
        for box in self.boxes:
            box.hide()
            box.deleteLater()
        fields = form.fields if form is not None else ()
        self.boxes = [self._box(field) for field in fields]
        for i, box in enumerate(self.boxes):
            if isinstance(box, FieldBox):
                box.field.entered.connect(lambda _text, i=i: self.go(i + 1))
                box.field.moved.connect(lambda by, i=i: self.go(max(0, i + by)))
                box.field.left.connect(self.left)
            else:
                box.chosen.connect(lambda key, box=box: self._choose(box, key))
            box.show()

    def _box(self, field: Field) -> FieldBox | AnswerBox:
        return AnswerBox(field, self) if field.kind is FieldKind.CHOICE else FieldBox(field, self)

    @property
    def values(self) -> Mapping[str, str]:
        """What is written and chosen so far, by the fields' keys."""
        return values_of(self.boxes)

    @property
    def here(self) -> int:
        """The place of the field that has the focus; -1 where none has."""
        return here_in(self.boxes)

    def go(self, to: int) -> None:
        """The field at that place; past the last one, keep."""
        if focus_on(self.boxes, to):
            self.changed.emit()
        else:
            self.submitted.emit()

    def _choose(self, box: AnswerBox, key: str) -> None:
        box.choose(key)
        box.setFocus()
        self.changed.emit()

    def press(self, press: str) -> bool:
        """Keys that the field with the focus has no use for."""
        here = self.here
        box = self.boxes[here] if here >= 0 else None
        match press:
            case "Esc":
                self.left.emit()
            case "Ctrl+Enter":
                self.submitted.emit()
            case "Enter":
                self.go(here + 1)
            case "Down" if here + 1 < len(self.boxes):
                self.go(here + 1)
            case "Up":
                self.go(max(0, here - 1))
            case _:
                return isinstance(box, AnswerBox) and box.choose_by(press)
        return True

    def hints(self) -> tuple[KeyHint, ...]:
        """The keys of a form."""
        text = self.form.submit_text if self.form is not None else ""
        hints = [
            KeyHint(press="Ctrl+Enter", text=text, action="form:Ctrl+Enter", main=True),
            KeyHint(press="Enter", text=_("Next field"), action="form:Enter"),
        ]
        hints += [
            *column_hints(self.boxes, before="form:Up"),
            KeyHint(press="Esc", text=_("Leave it"), action="form:Esc"),
            KeyHint(press="F1", text=_("Keys"), action="help"),
        ]
        return tuple(hints)

    # --- places --------------------------------------------------------------------------------

    def place(self) -> None:
        """Written fields two by two, a choice across both columns; cautions, then the key."""
        if self.look is None or self.form is None:
            return
        look = self.look
        wide, high = self.width() / look.s, self.height() / look.s
        y = 0.0
        self.hint.setVisible(bool(self.form.hint))
        if self.form.hint:
            self.hint.setGeometry(look.rect(Place(0, 0, wide, HINT)))
            y = HINT + 10.0
        foot = high - FOOT + 12.0
        self.keep.setGeometry(look.rect(Place(wide - 400, foot, 400, 60)))
        cautions = self.form.cautions
        self.cautions.setVisible(bool(cautions))
        bottom = foot - 12.0
        if cautions:
            tall = min(0.3 * high, 1.2 * caution_panel_height(cautions, wide))
            self.cautions.setGeometry(look.rect(Place(0, bottom - tall, wide, tall)))
            bottom -= tall + 12.0
        box, answer = BOX, ANSWER_HIGH
        if y + self._height(wide, box, answer) > bottom:
            box, answer = BOX_LOW, ANSWER
        self._place_boxes(y, wide, box, answer)

    def _height(self, wide: float, box: float, answer: float) -> float:
        return max((p.bottom for p in self._places(0.0, wide, box, answer)), default=0.0)

    def _places(self, y: float, wide: float, box: float, answer: float) -> list[Place]:
        """Where each box stands, in their order: two on a row where both are content with half."""
        column = (wide - ACROSS) / 2.0
        half = [_is_content(each, column) for each in self.boxes]
        places: list[Place] = []
        while len(places) < len(self.boxes):
            i = len(places)
            pair = half[i : i + 2] == [True, True]
            row = self.boxes[i : i + (2 if pair else 1)]
            each = column if pair else wide
            high = max(_height_of(one, each, box, answer) for one in row)
            for j, one in enumerate(row):
                tall = _height_of(one, each, box, answer)
                places.append(Place(j * (column + ACROSS), y, each, tall))
            y += high + GAP
        return places

    def _place_boxes(self, y: float, wide: float, box: float, answer: float) -> None:
        if self.look is None:
            return
        for each, place in zip(self.boxes, self._places(y, wide, box, answer), strict=True):
            each.setGeometry(self.look.rect(place))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Place the parts anew."""
        self.place()

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        self.look = look
        for part in (self.hint, self.cautions, self.keep, *self.boxes):
            part.dress(look)
        self.place()


def _is_content(box: FieldBox | AnswerBox, column: float) -> bool:
    """Whether half of the width is enough: all answers on one row, or label beside hint."""
    if isinstance(box, AnswerBox):
        return box.columns(column) == len(box.field.choices)
    label = Style(px=18, weight=700, color="#000000").width(box.value.label)
    hint = Style(px=13, weight=400, color="#000000").width(box.value.hint)
    return label + 16.0 + hint <= column


def _height_of(box: FieldBox | AnswerBox, width: float, field: float, answer: float) -> float:
    return box.height_for(width, answer) if isinstance(box, AnswerBox) else field
