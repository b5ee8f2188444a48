"""The spec book: find a figure by typing, change it with its source, take that back."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QWidget

from benchassist.services.desk import SpecDesk
from benchassist.services.translation import _
from benchassist.ui.choice_box import ChoiceBox
from benchassist.ui.field_column import focus_on, here_in, values_of, wire
from benchassist.ui.page import Turn
from benchassist.ui.spec_parts import PartsKeys

PAUSE_MS = 120
"""The whole book is audited once the typing pauses so long."""
PRESSES: Final = MappingProxyType(
    {
        "choose": "Enter",
        "after": "Down",
        "before": "Up",
        "restore": "Ctrl+R",
        "undo": "Ctrl+Z",
        "keep": "Ctrl+Enter",
        "next": "Enter",
        "leave": "Esc",
        "parts": "Ctrl+G",
        "aside": "X",
    }
)
"""What the strip's keys are."""


class SpecPage(PartsKeys):
    """A desk behind the board, and every key of the page."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._faults: tuple[str, ...] = ()
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(PAUSE_MS)
        self._pause.timeout.connect(self.audit)
        self.finder.field.textChanged.connect(lambda _text: self._searched())
        self.finder.field.entered.connect(lambda _text: self._choose(self._cursor))
        self.finder.field.moved.connect(self._move)
        self.finder.field.left.connect(self._leave)
        self.figures.chosen.connect(self._clicked)
        self.figures.moved.connect(self._move)
        self.keeper.clicked.connect(self.submit)
        self.restorer.clicked.connect(self.restore)
        self.bin.relented.connect(self._leave)

    # --- desk ----------------------------------------------------------------------------------

    def open(self, desk: SpecDesk) -> None:
        """The book read anew. Raises BenchError where it cannot be."""
        desk.open()
        self._desk, self.problem, self._said = desk, "", ""
        self.leave_parts()
        self.fill(None)
        self.finder.field.clear()
        self._look()

    def refresh(self) -> None:
        """What the shop's parts say may have come since; what is typed and chosen stays."""
        desk = self._desk
        if desk is None or not desk.news():
            return
        if self.form is not None:
            self.form = desk.form(self.form.key)
        self._show()

    def entered(self) -> None:
        """Ready to type."""
        if self.parts is not None:
            self.setFocus()
        elif self.form is None:
            self.finder.field.setFocus()
        else:
            self._go(0)

    def _searched(self) -> None:
        self.problem = self._said = ""
        self._cursor = ""
        self._look()

    def _look(self) -> None:
        """The list as it is now, the cursor on one of it."""
        desk = self._desk
        if desk is None:
            return
        view = desk.view(self.finder.field.text())
        keys = [one.key for one in view.rows]
        if self._cursor not in keys:
            self._cursor = keys[0] if keys else ""
        under = desk.form(self._cursor) if self._cursor else None
        self.show_list(view, self._cursor, under, self._said)

    def _show(self) -> None:
        if self.parts is not None:
            self.show_parts_now(self.parts.key)
        elif self.form is not None:
            self.show_form(self.form, self._faults)
        else:
            self._look()

    # --- list ----------------------------------------------------------------------------------

    def _move(self, by: int) -> None:
        rows = self.figures.value.rows
        if rows:
            to = max(0, min(len(rows) - 1, self.figures.value.here + by))
            self._cursor = rows[to].key
            self.problem = self._said = ""
            self._look()

    def _clicked(self, key: str) -> None:
        if key == self._cursor:
            self._choose(key)
        else:
            self._cursor = key
            self._look()

    def _choose(self, key: str) -> None:
        """Open the form of a figure."""
        desk = self._desk
        if desk is None or not key:
            return
        self.problem, self._faults = "", ()
        self.fill(desk.form(key))
        wire(self.boxes, go=self._go, leave=self._leave, changed=self._typed)
        self._go(0)

    def undo(self) -> None:
        """Take the last change back, say which it was."""
        desk = self._desk
        if desk is not None:
            self._said = self.outcome_of(desk.undo) or ""
            self._show()

    # --- form ----------------------------------------------------------------------------------

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
        if self.form is not None and self.parts is None:
            self._show()

    def _typed(self) -> None:
        self.problem = ""
        self._pause.start()

    def audit(self) -> None:
        """What is wrong with what stands in the fields now."""
        desk, form = self._desk, self.form
        if desk is not None and form is not None:
            self._faults = desk.problems(form.key, self.values)
            self._show()

    def submit(self) -> None:
        """Keep it and go back to the list; while anything is wrong nothing is written."""
        desk, form = self._desk, self.form
        if desk is None or form is None:
            return
        self._pause.stop()
        if self.attempt(lambda: desk.keep(form.key, self.values)):
            self._said = _("Kept in the shop’s own book. Ctrl+Z takes it back.")
            self._put_away()
            return
        self.audit()

    def restore(self) -> None:
        """State it as it was shipped, from the form or the list."""
        desk = self._desk
        key = self.form.key if self.form is not None else self._cursor
        if desk is None or not key:
            return
        if self.attempt(lambda: desk.restore(key)):
            self._said = _("As it was shipped. Ctrl+Z takes it back.")
            self._put_away()
        else:
            self._show()

    def _put_away(self) -> None:
        self._pause.stop()
        self.fill(None)
        self._look()
        self.finder.field.setFocus()

    # --- keys ----------------------------------------------------------------------------------

    def _leave(self) -> None:
        """From the parts to where one came from, from the form to the list, and so to the counter.

        What was typed to find goes before.
        """
        if self.bin.asking:
            self.ask_no_more()
            self._show()
        elif self.parts is not None:
            self.problem = self._said = ""
            self.leave_parts()
            self._come_back()
        elif self.form is not None:
            self.problem = self._said = ""
            self._put_away()
        elif self.finder.field.text():
            self.finder.field.clear()
        else:
            self.turned.emit(Turn(page="back"))

    def _come_back(self) -> None:
        """From the parts: the book may have changed below a form that was open."""
        desk, form = self._desk, self.form
        if desk is not None and form is not None:
            self._choose(form.key)
        else:
            self._look()
            self.finder.field.setFocus()

    def press(self, press: str) -> bool:
        """Keys that no field has a use for."""
        if press == "Esc":
            self._leave()
        elif self.parts is not None:
            return self.press_parts(press)
        elif press == "Ctrl+G":
            self.look_at_parts()
        elif press == "Ctrl+R":
            self.restore()
        elif self.form is not None:
            return self._press_form(press)
        elif press == "Ctrl+Z":
            self.undo()
        elif press in {"Up", "Down", "PgUp", "PgDown"}:
            step = self.figures.most if press.startswith("Pg") else 1
            self._move(step if press.endswith("Down") else -step)
        elif press == "Enter":
            self._choose(self._cursor)
        elif len(press) == 1:
            self.finder.field.setFocus()
            self.finder.field.insert(press.lower())
        else:
            return False
        return True

    def _press_form(self, press: str) -> bool:
        here = here_in(self.boxes)
        box = self.boxes[here] if here >= 0 else None
        if press == "Ctrl+Enter":
            self.submit()
        elif press in {"Enter", "Down"}:
            if press == "Enter" or here + 1 < len(self.boxes):
                self._go(here + 1)
        elif press == "Up":
            self._go(max(0, here - 1))
        elif isinstance(box, ChoiceBox) and box.choose_by(press):
            self._typed()
        else:
            return False
        return True

    def perform(self, action: str) -> None:
        """The strip's keys."""
        if action == "reason":
            self.set_aside(self.bin.reason.field.text())
            return
        self.press(PRESSES.get(action, ""))
