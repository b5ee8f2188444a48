"""The well under the live number: jaws close from both ends as the reading steadies."""

from enum import Enum, auto

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter, QPainterPath

from benchassist.paint.lettering import Style, draw_fitted
from benchassist.paint.palette import Palette
from benchassist.paint.stroke import block, design, hatch, pen, shape

WELL_HEIGHT = 20.0
FACE = 5.0


class JawLook(Enum):
    """How the well stands: closing or met, met but cannot tell, nothing to hold, typed by hand."""

    LIVE = auto()
    HATCHED = auto()
    EMPTY = auto()
    BAR = auto()


def paint_jaws(
    painter: QPainter,
    rect: QRectF,
    closure: float,
    palette: Palette,
    *,
    look: JawLook = JawLook.LIVE,
    words: str = "",
) -> None:
    """The well, 20 units high: `closure` 0.0 wide open to 1.0 met; `words` stand in a BAR."""
    with design(painter, rect, rect.height() / WELL_HEIGHT) as room:
        if look is JawLook.EMPTY:
            slot = QPainterPath()
            slot.addRect(room.adjusted(1.0, 1.0, -1.0, -1.0))
            shape(painter, slot, stroke=pen(palette.faint, 2.0, dash=(8.0, 6.0)))
            return
        block(painter, (0.0, 0.0), (room.width(), WELL_HEIGHT), palette.well)
        if look is JawLook.BAR:
            style = Style(px=15, weight=700, color=palette.ink)
            draw_fitted(painter, 8.0, 15.0, words, style, width=room.width() - 16.0)
            return
        middle = room.width() / 2.0
        reach = max(FACE, min(1.0, max(0.0, closure)) * middle)
        for left, right in ((0.0, reach), (room.width() - reach, room.width())):
            if look is JawLook.HATCHED:
                path = QPainterPath()
                path.addRect(QRectF(left, 0.0, right - left, WELL_HEIGHT))
                hatch(painter, path, palette.cannot_text, gap=9.0, width=2.4)
            else:
                block(painter, (left, 0.0), (right, WELL_HEIGHT), palette.live)
        block(painter, (reach - FACE, 0.0), (reach, WELL_HEIGHT), palette.ink)
        block(
            painter,
            (room.width() - reach, 0.0),
            (room.width() - reach + FACE, WELL_HEIGHT),
            palette.ink,
        )
