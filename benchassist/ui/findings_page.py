"""The findings of a visit: a desk behind the board, every key, the way to the bench and back."""

from PySide6.QtWidgets import QWidget

from benchassist.services.desk import FindingsDesk
from benchassist.services.findings.view import FindingsAction, FindingsView, Room
from benchassist.ui.findings_board import FindingsBoard
from benchassist.ui.findings_keys import ABOUT_ROW, BACK, action_of
from benchassist.ui.key_map import split_action
from benchassist.ui.page import Turn

TO_BENCH = frozenset({FindingsAction.START_TEST, FindingsAction.GO_TO_STEP})
"""After these the bench shows, unless a form or a room opened."""
PAGES = frozenset({"print", "help", "meters", "counter", "bench", "machine"})


class FindingsPage(FindingsBoard):
    """What the readings say, and what is done about it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk: FindingsDesk | None = None
        self.visit_id = ""
        """Whose findings these are; empty once they have to be asked for anew."""
        self.causes.chosen.connect(lambda key: self.act(FindingsAction.OPEN_CAUSE, key))
        self.test.clicked.connect(lambda: self.act(FindingsAction.START_TEST))
        self.stake.clicked.connect(lambda: self.act(FindingsAction.OPEN_STAKE))
        for slim, action in zip(
            self.slims, (FindingsAction.OPEN_SWAP, FindingsAction.OPEN_REPAIR), strict=True
        ):
            slim.clicked.connect(lambda _=False, a=action: self.act(a))
        for room in self.rooms.values():
            room.acted.connect(self.act)
        self.slip.pressed.connect(self._go_to_line)
        self.form.submitted.connect(self.submit)
        self.form.left.connect(lambda: self.act(FindingsAction.BACK))
        self.form.changed.connect(self.show_keys)

    # --- desk ----------------------------------------------------------------------------------

    def open(self, desk: FindingsDesk, visit_id: str) -> None:
        """The findings of another visit."""
        self._desk, self._view, self.problem = desk, None, ""
        self.visit_id = visit_id
        self.at = -1
        self.refresh()

    def entered(self) -> None:
        """Ready for keys; an open form goes on where it was."""
        self.setFocus()
        if self._view is not None and self._view.form is not None:
            self.form.go(0)

    def focus_moved(self) -> None:
        """Other keys mean something there."""
        self.show_keys()

    def refresh(self) -> None:
        """One tick, one view."""
        desk = self._desk
        if desk is not None:
            desk.tick()
            self.show_desk()

    def show_desk(self) -> None:
        """What the desk says, where it is anything new."""
        desk = self._desk
        if desk is None:
            return
        view = desk.view()
        if view != self._view or self._wrong(view) != self.message.value:
            self.show_view(view)

    def act(self, action: str, argument: str = "") -> None:
        """Hand an action to the desk, show what came of it, turn to the bench where it leads."""
        desk = self._desk
        if desk is None:
            return
        was = self._view.room if self._view is not None else Room.FRONT
        done = self.attempt_shown(lambda: desk.act(action, argument))
        now = self._view
        if done and action in TO_BENCH and now is not None and now.form is None and now.room is was:
            self.turned.emit(Turn(page="bench"))

    def submit(self) -> None:
        """Keep the form that is open."""
        desk = self._desk
        if desk is not None and self._view is not None and self._view.form is not None:
            values = self.form.values
            self.attempt_shown(lambda: desk.submit(values))

    # --- keys ----------------------------------------------------------------------------------

    def press(self, press: str) -> bool:
        """Do what a key does here."""
        view = self._view
        if view is None:
            return self._leave(press)
        if view.form is not None:
            return self.form.press(press)
        found = action_of(press, view)
        if found is not None:
            self._do(*found)
        elif press in BACK:
            self._do(FindingsAction.BACK, "")
        elif press in {"Up", "Down"}:
            self._move(1 if press == "Down" else -1)
        elif press == "Right":
            self._do("open", "")
        elif press == "Left":
            self._do(FindingsAction.BACK, "")
        else:
            return False
        return True

    def _leave(self, press: str) -> bool:
        if press in BACK:
            self.turned.emit(Turn(page="back"))
        return press in BACK

    def perform(self, action: str) -> None:
        """A key hint was clicked."""
        name, argument = split_action(action)
        if name == "form":
            self.form.press(argument)
        else:
            self._do(name, argument)

    def _do(self, action: str, argument: str) -> None:
        view = self._view
        if view is None:
            return
        if action in PAGES:
            self.turned.emit(Turn(page=action))
        elif action == FindingsAction.BACK and view.room is Room.FRONT and view.form is None:
            self.turned.emit(Turn(page="back"))
        elif action == "down":
            self._move(1)
        elif action == "open":
            self._open_at_cursor(view)
        elif action == FindingsAction.OPEN_CAUSE and not argument:
            if view.room is Room.FRONT:
                self._open_at_cursor(view)
        elif action in ABOUT_ROW and not argument:
            self._about_row(action, view)
        elif action:
            self.act(action, argument)

    def _about_row(self, action: str, view: FindingsView) -> None:
        """An action on the row at the cursor of the evidence."""
        rows = view.evidence
        if view.room is Room.EVIDENCE and 0 <= self.at < len(rows):
            row = rows[self.at]
            self.act(action, row.step if action == FindingsAction.GO_TO_STEP else row.key)

    # --- cursor --------------------------------------------------------------------------------

    def _move(self, by: int) -> None:
        view = self._view
        if view is None:
            return
        count = self.length(view)
        if count:
            self.at = max(0, min(count - 1, self.at + by))
            self.show_view(view)

    def _open_at_cursor(self, view: FindingsView) -> None:
        room, cursor = self.rooms.get(view.room), max(0, self.at)
        if room is not None:
            found = room.opened(view, cursor)
            if found is not None:
                self.act(*found)
        elif cursor < len(view.rows):
            self.act(FindingsAction.OPEN_CAUSE, view.rows[cursor].key)

    def _go_to_line(self, number: int) -> None:
        """A line of the slip was clicked: its step on the bench."""
        view = self._view
        step = next((one.step for one in view.moot if one.number == number), "") if view else ""
        marks = [m for r in view.rows for m in (*r.speaks_for, *r.speaks_against)] if view else []
        step = step or next((m.step for m in marks if m.step and m.text == str(number)), "")
        if step:
            self.act(FindingsAction.GO_TO_STEP, step)
