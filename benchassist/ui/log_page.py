"""Open a log: pick a file, see how far it is read, then look into it."""

from functools import partial
from pathlib import Path
from types import MappingProxyType
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QWidget

from benchassist.core.file_name import is_named
from benchassist.services.desk import LogDesk
from benchassist.services.logs.view import LogStage
from benchassist.ui.log_board import LogBoard
from benchassist.ui.page import Turn
from benchassist.ui.run_keys import PAN, PLOT

PRESSES: Final = MappingProxyType(
    {
        "open": "Ctrl+Enter",
        "pick": "Ctrl+O",
        "next": "Enter",
        "stop": "Esc",
        "event_after": "PgDown",
        "event_before": "PgUp",
        "closer": "+",
        "wider": "-",
        "whole": "Home",
        "faults": "Down",
        "before": "Up",
        "another": "O",
    }
)
"""What the strip's keys are."""


class LogPage(LogBoard):
    """A desk behind the board, and every key of the page."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk: LogDesk | None = None
        self._answers: dict[str, str] = {}
        """Everything answered so far, also what is not asked now."""
        self.setAcceptDrops(True)
        self.form.answered.connect(lambda _key: self._ask())
        self.form.submitted.connect(self.submit)
        self.form.left.connect(self._leave)
        self.form.changed.connect(self._show)
        self.opener.clicked.connect(self.submit)
        self.picker.clicked.connect(self.pick)

    # --- desk ----------------------------------------------------------------------------------

    def open(self, desk: LogDesk) -> None:
        """A desk with whatever log is open at it."""
        self._desk = desk
        self.problem = ""
        self._ask()

    def _ask(self) -> None:
        """The form anew: other answers ask for other fields."""
        if self._desk is not None:
            self._answers |= self.form.values
            self.form.ask(self._desk.form(self._answers))
            self._show()

    def entered(self) -> None:
        """Ready to type, or to look."""
        self._show()
        self._focus()

    def focus_moved(self) -> None:
        """Other keys mean something there."""
        self.show_keys()

    def _focus(self) -> None:
        """Where the keys of a stage go."""
        match self.shown.stage:
            case LogStage.ASK:
                self.form.go(0)
            case LogStage.SHOWN:
                self.plot.setFocus()
            case _:
                self.setFocus()

    def refresh(self) -> None:
        """Fetch what the reading came to."""
        if self._desk is not None:
            self._desk.tick()
            before = self.shown.stage
            self._show()
            if self.shown.stage is not before:
                self._focus()

    def _show(self) -> None:
        desk = self._desk
        if desk is not None:
            view = desk.view()
            self.show_view(view, partial(desk.window, view.log_id) if view.log_id else None)

    def submit(self) -> None:
        """Begin to read."""
        desk = self._desk
        if desk is None or self.shown.stage is not LogStage.ASK:
            return
        self._answers |= self.form.values
        if self.attempt(lambda: desk.open(self._answers)):
            self._show()
            self._focus()
        else:
            self._show()

    def pick(self) -> None:
        """The system's dialog for a file."""
        from benchassist.ui.file_dialog import pick_log

        now = Path(self.form.values.get("path", ""))
        beside = is_named(str(now)) and now.is_absolute()
        picked = pick_log(self.window(), now.parent if beside else Path.home())
        if picked:
            self._take(picked)

    def _take(self, path: str) -> None:
        """A file that was picked or dropped: its path stands in the form."""
        self._put_away()
        self.form.write("path", path)
        self.form.go(1)
        self._show()

    def _put_away(self) -> None:
        if self._desk is not None and self.shown.stage is not LogStage.ASK:
            self._desk.leave()
        self.problem = ""
        self._show()
        self._focus()

    def _leave(self) -> None:
        self.turned.emit(Turn(page="back"))

    # --- keys ----------------------------------------------------------------------------------

    def press(self, press: str) -> bool:
        """Keys that no field has a use for."""
        match self.shown.stage:
            case LogStage.ASK:
                return self._press_form(press)
            case LogStage.READING:
                if press == "Esc":
                    self._put_away()
                return press == "Esc"
            case _:
                return self._press_plot(press)

    def _press_form(self, press: str) -> bool:
        match press:
            case "Esc":
                self._leave()
            case "Ctrl+Enter":
                self.submit()
            case "Ctrl+O":
                self.pick()
            case _:
                return self.form.press(press)
        return True

    def _press_plot(self, press: str) -> bool:
        act = PLOT.get(press) or PAN.get(press)
        if act is not None:
            self.plot.act(act)
        elif press in {"Up", "Down"}:
            self.faults.step(1 if press == "Down" else -1)
            self.show_keys()
        elif press == "Esc":
            self._leave()
        elif press in {"O", "Ctrl+O"}:
            self._put_away()
        else:
            return False
        return True

    def perform(self, action: str) -> None:
        """The strip's keys."""
        self.press(PRESSES.get(action, ""))

    # --- drag and drop -------------------------------------------------------------------------

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """A file may be dropped anywhere on the page."""
        if _file_in(event):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Take the first file."""
        path = _file_in(event)
        if path:
            event.setDropAction(Qt.DropAction.CopyAction)
            event.accept()
            self._take(path)


def _file_in(event: QDropEvent) -> str:
    """The first file of this computer that is dragged along, empty for none."""
    urls = event.mimeData().urls()
    return next((url.toLocalFile() for url in urls if url.isLocalFile()), "")
