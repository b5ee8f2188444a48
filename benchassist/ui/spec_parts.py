"""The shop’s own parts in the spec book by keys: looked at, set aside, made the band."""

from PySide6.QtWidgets import QWidget

from benchassist.services.desk import SpecDesk
from benchassist.services.spec.view import PartState
from benchassist.ui.spec_board import SpecBoard


class PartsKeys(SpecBoard):
    """What is done with the parts; the page around it finds and changes figures."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk: SpecDesk | None = None
        self._cursor = ""
        """The figure under the cursor."""
        self._said = ""
        self._part = ""
        """The part under the cursor."""
        self.bin.moved.connect(self._move_part)
        self.bin.picked.connect(self._pick_part)
        self.bin.adopted.connect(self.adopt)
        self.bin.reasoned.connect(self.set_aside)

    def _show(self) -> None:
        """Show what stands: parts, form or list."""
        raise NotImplementedError

    def undo(self) -> None:
        """Take the last change back."""
        raise NotImplementedError

    def look_at_parts(self) -> None:
        """The shop's own parts behind the figure under the cursor, or of the form."""
        key = self.form.key if self.form is not None else self._cursor
        self.problem = self._said = self._part = ""
        if key and self.show_parts_now(key):
            self.place()
            self.setFocus()
        else:
            self._show()

    def show_parts_now(self, key: str) -> bool:
        """The parts as they are now; False where they cannot be looked at."""
        desk = self._desk
        if desk is None:
            return False
        before = self.problem
        view = self.outcome_of(lambda: desk.parts(key))
        if view is None:
            return False
        self.problem = before
        keys = [one.key for one in view.rows]
        if self._part not in keys:
            self._part = keys[0] if keys else ""
        self.show_parts(view, self._part, self._said)
        return True

    def _move_part(self, by: int) -> None:
        rows = self.parts.rows if self.parts is not None else ()
        if rows:
            to = max(0, min(len(rows) - 1, self.bin.rows.value.here + by))
            self._pick_part(rows[to].key)

    def _pick_part(self, key: str) -> None:
        self._part = key
        self.problem = self._said = ""
        self._show()

    def adopt(self) -> None:
        """Make what the parts say the band of the book."""
        desk, parts = self._desk, self.parts
        if desk is None or parts is None or not parts.adopt_text:
            return
        self._said = self.outcome_of(lambda: desk.adopt(parts.key)) or self._said
        self._show()

    def _turn_part(self) -> None:
        """Ask why the part under the cursor is set aside, or let it count again."""
        desk, parts = self._desk, self.parts
        under = next((r for r in parts.rows if r.key == self._part), None) if parts else None
        if desk is None or parts is None or under is None:
            return
        self.problem = self._said = ""
        if not under.aside:
            if under.state is not PartState.LEFT_OUT:
                self.bin.ask()
        else:
            self._said = self.outcome_of(lambda: desk.take_up(parts.key, under.key)) or ""
        self._show()

    def set_aside(self, reason: str) -> None:
        """Set the part under the cursor aside; without a reason the question stays."""
        desk, parts = self._desk, self.parts
        if desk is None or parts is None:
            return
        said = self.outcome_of(lambda: desk.set_aside(parts.key, self._part, reason))
        if said is not None:
            self._said = said
            self.ask_no_more()
        else:
            error, self.problem = self.problem, ""
            self.bin.ask(error)
        self._show()

    def ask_no_more(self) -> None:
        """Back from the question to the list of parts."""
        self.bin.put_away()
        self.setFocus()

    def leave_parts(self) -> None:
        """Put the parts away."""
        self.bin.put_away()
        self.parts = None
        self.place()

    def press_parts(self, press: str) -> bool:
        """Keys while parts are looked at."""
        if self.bin.asking:
            self.bin.reason.field.setFocus()
            if press == "Enter":
                self.set_aside(self.bin.reason.field.text())
            elif len(press) == 1:
                self.bin.reason.field.insert(press.lower())
            else:
                return False
            return True
        match press:
            case "Up" | "Down":
                self._move_part(1 if press == "Down" else -1)
            case "PgUp" | "PgDown":
                step = self.bin.rows.most
                self._move_part(step if press == "PgDown" else -step)
            case "X":
                self._turn_part()
            case "Ctrl+Enter":
                self.adopt()
            case "Ctrl+Z":
                self.undo()
            case _:
                return False
        return True
