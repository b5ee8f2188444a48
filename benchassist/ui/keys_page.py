"""Every key in one place, and where the pedal is learned by pressing it."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF, Signal
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.services.bench.view import KeyHint
from benchassist.services.translation import _
from benchassist.ui.bench_layout import MARGIN, Place
from benchassist.ui.bench_part import Heading, Title
from benchassist.ui.cap import cap_width, paint_cap, paper_cap, press_text
from benchassist.ui.cue import Cue, Heard
from benchassist.ui.frame import Bar, Keys
from benchassist.ui.hearing import cue_name
from benchassist.ui.lettering import Style, columns_of, paragraph, row
from benchassist.ui.look import Look
from benchassist.ui.page import Page, Turn
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Part
from benchassist.ui.pedal import Pedal
from benchassist.ui.tile import Button, ButtonTile

ROW = 38.0


def bench_keys() -> tuple[tuple[str, str], ...]:
    """Keys of the bench, in the order of a visit."""
    return (
        ("Space", _("Take the reading")),
        ("Backspace", _("Redo; the old one stays, struck")),
        ("M", _("Type a reading; digits start it too")),
        ("1-9", _("Answer, or take a way offered")),
        ("Right", _("Skip, or the next step")),
        ("Left", _("The step before")),
        ("Down", _("Down the slip")),
        ("Up", _("Up the slip")),
        ("N", _("Note")),
        ("D", _("Work done at this step")),
        ("G", _("Its part is known good; again: it is not")),
        ("T", _("Part temperature")),
        ("Z", _("Zero the leads: touch the probes first")),
        ("K", _("Known resistor")),
        ("F", _("Findings: what the readings say")),
        ("H", _("The machine’s file: every visit so far")),
        ("O", _("Ask the marking again")),
    )


def window_keys() -> tuple[tuple[str, str], ...]:
    """Keys that are the same everywhere, or turn to another page."""
    return (
        ("V", _("Big view, for three metres")),
        ("S", _("Strip of the last minute")),
        ("L", _("Meters")),
        ("F5", _("Match the meter’s display")),
        ("P", _("Print the slip, or keep it as a PDF")),
        ("C", _("Close the visit, or open it again")),
        ("Esc", _("Back to the counter")),
        ("F1", _("These keys")),
        ("F11", _("Full screen")),
        ("Ctrl+P", _("Photos; drag or paste one onto any page")),
        ("Ctrl+L", _("Light or dark")),
        ("Ctrl+Q", _("Quit; everything taken is kept")),
        ("F2", _("Counter: new machine")),
        ("F3", _("Counter: practice bench")),
        ("F4", _("Counter: meters")),
        ("F5", _("Counter, and here: settings")),
        ("F6", _("Counter: open a log from a file")),
        ("F7", _("Counter: the spec book")),
        ("F8", _("Counter: tags to print; T on the slip’s page")),
        ("F9", _("Counter: the machine’s file, all its visits")),
        ("F10", _("Counter: records: back up, restore, import, export, erase")),
    )


@dataclass(frozen=True, slots=True)
class KeyTable:
    """Rows of key and meaning."""

    rows: tuple[tuple[str, str], ...] = ()


class KeyColumns(Part[KeyTable]):
    """Keys and meanings in two columns."""

    def __init__(self, rows: tuple[tuple[str, str], ...], parent: QWidget | None = None) -> None:
        super().__init__(KeyTable(rows), parent)

    def words(self) -> str:
        """All of them."""
        return ". ".join(f"{press_text(press)}: {text}" for press, text in self.value.rows)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Column by column."""
        paint_panel(painter, room, palette)
        rows = self.value.rows
        inner = room.adjusted(16, 12, -12, -12)
        high = min(ROW, inner.height() / len(rows))
        style = Style(px=18, weight=500, color=palette.ink)
        for i, (press, text) in enumerate(rows):
            y = inner.top() + i * high
            cap = min(30.0, high - 5)
            wide = cap_width(press, cap)
            paint_cap(painter, QRectF(inner.left(), y, wide, cap), press, paper_cap(palette))
            words = QRectF(inner.left() + 118, y, inner.width() - 118, cap)
            row(painter, words, text, style, least=13)


class PedalLine(Part[str]):
    """What is known of the pedal."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("", parent)

    def words(self) -> str:
        """The line."""
        return self.value

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """One line, two where it is long."""
        style = Style(px=22, weight=600, color=palette.ink)
        paragraph(painter, room, self.value, style, least=14, upright=0.5)


class KeysPage(Page):
    """All keys; the pedal."""

    pedal_changed = Signal()
    sounds_asked = Signal()
    voice_asked = Signal()

    def __init__(self, pedal: Pedal, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._pedal = pedal
        self.title = Title(self)
        self.title.put(Heading(_("Keys"), _("everything works without a mouse")))
        self.columns = (KeyColumns(bench_keys(), self), KeyColumns(window_keys(), self))
        self.pedal_line = PedalLine(self)
        self.learn = ButtonTile(Button(press="Enter", text=_("Learn a pedal"), main=True), self)
        self.learn.clicked.connect(self.begin_learning)
        self.forget = ButtonTile(Button(press="X", text=_("No pedal")), self)
        self.forget.clicked.connect(self._forget)
        self.sounds = ButtonTile(Button(), self)
        self.sounds.clicked.connect(self.sounds_asked)
        self.voice = ButtonTile(Button(), self)
        self.voice.clicked.connect(self.voice_asked)
        self._told = ""
        """What the last key had to say, in place of the pedal's line."""
        self._next_cue = 0
        self._parts = (
            self.title,
            *self.columns,
            self.pedal_line,
            self.sounds,
            self.voice,
            self.learn,
            self.forget,
        )
        self.show_ears(sounds=True, spoken=False)
        self._say()

    def show_ears(self, *, sounds: bool, spoken: bool, voiceless: bool = False) -> None:
        """Whether sounds and voice are on; `voiceless`: there is no voice to turn on."""
        on, off = _("on"), _("off")
        self.sounds.put(Button(press="S", text=_("Sounds"), note=on if sounds else off))
        self.voice.put(Button(press="V", text=_("Voice"), note=on if spoken else off))
        none = _("No voice on this computer. Install speech-dispatcher or espeak-ng.")
        self._told = none if voiceless else ""
        self._say()

    def _hear_next(self) -> None:
        """One sound after the other, each with its name."""
        cue = tuple(Cue)[self._next_cue]
        self._next_cue = (self._next_cue + 1) % len(Cue)
        name = cue_name(cue)
        self._told = _("Sound: {name}. H: the next one.").format(name=name)
        self._say()
        self.cued.emit(Heard(cue, name))

    def begin_learning(self) -> None:
        """The next key pressed is the pedal."""
        self._pedal.learning = True
        self.window().setFocus()
        self._say()

    def learned(self) -> None:
        """A key was pressed while learning."""
        self._say()
        self.setFocus()
        self.pedal_changed.emit()

    def _forget(self) -> None:
        self._pedal.forget()
        self._say()
        self.pedal_changed.emit()

    def entered(self) -> None:
        """Show what stands."""
        self.setFocus()
        self._told = ""
        self._say()

    def refresh(self) -> None:
        """Show what stands."""
        self._say()

    def left(self) -> None:
        """Learning ends with the page."""
        self._pedal.learning = False

    def press(self, press: str) -> bool:
        """Enter learns, X forgets, S and V turn sounds and voice, H plays, Esc goes back."""
        self.problem = ""
        match press:
            case "Enter":
                self.begin_learning()
            case "X":
                self._forget()
            case "S":
                self.sounds_asked.emit()
            case "V":
                self.voice_asked.emit()
            case "H":
                self._hear_next()
            case "F5":
                self.turned.emit(Turn(page="settings"))
            case "Esc":
                self.turned.emit(Turn(page="back"))
            case _:
                return False
        return True

    def perform(self, action: str) -> None:
        """The strip's keys."""
        presses = {"learn": "Enter", "forget": "X", "sounds": "S", "voice": "V", "hear": "H"}
        self.press(presses.get(action, ""))

    def _say(self) -> None:
        if self._pedal.learning:
            text = _("Press the pedal now. Esc leaves it as it was.")
        elif self.problem or self._told:
            text = self.problem or self._told
        elif self._pedal.key:
            text = _("Pedal: {key}. It takes the reading.").format(key=press_text(self._pedal.key))
        else:
            text = _("No pedal learned. One that sends Space works already.")
        self.pedal_line.put(text)
        self.forget.setVisible(bool(self._pedal.key))
        forget = KeyHint(press="X", text=_("No pedal"), action="forget")
        self.show_frame(
            Bar(place=_("Keys")),
            Keys(
                hints=(
                    KeyHint(press="Enter", text=_("Learn a pedal"), action="learn", main=True),
                    *((forget,) if self._pedal.key else ()),
                    KeyHint(press="S", text=_("Sounds"), action="sounds"),
                    KeyHint(press="V", text=_("Voice"), action="voice"),
                    KeyHint(press="H", text=_("Hear them"), action="hear"),
                    KeyHint(press="F5", text=_("Settings"), action="settings"),
                    KeyHint(press="Ctrl+L", text=_("Light or dark"), action="theme"),
                    KeyHint(press="Esc", text=_("Back"), action="back"),
                )
            ),
        )

    def place(self) -> None:
        """Two columns, the pedal at the foot."""
        look = self.look
        high = self.height() / look.s
        x, wide = MARGIN, self.units_wide - 2 * MARGIN
        self.title.setGeometry(look.rect(Place(x, 8, wide, 50)))
        places = columns_of(QRectF(x, 64, wide, high - 64 - 88), 2, 16.0)
        for part, where in zip(self.columns, places, strict=True):
            part.setGeometry(
                look.rect(Place(where.left(), where.top(), where.width(), where.height()))
            )
        foot = high - 74
        right = x + wide
        self.pedal_line.setGeometry(look.rect(Place(x, foot, wide - 828, 60)))
        self.sounds.setGeometry(look.rect(Place(right - 812, foot, 150, 60)))
        self.voice.setGeometry(look.rect(Place(right - 652, foot, 140, 60)))
        self.learn.setGeometry(look.rect(Place(right - 496, foot, 278, 60)))
        self.forget.setGeometry(look.rect(Place(right - 202, foot, 202, 60)))

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        super().dress(look)
        for part in self._parts:
            part.dress(look)
        self.place()
