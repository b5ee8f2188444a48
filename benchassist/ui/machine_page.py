"""The machine file: a desk behind the board, every key, the way to the bench and back."""

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtWidgets import QWidget

from benchassist.errors import StepError
from benchassist.services.desk import MachineFileDesk, MachinePageView
from benchassist.services.translation import _
from benchassist.ui.cue import Cue, Heard
from benchassist.ui.machine_keys import PLOT
from benchassist.ui.machine_room import MachineRoom
from benchassist.ui.machine_walk import MachineWalk
from benchassist.ui.page import Turn
from benchassist.ui.photo_door import Handed, PhotoDoor, pasted
from benchassist.ui.plot_key import PlotAct

PRESSES = {
    "enter": "Enter",
    "older": "Left",
    "newer": "Right",
    "down": "Down",
    "detail": "Space",
    "photo": "P",
    "note": "N",
    "mark": "G",
    "runs": "R",
    "parts": "F",
    "edit": "E",
    "closer": "+",
    "wider": "-",
    "whole": "Home",
}
"""What a key hint of the strip stands for."""


class MachinePage(MachineWalk):
    """Everything that is known of one machine."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.photos.chosen.connect(lambda _entry: self._look_at_photos())
        self.door = PhotoDoor(self)
        self.door.came.connect(self._add_photos)
        self.door.hovered.connect(self._hover)
        self.entry.field.entered.connect(lambda _text: self._submit())
        self.entry.field.left.connect(self.stop_asking)

    # --- desk -----------------------------------------------------------------------------------

    def open(self, desk: MachineFileDesk) -> None:
        """The file of a machine; of the same one it goes on where it was."""
        same = self._desk is not None and self._desk.machine_id == desk.machine_id
        if not same:
            self.visit_id = self.at = ""
            self.enter_room(MachineRoom.FRONT)
        self._desk, self.problem = desk, ""
        self.refresh()

    def entered(self) -> None:
        """Ready for keys."""
        if self.asking:
            self.entry.field.setFocus()
        else:
            self.setFocus()

    def refresh(self) -> None:
        """One tick, one view."""
        desk = self._desk
        if desk is not None:
            desk.tick()
            self._show(desk.view())

    def _show(self, view: MachinePageView) -> None:
        if view != self._view or self.wrong(view) != self.message.value:
            self.show_view(view)

    # --- keys -----------------------------------------------------------------------------------

    def press(self, press: str) -> bool:
        """Do what a key does here."""
        if self.asking and len(press) == 1:  # Tab led away from the line: back to it
            self.entry.field.setFocus()
            self.entry.field.insert(press.lower())
            return True
        if press == "Esc":
            self._back()
            return True
        if self.asking:
            if press == "Enter":
                self._submit()
            return press == "Enter"
        if self._view.file is None:
            return False
        if self.room is MachineRoom.RUNS and press in PLOT:
            self.plot.act(PLOT[press])
            return True
        return self._front_key(press)

    def _front_key(self, press: str) -> bool:
        """Keys that do the same in every room."""
        doing: dict[str, Callable[[], None]] = {
            "Enter": self._go_on,
            "Left": lambda: self.older(1),
            "Right": lambda: self.older(-1),
            "Up": lambda: self.step(-1),
            "Down": lambda: self.step(1),
            "PgUp": lambda: self.visits.page(-1),
            "PgDown": lambda: self.visits.page(1),
            "Space": lambda: self.enter_room(MachineRoom.QUANTITY) if self.at else None,
            "R": lambda: self.lay_over(self.at),
            "F": lambda: self.enter_room(MachineRoom.PARTS),
            "N": self._ask_note,
            "G": self._mark,
            "P": self._look_at_photos,
            "E": self._edit,
            "Ctrl+V": self._paste,
        }
        if press not in doing:
            return False
        doing[press]()
        return True

    def perform(self, action: str) -> None:
        """The strip's keys."""
        match action:
            case "submit":
                self._submit()
            case "back":
                self._back()
            case _ if action in PRESSES:
                self.press(PRESSES[action])

    def _back(self) -> None:
        """Out of a line, a room, the page."""
        if self.asking:
            self.stop_asking()
        elif self.room is MachineRoom.RUNS and self.plot.reading is not None:
            self.plot.act(PlotAct.NO_CURSOR)
        elif self.room is not MachineRoom.FRONT:
            self.enter_room(MachineRoom.FRONT)
        else:
            self.turned.emit(Turn(page="back"))

    def _go_on(self) -> None:
        """The open visit on the bench, else the interview of a new one."""
        visit_id, desk = self._view.enter_visit_id, self._desk
        if visit_id:
            self.turned.emit(Turn(page="bench", visit_id=visit_id))
        elif desk is not None:
            self.turned.emit(Turn(page="interview", machine_id=desk.machine_id))

    def _edit(self) -> None:
        """Its particulars: customer, phone, unit, engine, serial number, tag."""
        if self._desk is not None and self._view.may_edit:
            self.turned.emit(Turn(page="machine_edit", machine_id=self._desk.machine_id))

    # --- photos ---------------------------------------------------------------------------------

    def _look_at_photos(self) -> None:
        """All of them, large, and files to add."""
        if self._desk is not None:
            self.turned.emit(Turn(page="photos", machine_id=self._desk.machine_id))

    def _add_photos(self, handed: Handed) -> None:
        photos = self._desk.photos if self._desk is not None else None
        if photos is None:
            self.attempt_shown(_no_photos)
        else:
            self.attempt_shown(lambda: handed.add_to(photos))

    def _hover(self, dragged: bool) -> None:  # noqa: FBT001 - a signal's argument
        self.photos.put(replace(self.photos.value, dragged=dragged))

    def _paste(self) -> None:
        handed = pasted()
        if handed:
            self._add_photos(handed)
        else:
            self.attempt_shown(_nothing_to_paste)

    # --- writing --------------------------------------------------------------------------------

    def _ask_note(self) -> None:
        if not self._view.note_text:
            self.attempt_shown(_no_visit)
            return
        self.ask("note", self._view.note_text, _("What the next one should know. Enter keeps it"))

    def _mark(self) -> None:
        """Known good; where it is already, take that back with the reason."""
        desk, card = self._desk, self.card
        if desk is None or card is None or not self._view.may_mark:
            return
        chosen = card.row_of(self.visit_id)
        if chosen is not None and chosen.good:
            hint = _("Such as: read through a wet boot. It stays on file")
            label = _("Set aside {name} of {when}: why?").format(name=card.title, when=chosen.when)
            self.ask("aside", label, hint)
            return
        self.attempt_shown(lambda: desk.mark(card.check_key, self.visit_id))

    def _submit(self) -> None:
        desk, text, card = self._desk, self.entry.field.text(), self.card
        if desk is None:
            return
        asking = self.asking

        def write() -> None:
            if asking == "note":
                desk.note(text)
            elif card is not None:
                desk.set_aside(card.check_key, self.visit_id, text)

        if self.attempt(write):
            self.stop_asking()
            self.show_view(desk.view())
            return
        refusal, self.problem = self.problem, ""
        self.entry.put(replace(self.entry.value, error=refusal))
        self.cued.emit(Heard(Cue.REFUSED, refusal))


def _no_photos() -> None:
    raise StepError(_("there are no photos here"))


def _nothing_to_paste() -> None:
    raise StepError(_("there is no picture to paste: copy one first"))


def _no_visit() -> None:
    raise StepError(_("this machine has no visit to note it on: open one first"))
