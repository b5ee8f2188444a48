"""A machine's form: calm, all of it by keyboard; what becomes of it is the page's own."""

from PySide6.QtWidgets import QWidget

from benchassist.services.bench.view import KeyHint
from benchassist.services.desk import Field, FieldKind
from benchassist.services.translation import _
from benchassist.ui.answers import Answers
from benchassist.ui.bench_layout import Place
from benchassist.ui.bench_part import Heading
from benchassist.ui.field_box import FieldBox, choices_of
from benchassist.ui.form_page import FormPage
from benchassist.ui.hint import stepping
from benchassist.ui.look import Look
from benchassist.ui.paper import SheetShown
from benchassist.ui.tile import Button, ButtonTile

BOX, GAP = 70.0, 8.0


class MachineFormPage(FormPage):
    """Fields on the right, the card as it will read on the left."""

    def __init__(self, heading: Heading, parent: QWidget | None = None) -> None:
        super().__init__(heading, parent)
        self._fields: tuple[Field, ...] = ()
        self._chosen: dict[str, str] = {}
        self.boxes: list[FieldBox] = []
        self.answers = Answers(self)
        self.answers.chosen.connect(self.press)
        self.keep = ButtonTile(Button(press="Enter", text=_("Keep the card"), main=True), self)
        self.keep.clicked.connect(self.submit)

    @property
    def choice(self) -> Field | None:
        """The form's choice, None where it has none."""
        return next((f for f in self._fields if f.kind is FieldKind.CHOICE), None)

    def ask(self, fields: tuple[Field, ...]) -> None:
        """A form with what stands in it at first."""
        for box in self.boxes:
            box.deleteLater()
        self.problem = ""
        self._fields = fields
        written = [f for f in self._fields if f.kind is not FieldKind.CHOICE]
        self._chosen = {f.key: f.value for f in self._fields if f.kind is FieldKind.CHOICE}
        self.boxes = [FieldBox(field, self) for field in written]
        for i, box in enumerate(self.boxes):
            box.field.entered.connect(lambda _text, i=i: self._go(i + 1))
            box.field.moved.connect(lambda by, i=i: self._go(i + by))
            box.field.left.connect(self.leave)
            box.field.setCursorPosition(0)  # a long text shows its beginning
            box.field.textChanged.connect(lambda _text: self.show_form())
            box.dress(self.look)
            box.show()
        self.show_form()
        self.place()

    def entered(self) -> None:
        """Ready to write."""
        self._go(0)

    def _go(self, to: int) -> None:
        """The field at that place; past the last one, the choice."""
        if 0 <= to < len(self.boxes):
            self.boxes[to].field.setFocus()
            self.boxes[to].field.selectAll()
        elif to >= len(self.boxes):
            self.setFocus()
            if self.choice is None:
                self.submit()
        for box in self.boxes:
            box.update()
        self.show_form()

    @property
    def values(self) -> dict[str, str]:
        """What is written and chosen so far."""
        return {**{box.value.key: box.field.text().strip() for box in self.boxes}, **self._chosen}

    def submit(self) -> None:
        """Keep what is written."""
        raise NotImplementedError

    def leave(self) -> None:
        """Away without keeping it."""
        raise NotImplementedError

    def show_form(self) -> None:
        """What is written so far; `show_card` and the frame."""
        raise NotImplementedError

    def press(self, press: str) -> bool:
        """Keys while no field has the focus."""
        choice = self.choice
        if press == "Esc":
            self.leave()
        elif press in {"Enter", "Ctrl+Enter"}:
            self.submit()
        elif press in {"Up", "Left"}:
            self._go(len(self.boxes) - 1)
        elif choice is not None and press.isdecimal() and 0 < int(press) <= len(choice.choices):
            self._chosen[choice.key] = choice.choices[int(press) - 1].key
            self.setFocus()
            self.show_form()
        else:
            return False
        return True

    def perform(self, action: str) -> None:
        """The strip's Enter and Esc."""
        match action:
            case "submit":
                self.submit()
            case "before" | "after":
                self._go(self.here + (1 if action == "after" else -1))

    @property
    def here(self) -> int:
        """The place of the field with the focus; past the last one the choice has it."""
        return next((i for i, box in enumerate(self.boxes) if box.hasFocus()), len(self.boxes))

    def focus_moved(self) -> None:
        """Other keys mean something there."""
        self.show_form()

    def steps(self) -> tuple[KeyHint, ...]:
        """Keys to the fields beside."""
        before = KeyHint(press="Up", text=_("Field before"), action="before")
        after = KeyHint(press="Down", text=_("Next field"), action="after")
        return stepping(self.here, len(self.boxes) + 1, before=before, after=after)

    def show_card(self, title: str) -> None:
        """The card as it will read."""
        values, choice = self.values, self.choice
        pairs = [(box.value.label, values[box.value.key]) for box in self.boxes]
        if choice is not None:
            chosen = self._chosen.get(choice.key, "")
            text = next((c.text for c in choice.choices if c.key == chosen), "")
            pairs.append((choice.label, text))
            self.answers.put((choice.label, choices_of(choice, chosen)))
        self.show_sheet(SheetShown(title=title, pairs=tuple(pairs)))

    def place(self) -> None:
        """Two columns of fields, the choice below them, the button at the foot."""
        look = self.look
        x, wide, high = self.place_head()
        column = (wide - 16) / 2
        y = 92.0
        for i, box in enumerate(self.boxes):
            where = Place(x + (i % 2) * (column + 16), y + (i // 2) * (BOX + GAP), column, BOX)
            box.setGeometry(look.rect(where))
        y += (len(self.boxes) + 1) // 2 * (BOX + GAP) + 4
        foot = high - 72
        self.answers.setVisible(self.choice is not None)
        self.answers.setGeometry(look.rect(Place(x, y, wide, foot - y - 12)))
        self.keep.setGeometry(look.rect(Place(x + wide - 330, foot, 330, 60)))

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        super().dress(look)
        for part in (self.sheet, self.title, self.message, self.answers):
            part.dress(look)
        for box in self.boxes:
            box.dress(look)
        self.keep.dress(look)
        self.place()
