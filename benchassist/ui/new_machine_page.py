"""A new machine: a calm form, all of it by keyboard."""

from PySide6.QtWidgets import QWidget

from benchassist.services.bench_view import KeyHint
from benchassist.services.desk import CounterDesk, Field, FieldKind
from benchassist.services.translation import _
from benchassist.ui.answers import Answers
from benchassist.ui.bench_layout import Place
from benchassist.ui.bench_part import Heading
from benchassist.ui.field_box import FieldBox, choices_of
from benchassist.ui.form_page import FormPage
from benchassist.ui.frame import Bar, Keys
from benchassist.ui.look import Look
from benchassist.ui.page import Turn
from benchassist.ui.paper import SheetShown
from benchassist.ui.tile import Button, ButtonTile

BOX, GAP = 70.0, 8.0


class NewMachinePage(FormPage):
    """Fields on the right, the card as it will read on the left."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Heading(_("New machine"), ""), parent)
        self._desk: CounterDesk | None = None
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

    def open(self, desk: CounterDesk) -> None:
        """The desk behind the form."""
        self._desk = desk

    def begin(self) -> None:
        """An empty form, with what the desk suggests."""
        if self._desk is None:
            return
        for box in self.boxes:
            box.deleteLater()
        self.problem = ""
        self._fields = self._desk.machine_form()
        written = [f for f in self._fields if f.kind is not FieldKind.CHOICE]
        self._chosen = {f.key: f.value for f in self._fields if f.kind is FieldKind.CHOICE}
        self.boxes = [FieldBox(field, self) for field in written]
        for i, box in enumerate(self.boxes):
            box.field.entered.connect(lambda _text, i=i: self._go(i + 1))
            box.field.moved.connect(lambda by, i=i: self._go(i + by))
            box.field.left.connect(lambda: self.turned.emit(Turn(page="counter")))
            box.field.textChanged.connect(lambda _text: self._show())
            box.dress(self.look)
            box.show()
        self._show()
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
        self._show()

    @property
    def values(self) -> dict[str, str]:
        """What is written and chosen so far."""
        return {**{box.value.key: box.field.text().strip() for box in self.boxes}, **self._chosen}

    def submit(self) -> None:
        """Keep the card, then ask why it is here."""
        desk = self._desk
        if desk is None:
            return
        made: list[str] = []
        if self.attempt(lambda: made.append(desk.new_machine(self.values))):
            self.turned.emit(Turn(page="interview", machine_id=made[0]))
        else:
            self._show()

    def press(self, press: str) -> bool:
        """Keys while no field has the focus."""
        choice = self.choice
        if press == "Esc":
            self.turned.emit(Turn(page="counter"))
        elif press == "Enter":
            self.submit()
        elif press in {"Up", "Left"}:
            self._go(len(self.boxes) - 1)
        elif choice is not None and press.isdecimal() and 0 < int(press) <= len(choice.choices):
            self._chosen[choice.key] = choice.choices[int(press) - 1].key
            self.setFocus()
            self._show()
        else:
            return False
        return True

    def perform(self, action: str) -> None:
        """The strip's Enter and Esc."""
        if action == "submit":
            self.submit()

    def refresh(self) -> None:
        """Take in what the store says; show a refusal."""
        if self._desk is not None:
            self._desk.tick()

    def _show(self) -> None:
        values, choice = self.values, self.choice
        pairs = [(box.value.label, values[box.value.key]) for box in self.boxes]
        if choice is not None:
            chosen = self._chosen.get(choice.key, "")
            text = next((c.text for c in choice.choices if c.key == chosen), "")
            pairs.append((choice.label, text))
            self.answers.put((choice.label, choices_of(choice, chosen)))
        self.show_sheet(SheetShown(title=_("New card"), pairs=tuple(pairs)))
        self.show_frame(
            Bar(place=_("New machine")),
            Keys(
                hints=(
                    KeyHint(press="Enter", text=_("Next, then keep"), action="submit", main=True),
                    KeyHint(press="Up", text=_("Field before"), action=""),
                    KeyHint(press="Down", text=_("Next field"), action=""),
                    KeyHint(press="Esc", text=_("Counter"), action="counter"),
                    KeyHint(press="F1", text=_("Keys"), action="help"),
                ),
                note=_("Leave empty what is not known"),
            ),
        )

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
