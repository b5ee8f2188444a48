"""Cautions of a step: in full until the probes touch, in a few words while they are on."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.services.translation import _
from benchassist.ui.cap import paint_triangle
from benchassist.ui.lettering import Style, paragraph, row, wrapped_height
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Part


@dataclass(frozen=True, slots=True)
class Cautions:
    """The cautions of a step, `shorts` in a few words each.

    `waiting`: they stand in full in the panel below.
    """

    texts: tuple[str, ...] = ()
    shorts: tuple[str, ...] = ()
    waiting: bool = False


class CautionRow(Part[Cautions]):
    """Every caution in a few words, while the work is done; before it, where to read."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Cautions(), parent)

    def words(self) -> str:
        """All cautions in full, whatever shows."""
        return " ".join(self.value.texts)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Triangle and text."""
        paint_panel(painter, room, palette, edge=2.0)
        big = room.height() > 60.0
        wide = 60.0 if big else 30.0
        sign = QRectF(10, 5, wide, room.height() - 11)
        paint_triangle(painter, sign, palette.ink, palette.panel)
        words = room.adjusted(wide + 22, 2, -10, -2)
        style = Style(px=34 if big else 24, weight=600, color=palette.ink)
        if self.value.waiting and not big:
            row(painter, words, _("Read the cautions below before you touch."), style)
            return
        shorts = self.value.shorts or tuple(first_sentence(text) for text in self.value.texts)
        text = " · ".join(short.rstrip(".") for short in shorts)
        paragraph(painter, words, text, style, least=11, upright=0.5)


def first_sentence(text: str) -> str:
    """A text up to its first full stop, that included."""
    head, stop, _rest = text.partition(". ")
    return head + stop.strip()


class CautionPanel(Part[tuple[str, ...]]):
    """All cautions of the step in full: read before the probes touch."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__((), parent)

    def words(self) -> str:
        """All of them."""
        return " ".join(self.value)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """One below the other beside one triangle, as large as they all fit."""
        paint_panel(painter, room, palette, edge=2.0)
        inner = room.adjusted(CAUTION_INSET, 9, -14, -9)
        style = Style(px=24, weight=500, color=palette.ink)
        while style.px > 13 and _cautions_height(self.value, inner.width(), style) > inner.height():
            style = style.sized(style.px - 1)
        spare = inner.height() - _cautions_height(self.value, inner.width(), style)
        y = inner.top() + max(0.0, spare) / 2.0
        paint_triangle(painter, QRectF(14, y, 44, 40), palette.ink, palette.panel)
        for text in self.value:
            high = wrapped_height(text, inner.width(), style)
            where = QRectF(inner.left(), y, inner.width(), high)
            paragraph(painter, where, text, style, least=style.px)
            y += high + 6.0


CAUTION_INSET = 74.0


def _cautions_height(texts: tuple[str, ...], width: float, style: Style) -> float:
    return sum(wrapped_height(text, width, style) + 6.0 for text in texts) - 6.0


def caution_panel_height(texts: tuple[str, ...], width: float) -> float:
    """The height in which cautions can be read at 16 units."""
    style = Style(px=16, weight=500, color="#000000")
    return _cautions_height(texts, width - CAUTION_INSET - 14.0, style) + 18.0 if texts else 0.0
