"""The lozenge: a reading's doubt as a shape, ±U wide, in the manner of its verdict."""

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QBrush, QColor, QLinearGradient, QPainter, QPainterPath

from benchassist.core.band import Verdict
from benchassist.paint.palette import Palette
from benchassist.paint.stroke import hatch, pen, polygon, shape

# Alpha along the width: faint at the ends of the doubt, never blurred.
_FADE = ((0.0, 0.12), (0.28, 0.85), (0.72, 0.85), (1.0, 0.12))


@dataclass(frozen=True, slots=True, kw_only=True)
class Lozenge:
    """Where it lies in pixels; what falls outside `left` to `right` is cut off."""

    centre: float
    half_width: float
    middle: float
    half_height: float
    left: float
    right: float

    @property
    def ends(self) -> tuple[float, float]:
        """Its two points, after the cut."""
        return (
            max(self.left, self.centre - self.half_width),
            min(self.right, self.centre + self.half_width),
        )

    @property
    def path(self) -> QPainterPath:
        """Its outline, points at centre ± half width."""
        point = min(0.45 * self.half_width, 0.82 * self.half_height)
        start, end = self.centre - self.half_width, self.centre + self.half_width
        top, bottom = self.middle - self.half_height, self.middle + self.half_height
        whole = polygon(
            [
                (start, self.middle),
                (start + point, top),
                (end - point, top),
                (end, self.middle),
                (end - point, bottom),
                (start + point, bottom),
            ]
        )
        if start >= self.left and end <= self.right:
            return whole
        room = QPainterPath()
        room.addRect(QRectF(self.left, top, self.right - self.left, bottom - top))
        return whole.intersected(room)


def paint_lozenge(
    painter: QPainter,
    lozenge: Lozenge,
    verdict: Verdict,
    palette: Palette,
    *,
    hatch_gap: float,
) -> None:
    """Fill by verdict: a fading colour, a hatch where the meter cannot tell, outlined in print."""
    path = lozenge.path
    if verdict is Verdict.CANNOT_TELL:
        if palette.plain:
            shape(painter, path, fill=palette.paper)
        hatch(painter, path, palette.cannot_text, gap=hatch_gap, width=0.24 * hatch_gap)
        edge = 2.0 if lozenge.half_height > 20.0 else 1.6
        shape(painter, path, stroke=pen(palette.cannot_text, edge))
        return
    if palette.plain:
        shape(painter, path, fill=palette.paper, stroke=pen(palette.ink, 1.6))
        return
    start = lozenge.centre - lozenge.half_width
    end = lozenge.centre + lozenge.half_width
    fade = QLinearGradient(QPointF(start, 0.0), QPointF(end, 0.0))
    for stop, alpha in _FADE:
        color = QColor(palette.mark(verdict))
        color.setAlphaF(alpha)
        fade.setColorAt(stop, color)
    painter.fillPath(path, QBrush(fade))
    if verdict is Verdict.TOO_CLOSE:
        shape(painter, path, stroke=pen(palette.ink, 1.6))
