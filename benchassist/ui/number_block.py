"""The live number, the jaws under it, and the word that says what to do with it."""

from dataclasses import dataclass, replace

from PySide6.QtCore import QRect, QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.jaws import JawLook, paint_jaws
from benchassist.paint.palette import Palette
from benchassist.paint.stroke import line, pen
from benchassist.services.bench.view import Number, NumberState
from benchassist.services.translation import _
from benchassist.ui.flash import Flash
from benchassist.ui.lettering import CAPITAL, RIGHT, Style, row
from benchassist.ui.part import Part

JAWS, WORDS = 20.0, 36.0
LARGEST = 172
PAD = 12.0
"""The block stands out by this on both sides, so that a flash has a margin."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberShown:
    """The number, what is being typed in its place, and whether only the number is shown.

    `verdict` goes into the accessible name, so that it is read with its number.
    """

    number: Number
    typed: str = ""
    bare: bool = False
    big: bool = False
    verdict: str = ""


class NumberBlock(Part[NumberShown]):
    """Digits as large as the room allows, unit half their size, jaws, one line of words."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(NumberShown(number=Number(state=NumberState.NO_METER)), parent)
        self._flash = Flash(self)

    def flash(self) -> None:
        """Show inverted for a moment: something has just been taken."""
        self._flash.begin()

    @property
    def flashing(self) -> bool:
        """Whether it shows inverted at this moment."""
        return self._flash.isActive()

    def words(self) -> str:
        """Number, unit, verdict, and what to do."""
        number = self.value.number
        what = self.value.typed or number.digits or number.words
        said = f"{what} {number.unit}".strip() if number.digits or self.value.typed else what
        return ". ".join(t for t in (said, self.value.verdict, number.jaw_word) if t)

    def changed(self, before: NumberShown) -> None:
        """Only the jaws repaint where only the jaws moved."""
        now, was = self.value.number, before.number
        if replace(before, number=replace(was, jaws=now.jaws), verdict="") == replace(
            self.value, verdict=""
        ):
            if now.jaws != was.jaws:
                self.update(self._jaws_area())
            return
        self.update()

    def _foot(self) -> tuple[float, float]:
        """Heights of the jaws and of the words."""
        if self.value.bare:
            return 0.0, 0.0
        return (28.0, 60.0) if self.value.big else (JAWS, WORDS)

    def _jaws_area(self) -> QRect:
        jaws, words = self._foot()
        s, bottom = self.look.s, self.height() / self.look.s - words - 6.0
        return QRectF(0, (bottom - jaws) * s - 2, self.width(), jaws * s + 4).toAlignedRect()

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Digits, jaws, words from the top down."""
        ink, dim = palette.ink, palette.dim
        whole, room = room, QRectF(0, 0, room.width() - 2 * PAD, room.height())
        painter.translate(PAD, 0)
        if self.flashing:
            painter.fillRect(whole.translated(-PAD, 0), QColor(palette.ink))
            ink, dim = palette.bench, palette.bench
        jaws, words = self._foot()
        number = self.value.number
        top = room.height() - (jaws + words + 6.0 + 10.0 if jaws else 0.0)
        digits = QRectF(0, 0, room.width(), top)
        self._paint_digits(painter, digits, palette, ink, dim)
        if not jaws:
            return
        well = QRectF(0, room.height() - words - 6.0 - jaws, room.width(), jaws)
        look = _jaw_look(number.state)
        paint_jaws(
            painter,
            well,
            number.jaws,
            palette,
            look=look,
            words=_("by hand: jaws don’t apply") if look is JawLook.BAR else "",
        )
        below = QRectF(2, room.height() - words, room.width() - 4, words)
        px = 44 if self.value.big else 24
        word = Style(px=px, weight=800, color=ink)
        hint = Style(px=px, weight=400, color=dim)
        gap = 16.0
        both = word.width(number.jaw_word) + gap + hint.width(number.jaw_hint)
        scale = min(1.0, below.width() / both)
        px = max(15, int(px * scale))
        taken = row(painter, below, number.jaw_word, word.sized(px))
        left = taken.width() + gap if number.jaw_word else 0.0
        row(
            painter,
            below.adjusted(left, 0, 0, 0),
            number.jaw_hint,
            replace(hint, px=px, align=RIGHT),
        )

    def _paint_digits(
        self, painter: QPainter, room: QRectF, palette: Palette, ink: str, dim: str
    ) -> None:
        shown = self.value
        number = shown.number
        largest = 400 if shown.big else LARGEST
        highest = min(largest, int(room.height() / (0.82 if shown.big or shown.bare else 0.74)))
        digits = shown.typed or number.digits
        if not digits and number.words:
            px = min(highest, 150 if shown.big else 76)
            row(painter, room, number.words, Style(px=px, weight=800, color=ink), least=30)
            return
        if not digits:
            self._paint_dashes(painter, room, palette, min(highest, largest))
            return
        stale = number.state is NumberState.STALE
        colour = palette.faint if stale else ink
        px = highest
        while px > 40 and _wide(digits, number.unit, px) > room.width():
            px -= 2
        big = Style(px=px, weight=800, color=colour)
        small = Style(px=round(px / 2), weight=600, color=dim)
        wide = big.width(digits)
        middle = room.center().y()
        row(painter, QRectF(-0.03 * px, 0, wide + px, room.height()), digits, big, least=px)
        if number.unit:
            drop = CAPITAL * (px - px // 2) / 2.0
            place = QRectF(wide + 0.12 * px, drop, room.width() - wide, room.height())
            row(painter, place, number.unit, small, least=small.px)
        if stale:
            y = middle + 0.04 * px
            line(painter, (0, y), (wide + 4, y), pen(palette.dim, max(5.0, 0.05 * px)))
        if number.state in {NumberState.TYPED, NumberState.TYPING}:
            y = middle + CAPITAL * px / 2.0 + 0.06 * px
            dots = pen(dim, 4.0, dash=(4.0, 6.0))
            line(painter, (2, y), (wide, y), dots)

    def _paint_dashes(self, painter: QPainter, room: QRectF, palette: Palette, px: float) -> None:
        """Two dashes where no number may be shown."""
        wide, high, y = 0.42 * px, 0.15 * px, room.center().y()
        for x in (4.0, 4.0 + 1.9 * wide):
            painter.fillRect(QRectF(x, y - high / 2, wide, high), QColor(palette.faint))


def _wide(digits: str, unit: str, px: int) -> float:
    """Width of number and unit together."""
    big = Style(px=px, weight=800, color="#000000").width(digits)
    small = Style(px=round(px / 2), weight=600, color="#000000").width(unit)
    return big + (0.14 * px + small if unit else 0.0)


def _jaw_look(state: NumberState) -> JawLook:
    match state:
        case NumberState.NO_METER | NumberState.STALE:
            return JawLook.EMPTY
        case NumberState.HELD:
            return JawLook.HATCHED
        case NumberState.TYPING | NumberState.TYPED:
            return JawLook.BAR
        case _:
            return JawLook.LIVE
