"""A machine's particulars, changed on the form that made it."""

from PySide6.QtWidgets import QWidget

from benchassist.services.bench.view import KeyHint
from benchassist.services.desk import MachineEditDesk
from benchassist.services.translation import _
from benchassist.ui.bench_part import Heading
from benchassist.ui.frame import Bar, Keys
from benchassist.ui.machine_form_page import MachineFormPage
from benchassist.ui.page import Turn


class EditMachinePage(MachineFormPage):
    """Fields with what stands in them; kept once they are on disk."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Heading(_("Machine"), _("visits written already stay")), parent)
        self._desk: MachineEditDesk | None = None

    def open(self, desk: MachineEditDesk) -> None:
        """The form of a machine."""
        self._desk = desk
        self.title.put(Heading(_("Edit machine"), _("tag {tag}").format(tag=desk.tag)))
        self.ask(desk.form())

    def leave(self) -> None:
        """Back to where one came from, nothing changed."""
        self.turned.emit(Turn(page="back"))

    def submit(self) -> None:
        """Hand the particulars in; the page is left once they are on disk."""
        desk = self._desk
        if desk is not None:
            self.attempt(lambda: desk.keep(self.values))
            self._settle()

    def refresh(self) -> None:
        """Take in what the store says."""
        if self._desk is not None:
            self._desk.tick()
            self._settle()

    def _settle(self) -> None:
        desk = self._desk
        if desk is None:
            return
        if desk.kept:
            self._desk = None
            self.leave()
            return
        if desk.trouble:
            self.problem = desk.trouble
        if self.problem != self.message.value:
            self.show_form()

    def show_form(self) -> None:
        """The card as it will read."""
        self.show_card(_("Card"))
        self.show_frame(
            Bar(place=_("Edit machine")),
            Keys(
                hints=(
                    KeyHint(press="Enter", text=_("Next, then keep"), action="submit", main=True),
                    *self.steps(),
                    KeyHint(press="Esc", text=_("Leave it as it was"), action="back"),
                    KeyHint(press="F1", text=_("Keys"), action="help"),
                ),
                note=_("Visits written already keep what they said"),
            ),
        )
