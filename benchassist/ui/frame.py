"""What stands on every page: the bar above it and the strip of keys below."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.glyph import paint_logo, paint_meter, paint_pedal
from benchassist.paint.palette import Palette
from benchassist.services.bench.view import KeyHint
from benchassist.services.translation import _
from benchassist.ui.cap import CAP, bar_cap, cap_width, main_cap, paint_cap, press_text
from benchassist.ui.crowd import Crowd
from benchassist.ui.key_map import is_range
from benchassist.ui.lettering import RIGHT, Style, row
from benchassist.ui.part import Part, Target

BAR = 48.0
STRIP = 56.0
CLOSEST = 10.0
"""The least gap between keys of the strip."""
MARGIN = 24.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """The top bar: where we are, which meter, what to keep in mind."""

    place: str = ""
    meter: str = ""
    live: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Keys:
    """The key strip. `pedal`: the note is about the pedal and carries its sign."""

    hints: tuple[KeyHint, ...] = ()
    note: str = ""
    pedal: bool = False


class TopBar(Part[Bar]):
    """The dark bar at the top, 48 units high."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Bar(), parent)

    def words(self) -> str:
        """All of it, in reading order."""
        bar = self.value
        return ". ".join(t for t in (bar.place, bar.meter, bar.note) if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Mark, name and place from the left; note and meter from the right."""
        painter.fillRect(room, QColor(palette.bar))
        bright = Style(px=18, weight=700, color=palette.bar_text)
        quiet = Style(px=18, weight=400, color=palette.bar_dim)
        high = room.height()
        paint_logo(painter, QRectF(MARGIN, 0, 44, high).adjusted(0, 13, 0, -13), palette)
        x = 80.0 + row(painter, QRectF(80, 0, 260, high), _("Bench Assistant"), bright).width()
        right = room.width() - MARGIN
        bar = self.value
        if bar.note:
            right -= self._from_right(painter, right, bar.note, quiet)
            if bar.meter:
                self._rule(painter, right - 24, palette)
                right -= 48
        if bar.meter:
            style = bright if bar.live else quiet
            right -= self._from_right(painter, right, bar.meter, style)
            sign = QRectF(right - 44, 16, 38, 16)
            paint_meter(painter, sign, style.color, linked=bar.live)
            right = sign.left() - 12
        if bar.place:
            self._rule(painter, x + 24, palette)
            row(painter, QRectF(x + 48, 0, max(0.0, right - x - 60), high), bar.place, quiet)

    def _from_right(self, painter: QPainter, right: float, text: str, style: Style) -> float:
        room = QRectF(right - 420, 0, 420, BAR)
        aligned = Style(px=style.px, weight=style.weight, color=style.color, align=RIGHT)
        return row(painter, room, text, aligned).width()

    def _rule(self, painter: QPainter, x: float, palette: Palette) -> None:
        colour = QColor(palette.bar_dim)
        colour.setAlphaF(0.4)
        painter.fillRect(QRectF(x, 12, 1, 24), colour)


def hint_words(hint: KeyHint) -> str:
    """'Space: Take'."""
    return f"{press_text(hint.press)}: {hint.text}"


def paint_hint(painter: QPainter, room: QRectF, hint: KeyHint, palette: Palette) -> None:
    """Cap, then word."""
    wide = cap_width(hint.press, pedal=hint.pedal)
    cap = QRectF(room.left(), (room.height() - CAP) / 2 - 1, wide, CAP)
    colours = main_cap(palette) if hint.main else bar_cap(palette)
    painter.fillRect(room, QColor(palette.bar))
    paint_cap(painter, cap, hint.press, colours, pedal=hint.pedal)
    words = room.adjusted(wide + 10, -1, 0, -1)
    row(painter, words, hint.text, Style(px=18, weight=500, color=palette.bar_text))


class KeyTarget(Target[KeyHint]):
    """A key cap with its word; a press does what the key does."""

    def words(self) -> str:
        """Key and word."""
        return hint_words(self.value)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Key and word."""
        paint_hint(painter, room, self.value, palette)


class KeyStrip(Crowd[Keys, KeyHint]):
    """The dark strip of keys at the bottom; what does not fit is on the keys page.

    A cap that names several keys cannot know which of them is meant: it is drawn and no button.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Keys(), parent)

    def words(self) -> str:
        """The caps that are no buttons: the others say themselves what they are."""
        return ". ".join(hint_words(hint) for hint in self.value.hints if is_range(hint.press))

    def items(self) -> Sequence[KeyHint]:
        """The hints of one key."""
        return [hint for hint in self.value.hints if not is_range(hint.press)]

    def make(self, item: KeyHint) -> KeyTarget:
        """A cap."""
        return KeyTarget(item)

    def token(self, item: KeyHint) -> str:
        """The action."""
        return item.action

    @property
    def _note_fits(self) -> bool:
        """Keys come first: the note shows where they leave it room."""
        wide = self.width() / self.look.s - 2 * MARGIN - self._note_width() - 16
        hints = self.value.hints
        keys = sum(self._width_of(hint) for hint in hints) + CLOSEST * (len(hints) - 1)
        return bool(self.value.note) and keys <= wide

    def places(self, items: Sequence[KeyHint], room: QRectF) -> list[QRectF | None]:
        """Where each of them stands among all the hints."""
        places = self._all_places(room)
        return [places[hint] for hint in items]

    def _all_places(self, room: QRectF) -> dict[KeyHint, QRectF | None]:
        """From the left, closer together where they are many; None where there is no room."""
        wide = room.width() - 2 * MARGIN
        if self._note_fits:
            wide -= self._note_width() + 16
        hints = self.value.hints
        widths = [self._width_of(hint) for hint in hints]
        gap = 28.0
        while gap > CLOSEST and sum(widths) + gap * (len(widths) - 1) > wide:
            gap -= 1.0
        x, places = MARGIN, dict[KeyHint, QRectF | None]()
        for hint, width in zip(hints, widths, strict=True):
            fits = x + width <= MARGIN + wide + 0.5
            places[hint] = QRectF(x, 0, width, room.height()) if fits else None
            x += width + gap
        return places

    def _width_of(self, hint: KeyHint) -> float:
        word = Style(px=18, weight=500, color="#000000").width(hint.text)
        return cap_width(hint.press, pedal=hint.pedal) + 12 + word

    def _note_width(self) -> float:
        style = Style(px=18, weight=400, color="#000000")
        return style.width(self.value.note) + (36 if self.value.pedal else 0)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Ground, caps that are no buttons, note; the others paint themselves."""
        painter.fillRect(room, QColor(palette.bar))
        for hint, place in self._all_places(room).items():
            if place is not None and is_range(hint.press):
                paint_hint(painter, place, hint, palette)
        if not self._note_fits:
            return
        style = Style(px=18, weight=400, color=palette.bar_dim, align=RIGHT)
        words = room.adjusted(MARGIN, -1, -MARGIN, -1)
        taken = row(painter, words, self.value.note, style)
        if self.value.pedal:
            sign = QRectF(words.right() - taken.width() - 36, 20, 26, 15)
            paint_pedal(painter, sign, palette.bar_text)
