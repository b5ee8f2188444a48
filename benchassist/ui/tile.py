"""Panels to press: an answer, a way to settle a reading, a button with its key."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter

from benchassist.paint.mini_ruler import paint_mini_ruler
from benchassist.paint.palette import Palette
from benchassist.services.bench.view import Choice, Fix
from benchassist.services.translation import _
from benchassist.ui.cap import cap_width, main_cap, paint_cap, paper_cap, press_text
from benchassist.ui.lettering import LEADING, Style, paragraph, row, runs
from benchassist.ui.panel import paint_main, paint_panel
from benchassist.ui.part import Target


class ChoiceTile(Target[Choice]):
    """One answer to a question, with its number key."""

    def words(self) -> str:
        """Key and answer, and whether it is the answer given."""
        chosen = _("chosen") if self.value.chosen else ""
        return ". ".join(t for t in (self.value.press, self.value.text, chosen) if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Cap and text; the answer given stands inverted."""
        choice = self.value
        high = room.height()
        colour = palette.ink
        if choice.chosen:
            painter.fillRect(room, QColor(palette.ink))
            colour = palette.bench
        else:
            paint_panel(painter, room, palette)
        cap_high = min(44.0, high - 14.0)
        wide = cap_width(choice.press, cap_high)
        cap = QRectF(14, (high - cap_high) / 2, wide, cap_high)
        paint_cap(painter, cap, choice.press, paper_cap(palette))
        words = QRectF(cap.right() + 16, 4, room.width() - cap.right() - 28, high - 8)
        style = Style(px=_answer_px(high), weight=600, color=colour)
        paragraph(painter, words, choice.text, style, upright=0.5)


def _answer_px(high: float) -> int:
    """Text size of an answer on a tile that high."""
    return 36 if high > 84.0 else 27 if high > 70.0 else 24 if high > 52.0 else 19


class FixTile(Target[Fix]):
    """A way to settle what the meter cannot tell; the best one has the strong edge."""

    def words(self) -> str:
        """Key, what to do, what it would say."""
        return f"{self.value.press}. {self.value.title}. {self.value.text}"

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Cap and title above, what it would say and its ruler below."""
        fix = self.value
        paint_panel(painter, room, palette, edge=3.0 if fix.best else 1.0)
        wide = cap_width(fix.press)
        paint_cap(painter, QRectF(17, 11, wide, 34), fix.press, paper_cap(palette))
        big = room.width() > 520.0
        title = Style(px=28 if big else 20, weight=700, color=palette.ink)
        parts = [(fix.title, title)]
        if fix.best:
            parts.append((f"  {_('(best)')}", Style(px=title.px, weight=500, color=palette.ink)))
        left = 17 + wide + 12
        runs(painter, QRectF(left, 10, room.width() - left - 12, 34), tuple(parts))
        ruler = 104.0 if fix.ruler is not None else 0.0
        words = QRectF(17, 44, room.width() - 34 - (ruler + 12 if ruler else 0), room.height() - 50)
        style = Style(px=24 if big else 17, weight=400, color=palette.dim)
        paragraph(painter, words, fix.text, style, least=14, upright=0.5)
        if fix.ruler is not None:
            place = QRectF(room.width() - ruler - 17, 49, ruler, 22)
            paint_mini_ruler(painter, place, fix.ruler, palette)


@dataclass(frozen=True, slots=True, kw_only=True)
class Button:
    """A button: its key, its words, a smaller line. `main`: the one thing to do now."""

    press: str = ""
    text: str = ""
    note: str = ""
    main: bool = False


class ButtonTile(Target[Button]):
    """A button 44 units high or more, with its key on it."""

    def words(self) -> str:
        """Key, words, note."""
        button = self.value
        return ". ".join(t for t in (press_text(button.press), button.text, button.note) if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Filled with the yellow cap where it is the main one, else outlined."""
        button = self.value
        high = room.height()
        colour = palette.ink
        if button.main:
            paint_main(painter, room, palette)
            colour = palette.bar_text
        else:
            paint_panel(painter, room, palette, edge=1.0 if button.note else 3.0)
        cap_high = 34.0 if high < 80 else 44.0
        wide = cap_width(button.press, cap_high) if button.press else -14.0
        px = 24 if high >= 60 else 20
        title = Style(px=px, weight=700, color=colour)
        whole = wide + 14 + title.width(button.text)
        x = 20.0 if button.note else max(14.0, (room.width() - whole) / 2)
        if button.press:
            caps = main_cap(palette) if button.main else paper_cap(palette)
            cap = QRectF(x, (high - cap_high) / 2, wide, cap_high)
            paint_cap(painter, cap, button.press, caps)
        left = x + wide + (18 if button.note else 14)
        words = QRectF(left, 0, room.width() - left - 10, high)
        if not button.note:
            row(painter, words, button.text, title)
            return
        note = Style(px=17, weight=400, color=palette.dim)
        both = LEADING * (px + 17) + 2
        top = (high - both) / 2
        row(painter, QRectF(left, top, words.width(), LEADING * px), button.text, title)
        below = QRectF(left, top + LEADING * px + 2, words.width(), LEADING * 17)
        row(painter, below, button.note, note)
