"""What every page has: a desk behind it, a bar above it, keys below it, presses in it."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from benchassist.core.plain_text import capital
from benchassist.errors import BenchError, StepError
from benchassist.paint.palette import LIGHT
from benchassist.ui.cue import Cue, Heard
from benchassist.ui.frame import Bar, Keys
from benchassist.ui.look import Look

Outcome = TypeVar("Outcome")


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """Where a page asks the window to go; `visit_id` or `machine_id` where it matters.

    `second`: of the second meter, the thermometer.
    """

    page: str
    visit_id: str = ""
    machine_id: str = ""
    second: bool = False


class Page(QWidget):
    """A page of the window; `refresh` is called from its timer while the page is in front."""

    turned = Signal(object)
    bar_changed = Signal()
    cued = Signal(object)
    """A `Heard`: something happened that can be told without looking."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.look = Look(LIGHT)
        self.problem = ""
        """What the last key could not do, in one line; cleared by the next."""
        self.bar = Bar()
        self.keys = Keys()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    @property
    def units_wide(self) -> float:
        """Width in design units."""
        return self.width() / self.look.s

    def refresh(self) -> None:
        """Ask the desk and show what it says."""

    def show_desk(self) -> None:
        """Show what the desk says now."""

    def press(self, press: str) -> bool:
        """Do what a key does here; False where it means nothing."""
        return False

    def perform(self, action: str) -> None:
        """Do what a key hint of the strip stands for."""

    def entered(self) -> None:
        """The page came to the front."""
        self.setFocus()

    def left(self) -> None:
        """The page goes to the back: what the last key could not do is old when one comes back."""
        self.problem = ""

    def focus_moved(self) -> None:
        """Another part of the page has the focus: other keys may mean something there."""

    def place(self) -> None:
        """Place the parts for the present size."""

    def dress(self, look: Look) -> None:
        """Take a look and hand it on."""
        self.look = look
        self.update()

    def attempt(self, what: Callable[[], object]) -> bool:
        """Do something at the desk; a refusal becomes the page's problem line."""
        try:
            what()
        except StepError as error:
            self.problem = capital(str(error))
        except BenchError as error:
            self.problem = str(error)
        else:
            self.problem = ""
            return True
        return False

    def attempt_shown(self, what: Callable[[], object]) -> bool:
        """As `attempt`, and what came of it is shown; a refusal is heard too."""
        done = self.attempt(what)
        self.show_desk()
        if not done:
            self.cued.emit(Heard(Cue.REFUSED, self.problem))
        return done

    def outcome_of(self, what: Callable[[], Outcome]) -> Outcome | None:
        """As `attempt`, for what comes of it; None where it was refused."""
        found: list[Outcome] = []
        self.attempt(lambda: found.append(what()))
        return found[0] if found else None

    def show_frame(self, bar: Bar, keys: Keys) -> None:
        """Tell the window what its bar and strip should say."""
        if (bar, keys) != (self.bar, self.keys):
            self.bar, self.keys = bar, keys
            self.bar_changed.emit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Place the parts anew."""
        self.place()

    def paintEvent(self, event: QPaintEvent) -> None:
        """The bench's ground."""
        painter = QPainter(self)
        painter.fillRect(event.rect(), QColor(self.look.palette.bench))
        painter.end()
