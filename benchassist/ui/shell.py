"""What fills the window: bar, page, key strip. It shows the counter before anything heavy comes.

Only Qt, the drawings and light modules are imported here. Once the empty counter is painted,
`load` brings the desks, with whatever they need, from a zero timer.
"""

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QCloseEvent, QGuiApplication, QKeyEvent, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QApplication, QWidget

from benchassist.errors import BenchError
from benchassist.paint.font import load_fonts
from benchassist.services.desk import Desks
from benchassist.services.front.migration_view import MigrationDesk
from benchassist.services.translation import _
from benchassist.ui.cue import Cue
from benchassist.ui.ears import Ears
from benchassist.ui.entry import LineField
from benchassist.ui.frame import BAR, STRIP, KeyStrip, TopBar
from benchassist.ui.habits import Habits
from benchassist.ui.hint import LEAVE_LINE, beside_a_line
from benchassist.ui.key_map import press_name
from benchassist.ui.look import Look, Theme, look_for, toggled
from benchassist.ui.page import Turn
from benchassist.ui.page_stack import PageStack
from benchassist.ui.pedal import Pedal

TICK_MS = 30
TURNS = frozenset(
    {
        "help",
        "counter",
        "meters",
        "practice",
        "new_machine",
        "settings",
        "log",
        "spec",
        "records",
        "back",
    }
)
"""Keys of the strip that turn to a page, whatever page is in front."""


class Shell(PageStack):
    """The whole of the window; a window of its own where it has no parent."""

    def __init__(
        self,
        load: Callable[[], Desks],
        habits: Habits | None = None,
        parent: QWidget | None = None,
        *,
        first: Callable[[], MigrationDesk | None] | None = None,
    ) -> None:
        """`first` begins what must have ended before `load`: nearly always nothing."""
        super().__init__(parent)
        load_fonts()
        self.habits = habits or Habits()
        self.ears = Ears(lambda: self.habits, self)
        self.cued.connect(self.ears.hear)
        self.theme = Theme(self.habits.theme)
        self.pedal = Pedal(self.habits.pedal_key)
        self._load, self._first = load, first or _nothing
        self._migration: MigrationDesk | None = None
        self.top = TopBar(self)
        self.strip = KeyStrip(self)
        self.strip.chosen.connect(self._hinted)
        self._timer = QTimer(self)
        self._timer.setInterval(TICK_MS)
        self._timer.timeout.connect(self.tick)
        self._painted = False
        self.setWindowTitle(_("Bench Assistant"))
        self.setMinimumSize(720, 460)
        self.resize(1366, 768)
        QGuiApplication.styleHints().colorSchemeChanged.connect(self._dress)
        application = QApplication.instance()
        if isinstance(application, QApplication):
            application.focusChanged.connect(self._focus_moved)
        self._dress()
        self.page.show()
        self.page.entered()
        self._show_frame()

    # --- loading -------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        """The first paint starts the loading of everything heavy."""
        if not self._painted:
            self._painted = True
            QTimer.singleShot(0, self.load)

    def _build_pages(self) -> None:
        self.build_pages(self.pedal)
        self.tags.failed.connect(self.tell)
        self.keys.pedal_changed.connect(self._keep)
        self.keys.sounds_asked.connect(self.toggle_sounds)
        self.keys.voice_asked.connect(self.toggle_voice)
        self._show_ears()
        self._dress()

    def load(self) -> None:
        """Bring the desks, at once or after a migration; a refusal stands on the counter."""
        if self.desks is not None or self._migration is not None:
            return
        if "bench" not in self.pages:
            self._build_pages()
        try:
            self._migration = self._first()
        except BenchError as error:
            self.counter.refuse(str(error))
            return
        if self._migration is None:
            self._open()
        else:
            self.counter.wait_for(self._migration.view())
            self._timer.start()

    def _look_on(self, migration: MigrationDesk) -> None:
        """See how far a migration is; once it has ended, open."""
        if not migration.done:
            self.counter.wait_for(migration.view())
            return
        self._migration = None
        self._timer.stop()
        try:
            migration.finish()
        except BenchError as error:
            self.counter.refuse(str(error))
        else:
            self.counter.wait_for(None)
            self._open()

    def _open(self) -> None:
        try:
            desks = self._load()
            self.open_desks(desks)
        except BenchError as error:
            self.counter.refuse(str(error))
            return
        self._timer.start()
        if desks.visit_id:
            self.turn(Turn(page="bench", visit_id=desks.visit_id))

    def tell(self, line: str) -> None:
        """Say something of the program itself where the person is working."""
        if self.desks is None:
            self.counter.refuse(line)
            return
        self.page.problem = line
        self.page.refresh()

    def tick(self) -> None:
        """Let the page in front take in what came."""
        if self._migration is not None:
            self._look_on(self._migration)
        self.page.refresh()

    # --- frame ---------------------------------------------------------------------------------

    def _show_frame(self) -> None:
        keys, line = self.page.keys, QApplication.focusWidget()
        if isinstance(line, LineField):
            keys = replace(keys, hints=beside_a_line(keys.hints, line.HANDED_ON))
        self.top.put(self.page.bar)
        self.strip.put(keys)

    def _focus_moved(self, _old: QWidget | None, now: QWidget | None) -> None:
        if now is not None and self.page.isAncestorOf(now):
            self.page.focus_moved()
            self._show_frame()

    def _hinted(self, action: str) -> None:
        match action:
            case _ if action in TURNS:
                self.turn(Turn(page=action))
            case "theme":
                self.toggle_theme()
            case "enter_line" | "leave_line":
                self._hinted_line(leaves=action == LEAVE_LINE)
            case _:
                self.page.perform(action)

    @staticmethod
    def _hinted_line(*, leaves: bool) -> None:
        """What Enter or Esc does in the line that has the focus."""
        line = QApplication.focusWidget()
        if isinstance(line, LineField):
            line.left.emit() if leaves else line.entered.emit(line.text())

    # --- keys ----------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Every key nobody below used: the pedal, the window's own, then the page's."""
        press = press_name(event)
        if self.pedal.learning:
            self._learn(event, press)
        elif not press or event.isAutoRepeat():
            return
        elif self.pedal.matches(event) and self.page is self.pages.get("bench"):
            self.bench.take()
        elif not (self._own(press) or self.page.press(press)):
            event.ignore()

    def _learn(self, event: QKeyEvent, press: str) -> None:
        if self.pedal.learn(event):
            self.keys.learned()
        elif press == "Esc":
            self.pedal.learning = False
            self.keys.refresh()

    def _own(self, press: str) -> bool:
        """Keys that do the same on every page."""
        match press:
            case "F1":
                self.turn(Turn(page="back" if self.page is self.pages.get("help") else "help"))
            case "Ctrl+L":
                self.toggle_theme()
            case "Ctrl+P" if "photos" in self.pages:
                self.entrance.enter()
            case "Ctrl+V" if "photos" in self.pages and self.page is not self.photos:
                return self.entrance.paste()
            case "F11":
                window = self.window()
                window.setWindowState(window.windowState() ^ Qt.WindowState.WindowFullScreen)
            case "Ctrl+Q":
                self.window().close()
            case _:
                return False
        return True

    def toggle_theme(self) -> None:
        """The other palette, kept."""
        self.theme = toggled(self.theme)
        self._dress()
        self._keep()

    def _keep(self) -> None:
        self.habits = replace(self.habits, theme=self.theme, pedal_key=self.pedal.key)
        if not self.page.attempt(lambda: self.habits.keep(self.habits)):
            self.page.refresh()

    # --- ears ----------------------------------------------------------------------------------

    def _show_ears(self, *, voiceless: bool = False) -> None:
        sounds, spoken = self.habits.sounds, self.habits.spoken
        self.keys.show_ears(sounds=sounds, spoken=spoken, voiceless=voiceless)

    def toggle_sounds(self) -> None:
        """Sounds on or off, kept; on is heard at once."""
        self.habits = replace(self.habits, sounds=not self.habits.sounds)
        self._show_ears()
        self._keep()
        if self.habits.sounds:
            self.habits.sound(Cue.IN_BAND)

    def toggle_voice(self) -> None:
        """The voice on or off, kept; a computer without one says what to install."""
        spoken = not self.habits.spoken
        voiceless = spoken and not self.habits.speak(_("Voice on"))
        self.habits = replace(self.habits, spoken=spoken and not voiceless)
        self._show_ears(voiceless=voiceless)
        self._keep()

    # --- size and dress ------------------------------------------------------------------------

    @property
    def look(self) -> Look:
        """Palette and scale for the present size."""
        return look_for(self.theme, self.height(), self.width())

    def _dress(self) -> None:
        look = self.look
        self.top.dress(look)
        self.strip.dress(look)
        bar, strip = look.px(BAR), look.px(STRIP)
        self.top.setGeometry(0, 0, self.width(), bar)
        self.strip.setGeometry(0, self.height() - strip, self.width(), strip)
        for page in self.pages.values():
            page.setGeometry(0, bar, self.width(), self.height() - bar - strip)
            page.dress(look)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Scale with the window."""
        self._dress()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Leave the bench in order; assembly stops the rest."""
        self._timer.stop()
        self.page.left()
        self.ears.close()
        event.accept()


def _nothing() -> None:
    """There is nothing to be done first."""
