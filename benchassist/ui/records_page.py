"""The shop's records: a desk behind the board, every key, files dropped and picked."""

from collections.abc import Callable
from pathlib import Path
from types import MappingProxyType
from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QWidget

from benchassist.services.desk import RecordsDesk, RecordsStage
from benchassist.services.record.records_view import PATH
from benchassist.services.translation import _
from benchassist.ui.field_box import FieldBox
from benchassist.ui.field_column import here_in, key_of
from benchassist.ui.page import Turn
from benchassist.ui.records_board import LISTING, PICKING
from benchassist.ui.records_fields import RecordsFields

PRESSES: Final = MappingProxyType(
    {
        "backup": "B",
        "choose": "Enter",
        "after": "Down",
        "up": "Up",
        "before": "Up",
        "further": "PgDown",
        "submit": "Ctrl+Enter",
        "next": "Enter",
        "pick": "Ctrl+O",
        "leave": "Esc",
    }
)
"""What the strip's keys are."""


class RecordsPage(RecordsFields):
    """Back up, restore, take in, give out, find and erase."""

    renewed = Signal()
    """The records are others by now: the desks are to be asked for anew."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk: RecordsDesk | None = None
        self._renewals = 0
        self.setAcceptDrops(True)
        for press, tile in self.tiles.items():
            tile.clicked.connect(lambda _=False, press=press: self.press(press))
        self.main.clicked.connect(self.submit)
        self.stopper.clicked.connect(self.leave)
        self.rows.chosen.connect(self._clicked)
        self.rows.moved.connect(self.step)

    # --- desk ----------------------------------------------------------------------------------

    def open(self, desk: RecordsDesk) -> None:
        """What the records are now."""
        if desk is not self._desk:
            self._renewals = desk.view().renewals
        self._desk, self.problem = desk, ""
        desk.begin()
        self.refresh()

    def entered(self) -> None:
        """Ready for keys."""
        self.focus()

    def refresh(self) -> None:
        """Fetch what work came to, show what there is."""
        desk = self._desk
        if desk is None:
            return
        desk.tick()
        self.show_desk()
        if self.shown.renewals != self._renewals:
            self._renewals = self.shown.renewals
            self.renewed.emit()

    def show_desk(self) -> None:
        """What the desk says, and what of it is under the cursor."""
        desk = self._desk
        if desk is None:
            return
        view = desk.view()
        keys = [one.key for one in view.rows]
        if self.at not in keys:
            # On the shop itself until the cursor is moved; on the first that was found.
            self.at = keys[0] if keys and view.stage is RecordsStage.FIND else ""
        sheet = desk.under(self.at) if self.at else view.sheet
        turned = view.stage is not self.shown.stage or view.asked != self.shown.asked
        self.show_view(view, sheet if view.stage in LISTING else view.sheet)
        if turned:
            self.wire()
            self.focus()

    # --- doing ---------------------------------------------------------------------------------

    def typed(self) -> None:
        """Something was written: what was wrong with it is old."""
        if self.problem:
            self.problem = ""
            self.show_desk()

    def submit(self) -> None:
        """Do what the fields ask for."""
        desk = self._desk
        if desk is not None:
            self.attempt_shown(lambda: desk.submit(self.values))

    def look_or_choose(self) -> None:
        """Enter in the search: other words are looked for, else the row is chosen."""
        desk, box = self._desk, next((b for b in self.boxes if isinstance(b, FieldBox)), None)
        if desk is None or box is None:
            return
        same = box.field.text().strip() == box.value.value.strip()
        if same and self.at:
            self.attempt_shown(lambda: desk.choose(self.at))
        else:
            self.submit()

    def pick(self) -> None:
        """The system's dialog for a file, or for a folder to write."""
        from benchassist.ui.file_dialog import pick_backup, pick_disk, pick_export, pick_folder

        desk, stage = self._desk, self.shown.stage
        if desk is None:
            return
        if stage is RecordsStage.HOME:
            if picked := pick_backup(self.window(), Path.home()):
                self.attempt_shown(lambda: desk.look_at(Path(picked)))
            return
        picks = {RecordsStage.BACKUP: pick_disk, RecordsStage.IMPORT: pick_export}
        picked = picks.get(stage, pick_folder)(self.window(), Path.home())
        box = next((b for b in self.boxes if key_of(b) == PATH), None)
        if picked and isinstance(box, FieldBox):
            box.field.setText(picked)
            box.field.setFocus()

    # --- list ----------------------------------------------------------------------------------

    def step(self, by: int) -> None:
        """The cursor goes down, or up where negative."""
        rows = self.rows.value.rows
        if not rows:
            return
        here = self.rows.value.here + by if self.at else max(0, by - 1)
        self.at = rows[max(0, min(len(rows) - 1, here))].key
        self.problem = ""
        self.show_desk()

    def _clicked(self, key: str) -> None:
        if key == self.at:
            self._choose()
        else:
            self.at = key
            self.show_desk()

    def _choose(self) -> None:
        """The row under the cursor."""
        desk = self._desk
        if desk is None:
            return
        if not self.at:
            self.problem = _("Choose a row first: Down.")
            self.show_desk()
        elif self.shown.stage is RecordsStage.HOME:
            self.attempt_shown(lambda: desk.look_at(Path(self.at)))
        else:
            self.attempt_shown(lambda: desk.choose(self.at))

    # --- keys ----------------------------------------------------------------------------------

    def press(self, press: str) -> bool:
        """Keys that no field has a use for."""
        if press == "Esc":
            self.leave()
            return True
        match self.shown.stage:
            case RecordsStage.HOME:
                return self._press_home(press)
            case RecordsStage.DONE:
                return self._press_done(press)
            case RecordsStage.FIND:
                return self._press_list(press)
            case RecordsStage.WORK:
                return False
            case stage if press == "Ctrl+O" and stage in PICKING:
                self.pick()
                return True
            case _:
                return self.press_form(press)

    def _press_home(self, press: str) -> bool:
        desk = self._desk
        if desk is None:
            return False
        doing: dict[str, Callable[[], object]] = {
            "B": desk.back_up,
            "D": lambda: desk.ask(RecordsStage.BACKUP),
            "I": lambda: desk.ask(RecordsStage.IMPORT),
            "X": lambda: desk.ask(RecordsStage.EXPORT),
            "C": lambda: desk.ask(RecordsStage.FIND),
        }
        if press in doing:
            self.attempt_shown(doing[press])
        elif press in {"O", "Ctrl+O"}:
            self.pick()
        else:
            return self._press_list(press)
        return True

    def _press_list(self, press: str) -> bool:
        if press in {"Up", "Down"}:
            self.step(1 if press == "Down" else -1)
        elif press in {"PgUp", "PgDown"}:
            self.step(self.rows.most if press == "PgDown" else -self.rows.most)
        elif press == "Enter":
            self._choose()
        else:
            return False
        return True

    def _press_done(self, press: str) -> bool:
        steps = {"Down": 1, "Up": -1, "PgDown": 5, "PgUp": -5}
        if press in steps:
            self.lines.step(steps[press])
        elif press == "Enter":
            self.leave()
        else:
            return False
        return True

    def perform(self, action: str) -> None:
        """The strip's keys."""
        if action == "next" or (action == "choose" and self.shown.stage is RecordsStage.FIND):
            here = here_in(self.boxes)
            self.enter(max(here, 0))
        else:
            self.press(PRESSES.get(action, ""))

    def leave(self) -> None:
        """One step back, from the front to where one came from."""
        desk = self._desk
        self.problem = ""
        if desk is None or not desk.leave():
            self.turned.emit(Turn(page="back"))
        else:
            self.show_desk()

    # --- drag and drop -------------------------------------------------------------------------

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Files may be dropped anywhere on the page while nothing is at work."""
        if _files_in(event) and self.shown.stage is not RecordsStage.WORK:
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Exports are imported, a backup is looked at."""
        desk, files = self._desk, _files_in(event)
        if desk is not None and files:
            event.setDropAction(Qt.DropAction.CopyAction)
            event.accept()
            self.attempt_shown(lambda: desk.drop(files))


def _files_in(event: QDropEvent) -> tuple[Path, ...]:
    """The files of this computer that are dragged along."""
    return tuple(Path(u.toLocalFile()) for u in event.mimeData().urls() if u.isLocalFile())
