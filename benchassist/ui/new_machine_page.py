"""A new machine: its form, then why it is here."""

from PySide6.QtWidgets import QWidget

from benchassist.services.bench.view import KeyHint
from benchassist.services.desk import CounterDesk
from benchassist.services.translation import _
from benchassist.ui.bench_part import Heading
from benchassist.ui.frame import Bar, Keys
from benchassist.ui.machine_form_page import MachineFormPage
from benchassist.ui.page import Turn


class NewMachinePage(MachineFormPage):
    """Fields on the right, the card as it will read on the left."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Heading(_("New machine"), ""), parent)
        self._desk: CounterDesk | None = None

    def open(self, desk: CounterDesk) -> None:
        """The desk behind the form."""
        self._desk = desk

    def begin(self) -> None:
        """An empty form, with what the desk suggests."""
        if self._desk is not None:
            self.ask(self._desk.machine_form())

    def leave(self) -> None:
        """Back to the counter."""
        self.turned.emit(Turn(page="counter"))

    def submit(self) -> None:
        """Keep the card, then ask why it is here."""
        desk = self._desk
        if desk is None:
            return
        made = self.outcome_of(lambda: desk.new_machine(self.values))
        if made is not None:
            self.turned.emit(Turn(page="interview", machine_id=made))
        else:
            self.show_form()

    def refresh(self) -> None:
        """Take in what the store says; show a refusal."""
        if self._desk is not None:
            self._desk.tick()

    def show_form(self) -> None:
        """The card as it will read."""
        self.show_card(_("New card"))
        self.show_frame(
            Bar(place=_("New machine")),
            Keys(
                hints=(
                    KeyHint(press="Enter", text=_("Next, then keep"), action="submit", main=True),
                    *self.steps(),
                    KeyHint(press="Esc", text=_("Counter"), action="counter"),
                    KeyHint(press="F1", text=_("Keys"), action="help"),
                ),
                note=_("Leave empty what is not known"),
            ),
        )
