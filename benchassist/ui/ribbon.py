"""The ribbon: all steps of the visit, what stands for each, which one is at work."""

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.glyph import paint_verdict_glyph
from benchassist.paint.palette import Palette
from benchassist.services.bench.view import RibbonItem
from benchassist.ui.crowd import Crowd
from benchassist.ui.lettering import CENTRE, Style, row
from benchassist.ui.part import Target

NAMED = 70.0
"""Width from which a step of the ribbon shows its name."""


class RibbonTarget(Target[RibbonItem]):
    """One step of the ribbon; a press goes there."""

    def words(self) -> str:
        """Number and name."""
        return f"{self.value.number} {self.value.short}"

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Number, verdict sign, name; only number and sign where it is narrow."""
        item = self.value
        ground = palette.ink if item.current else palette.well
        done = item.ink.value in {"ink", "pencil", "struck"}
        colour = palette.bench if item.current else (palette.ink if done else palette.faint)
        painter.fillRect(room, QColor(ground))
        narrow = room.width() < NAMED
        number = Style(px=15, weight=800, color=colour)
        low = room.height() < 30.0
        if narrow:
            number = replace(number, align=CENTRE)
        left = 1 if narrow else 8
        row(
            painter,
            QRectF(left, 2, room.width() - 1.5 * left, 19),
            str(item.number),
            number,
            least=9,
        )
        if item.verdict is not None and not item.current and not (narrow and low):
            sign = QRectF(room.width() - 35, 4, 27, 13)
            if narrow and not low:
                sign = QRectF(1, 25, room.width() - 2, 14)
            paint_verdict_glyph(painter, sign, item.verdict, item.side, palette)
        elif item.ink.value == "skipped" and not item.current:
            dash = QRectF(room.width() - 22, 10, 12, 2.5)
            painter.fillRect(dash, QColor(palette.faint))
        if not narrow and not low:
            name = Style(px=15, weight=500, color=colour)
            row(painter, QRectF(8, 20, room.width() - 14, 20), item.short, name, least=11)


class Ribbon(Crowd[tuple[RibbonItem, ...], RibbonItem]):
    """All steps in a row. Where they are many, only the current one keeps its name."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__((), parent)

    def items(self) -> Sequence[RibbonItem]:
        """The steps."""
        return self.value

    def make(self, item: RibbonItem) -> RibbonTarget:
        """A step."""
        return RibbonTarget(item)

    def token(self, item: RibbonItem) -> str:
        """The check's key."""
        return item.key

    def places(self, items: Sequence[RibbonItem], room: QRectF) -> list[QRectF | None]:
        """Side by side, all of one width while names fit."""
        gap = 4.0
        wide = room.width() - gap * (len(items) - 1)
        even = current = wide / max(1, len(items))
        if even < NAMED and len(items) > 1:
            current = min(150.0, max(even, wide * 0.18))
            even = (wide - current) / (len(items) - 1)
        x, places = 0.0, list[QRectF | None]()
        for item in items:
            width = current if item.current else even
            places.append(QRectF(x, 0, width, room.height()))
            x += width + gap
        return places
