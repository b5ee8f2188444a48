"""The bench under work: a desk behind the board, and every key of the visit."""

from PySide6.QtWidgets import QWidget

from benchassist.errors import StepError
from benchassist.services.bench.view import Ask, BenchView, NumberState
from benchassist.services.desk import Action, BenchDesk
from benchassist.services.translation import _
from benchassist.ui import run_keys
from benchassist.ui.bench_board import BenchBoard
from benchassist.ui.cue import Cue, Heard
from benchassist.ui.key_map import action_of, hint_for, split_action
from benchassist.ui.live_plot import Source
from benchassist.ui.page import Turn
from benchassist.ui.run_keys import plot_act

STARTS_TYPING = frozenset("0123456789.,")
TYPES_AT_ONCE = frozenset({NumberState.NO_METER, NumberState.TYPED, NumberState.STALE})
"""States in which a digit pressed is the first of a typed reading."""


class BenchPage(BenchBoard):
    """A visit under work."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk: BenchDesk | None = None
        self.ribbon.chosen.connect(lambda key: self.act(Action.GOTO, key))
        self.slip.pressed.connect(self._go_to_line)
        self.answers.chosen.connect(lambda press: self.act(Action.CHOOSE, press))
        self.fixes.chosen.connect(lambda press: self.act(Action.FIX, press))
        self.run.answered.connect(lambda press: self.act(Action.RUN_ANSWER, press))
        self.run.pressed.connect(self._do)
        self.entry.field.entered.connect(self._submit)
        self.entry.field.left.connect(lambda: self.act(Action.CANCEL))
        self.entry.field.textEdited.connect(self._preview)

    # --- desk ----------------------------------------------------------------------------------

    def open(self, desk: BenchDesk) -> None:
        """Put a visit on the bench."""
        self._desk, self._view = desk, None
        self.problem, self.strip_shown = "", False
        self.refresh()

    def is_of(self, desk: BenchDesk) -> bool:
        """Whether this is the desk that is shown."""
        return self._desk is desk

    def closer(self, run_id: str) -> Source:
        """Detail of a run from the desk."""
        desk = self._desk
        if desk is None:
            raise StepError(_("no visit is on the bench"))
        return lambda start_s, end_s, rows: desk.run_window(run_id, start_s, end_s, rows)

    def left(self) -> None:
        """Tell the desk that the bench is out of sight."""
        self.unseen = True
        if self._desk is not None:
            desk = self._desk
            self.attempt(lambda: desk.act(Action.LEAVE))
            self.problem = ""

    def refresh(self) -> None:
        """One tick, one view."""
        desk = self._desk
        if desk is not None:
            desk.tick()
            view = desk.view()
            if _is_taken(view) and not _is_taken(self._view):
                self.problem = ""  # what the last key could not do has been done meanwhile
            if view != self._view or self._message(view) != self.message.value:
                self.show_view(view)
            self.unseen = False

    def act(self, action: str, argument: str = "") -> None:
        """Hand an action to the desk and show at once what came of it."""
        desk = self._desk
        if desk is None:
            return
        done = self.attempt(lambda: desk.act(action, argument))
        view = desk.view()
        self.show_view(view)
        refusal = self.problem if not done else view.text_error if action == Action.SUBMIT else ""
        if refusal:
            self.cued.emit(Heard(Cue.REFUSED, refusal))

    # --- keys ----------------------------------------------------------------------------------

    def press(self, press: str) -> bool:
        """Do what a key does on the bench."""
        view = self._view
        if view is None:
            return False
        if press == "Esc":
            self._escape(view)
            return True
        if view.ask is Ask.TEXT and len(press) == 1:  # Tab led away from the line: back to it
            self.entry.field.setFocus()
            self.entry.field.insert(press.lower())
            return True
        hint = hint_for(press, view.keys)
        on_plot = plot_act(press, view) if hint is None else None
        if on_plot is not None:
            self.run.plot.act(on_plot)
            return True
        if hint is None and self._own(press):
            return True
        found = run_keys.answer(press, view) or action_of(press, view)
        at_once = view.run is None and view.number.state in TYPES_AT_ONCE
        types = press in STARTS_TYPING and at_once
        if types and (found is None or found[0] not in {Action.CHOOSE, Action.FIX}):
            self._start_typing(press)
            return True
        found = found or run_keys.mark(press, view)
        if found is None:
            return False
        self._do(*found)
        return True

    def perform(self, action: str) -> None:
        """A key hint was clicked."""
        self._do(*split_action(action))

    def _do(self, action: str, argument: str) -> None:
        match action:
            case "print" | "counter" | "help" | "meters" | "match" | "findings" | "machine":
                self.turned.emit(Turn(page=action))
            case "big":
                self._own("V")
            case Action.STRIP:
                self._own("S")
            case Action.CHOOSE | Action.FIX if not argument:
                self.setFocus()
            case Action.SUBMIT if not argument:
                self._submit(self.entry.field.text())
            case _:
                self.act(action, argument)

    def _own(self, press: str) -> bool:
        """Keys that change how the bench looks, not the visit."""
        match press:
            case "V":
                self.big = not self.big
                self._stood = None
                self.dress(self.look)
            case "S":
                self.strip_shown = not self.strip_shown
                self.act(Action.STRIP, "on" if self.strip_shown else "off")
            case "P":
                self.turned.emit(Turn(page="print"))
                return True
            case "F":
                self.turned.emit(Turn(page="findings"))
                return True
            case "L":
                self.turned.emit(Turn(page="meters"))
                return True
            case "H":
                self.turned.emit(Turn(page="machine"))
                return True
            case "F5":
                self.turned.emit(Turn(page="match"))
                return True
            case _:
                return False
        if self._view is not None:
            self.show_view(self._view)
        return True

    def take(self) -> None:
        """What the pedal does: take, or enter what has been typed."""
        if self._view is not None and self._view.ask is Ask.TEXT:
            self._submit(self.entry.field.text())
        else:
            self.act(Action.TAKE)

    def _go_to_line(self, number: int) -> None:
        view = self._view
        item = next((i for i in view.ribbon if i.number == number), None) if view else None
        if item is not None:
            self.act(Action.GOTO, item.key)

    def _escape(self, view: BenchView) -> None:
        if view.ask is Ask.TEXT:
            self.act(Action.CANCEL)
        elif self.big:
            self._own("V")
        else:
            self.turned.emit(Turn(page="counter"))

    def _start_typing(self, digit: str) -> None:
        self.act(Action.TYPE)
        if self._view is not None and self._view.ask is Ask.TEXT:
            self.entry.field.setText(digit)
            self._preview(digit)

    def _preview(self, text: str) -> None:
        self.problem = ""
        self.act(Action.PREVIEW, text)

    def _submit(self, text: str) -> None:
        self.act(Action.SUBMIT, text)


def _is_taken(view: BenchView | None) -> bool:
    return view is not None and view.number.state is NumberState.TAKEN
