"""The shop's settings: a calm form, all of it by keyboard, put to work as soon as it is kept."""

from collections.abc import Mapping

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from benchassist.services.bench.view import KeyHint
from benchassist.services.desk import FieldKind, SettingsDesk
from benchassist.services.translation import _
from benchassist.ui.bench_layout import Place
from benchassist.ui.bench_part import Heading
from benchassist.ui.choice_box import ChoiceBox
from benchassist.ui.field_box import FieldBox
from benchassist.ui.field_column import (
    answer_of,
    column_hints,
    focus_on,
    here_in,
    hint_of,
    values_of,
    wire,
)
from benchassist.ui.form_page import FormPage
from benchassist.ui.frame import Bar, Keys
from benchassist.ui.look import Look
from benchassist.ui.page import Turn
from benchassist.ui.paper import SheetShown
from benchassist.ui.tile import Button, ButtonTile

BOX, CHOICE_BOX, GAP = 70.0, 78.0, 8.0
TOP, FOOT = 92.0, 72.0


class SettingsPage(FormPage):
    """Fields on the right, what is written in them on the left."""

    kept = Signal()
    """They were kept: the desks are to be asked for anew."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Heading(_("Settings"), _("this bench and its slips")), parent)
        self._desk: SettingsDesk | None = None
        self.boxes: list[FieldBox | ChoiceBox] = []
        """In the order of the form; what is written comes before what is chosen."""
        self.keep = ButtonTile(Button(press="Ctrl+Enter", text=_("Keep them"), main=True), self)
        self.keep.clicked.connect(self.submit)

    def open(self, desk: SettingsDesk) -> None:
        """The form with what stands in it. Raises InputError where the file cannot be read."""
        form = desk.form()
        self._desk, self.problem = desk, ""
        for box in self.boxes:
            box.deleteLater()
        written = [FieldBox(f, self) for f in form if f.kind is not FieldKind.CHOICE]
        chosen = [ChoiceBox(f, self) for f in form if f.kind is FieldKind.CHOICE]
        self.boxes = [*written, *chosen]
        wire(self.boxes, go=self._go, leave=self._leave, changed=self._show)
        for box in self.boxes:
            box.dress(self.look)
            box.show()
        self._show()
        self.place()

    def entered(self) -> None:
        """Ready to write."""
        self._go(0)

    @property
    def values(self) -> Mapping[str, str]:
        """What is written and chosen so far."""
        return values_of(self.boxes)

    def _go(self, to: int) -> None:
        """The field at that place; past the last one, keep."""
        if focus_on(self.boxes, to):
            self._show()
        else:
            self.submit()

    def focus_moved(self) -> None:
        """Other keys mean something there."""
        self._show()

    def _leave(self) -> None:
        self.turned.emit(Turn(page="back"))

    def submit(self) -> None:
        """Keep them, have them put to work, and go back to where one was."""
        desk = self._desk
        if desk is None:
            return
        if self.attempt(lambda: desk.keep(self.values)):
            self.kept.emit()
        if self.problem:
            self._show()
        else:
            self._leave()

    def press(self, press: str) -> bool:
        """Keys that the field with the focus has no use for."""
        here = here_in(self.boxes)
        box = self.boxes[here] if here >= 0 else None
        if press == "Esc":
            self._leave()
        elif press == "Ctrl+Enter":
            self.submit()
        elif press in {"Enter", "Down"}:
            if press == "Enter" or here + 1 < len(self.boxes):
                self._go(here + 1)
        elif press == "Up":
            self._go(max(0, here - 1))
        else:
            return isinstance(box, ChoiceBox) and box.choose_by(press)
        return True

    def perform(self, action: str) -> None:
        """The strip's keys."""
        presses = {"next": "Enter", "keep": "Ctrl+Enter", "before": "Up", "after": "Down"}
        self.press(presses.get(action, ""))

    def _show(self) -> None:
        pairs = tuple(
            (box.value.label, answer_of(box)) for box in self.boxes if isinstance(box, FieldBox)
        )
        here = here_in(self.boxes)
        hint = hint_of(self.boxes[here]) if here >= 0 else ""
        remark = _("of this computer")
        self.show_sheet(SheetShown(title=_("Settings"), remark=remark, line=hint, pairs=pairs))
        self.show_frame(
            Bar(place=_("Settings")),
            Keys(
                hints=(
                    KeyHint(press="Ctrl+Enter", text=_("Keep them"), action="keep", main=True),
                    KeyHint(press="Enter", text=_("Next field"), action="next"),
                    *column_hints(self.boxes, before="before"),
                    KeyHint(press="Esc", text=_("Leave as they were"), action="back"),
                    KeyHint(press="F1", text=_("Keys"), action="help"),
                ),
                note=_("At work at once"),
            ),
        )

    def place(self) -> None:
        """Columns of fields, the choices below them, the button at the foot.

        Where two columns are too high there are three, and the button stands beside the choices.
        """
        x, wide, high = self.place_head()
        roomy = self._bottom(2) <= high - FOOT
        columns = 2 if roomy else 3
        column, y = (wide - 16.0 * (columns - 1)) / columns, TOP
        where = Place(x, y, column, BOX)
        for boxes, box_high in self._rows():
            for i, box in enumerate(boxes):
                down = y + (i // columns) * (box_high + GAP)
                across = x + (i % columns) * (column + 16)
                where = Place(across, down, column, box_high)
                box.setGeometry(self.look.rect(where))
            y += -(-len(boxes) // columns) * (box_high + GAP)
        foot = Place(x + wide - 360, high - FOOT, 360, 60)
        last = x + wide - column
        if not roomy and where.x + 1.0 < last:  # a place is left in the last row
            foot = Place(last, where.bottom - 60, column, 60)
        self.keep.setGeometry(self.look.rect(foot))

    def _rows(self) -> tuple[tuple[list[FieldBox | ChoiceBox], float], ...]:
        """What is written and what is chosen, and how high a box of it is."""
        written = [box for box in self.boxes if isinstance(box, FieldBox)]
        chosen = [box for box in self.boxes if isinstance(box, ChoiceBox)]
        return ([*written], BOX), ([*chosen], CHOICE_BOX)

    def _bottom(self, columns: int) -> float:
        """Where the boxes would end in so many columns."""
        return TOP + sum(-(-len(boxes) // columns) * (high + GAP) for boxes, high in self._rows())

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        super().dress(look)
        for part in (self.sheet, self.title, self.message, *self.boxes, self.keep):
            part.dress(look)
        self.place()
