"""What a slip is made of once it is laid out: texts, rulers, signs and lines at their places.

Screen and paper lay the same content out differently; both are drawn here, once.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QImage, QPainter, QPainterPath

from benchassist.core.band import Side, Verdict
from benchassist.core.ruler import Ruler
from benchassist.core.run_plot import RunPlot
from benchassist.paint.glyph import paint_pencil, paint_verdict_glyph
from benchassist.paint.lettering import Style, draw, text_rect, wrap
from benchassist.paint.mini_ruler import paint_mini_ruler
from benchassist.paint.palette import Palette
from benchassist.paint.stroke import NO_BRUSH, ROUND, arrow, line, pen, shape
from benchassist.paint.tag_code import paint_tag_code


@dataclass(frozen=True, slots=True, kw_only=True)
class TextMark:
    """One line of text at `x`, aligned as its style says; dotted below where it was typed."""

    x: float
    baseline: float
    text: str
    style: Style
    dotted: bool = False

    @property
    def rect(self) -> QRectF:
        """What it takes."""
        return text_rect(self.x, self.baseline, self.style.width(self.text), self.style)

    def paint(self, painter: QPainter, palette: Palette) -> None:
        """Draw it."""
        draw(painter, self.x, self.baseline, self.text, self.style)
        if self.dotted:
            left, right = self.rect.left(), self.rect.right()
            y = self.baseline + 0.24 * self.style.px
            dots = pen(self.style.color, 2.0, cap=ROUND, dash=(0.1, 4.0))
            line(painter, (left, y), (right, y), dots)


@dataclass(frozen=True, slots=True, kw_only=True)
class RulerMark:
    """A mini ruler."""

    rect: QRectF
    ruler: Ruler

    def paint(self, painter: QPainter, palette: Palette) -> None:
        """Draw it."""
        paint_mini_ruler(painter, self.rect, self.ruler, palette)


@dataclass(frozen=True, slots=True, kw_only=True)
class GlyphMark:
    """A verdict's sign."""

    rect: QRectF
    verdict: Verdict
    side: Side | None

    def paint(self, painter: QPainter, palette: Palette) -> None:
        """Draw it."""
        paint_verdict_glyph(painter, self.rect, self.verdict, self.side, palette)


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoMark:
    """A photo in grey tones, whole, at the left of its room."""

    rect: QRectF
    data: bytes

    def paint(self, painter: QPainter, palette: Palette) -> None:
        """Draw it with a fine edge."""
        image = QImage.fromData(self.data)
        if image.isNull():
            return
        size = image.size().toSizeF()
        size.scale(self.rect.size(), Qt.AspectRatioMode.KeepAspectRatio)
        place = QRectF(self.rect.topLeft(), size)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.drawImage(place, image.convertToFormat(QImage.Format.Format_Grayscale8))
        painter.setPen(pen(palette.rule, 1.0))
        painter.setBrush(NO_BRUSH)
        painter.drawRect(place)


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleMark:
    """A line across, dashed under what is still in pencil."""

    left: float
    right: float
    y: float
    color: str
    width: float = 1.0
    dashed: bool = False

    @property
    def rect(self) -> QRectF:
        """What it takes."""
        return QRectF(self.left, self.y - self.width / 2.0, self.right - self.left, self.width)

    def paint(self, painter: QPainter, palette: Palette) -> None:
        """Draw it."""
        dash = (7.0, 4.0) if self.dashed else ()
        stroke = pen(self.color, self.width, dash=dash)
        line(painter, (self.left, self.y), (self.right, self.y), stroke)


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrowMark:
    """An arrow to the right, from before to after: the font has none."""

    left: float
    right: float
    y: float

    @property
    def rect(self) -> QRectF:
        """What it takes."""
        return QRectF(self.left, self.y - 6.0, self.right - self.left, 12.0)

    def paint(self, painter: QPainter, palette: Palette) -> None:
        """Draw it."""
        tail, tip = QPointF(self.left, self.y), QPointF(self.right, self.y)
        arrow(painter, tail, tip, palette.ink, width=3.0, head=10.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxMark:
    """A frame, or a filled square."""

    rect: QRectF
    filled: bool = False
    width: float = 2.0

    def paint(self, painter: QPainter, palette: Palette) -> None:
        """Draw it."""
        path = QPainterPath()
        path.addRect(self.rect)
        if self.filled:
            shape(painter, path, fill=palette.ink)
        else:
            shape(painter, path, stroke=pen(palette.ink, self.width))


@dataclass(frozen=True, slots=True, kw_only=True)
class PencilMark:
    """The pencil beside a line that is not on disk yet."""

    rect: QRectF

    def paint(self, painter: QPainter, palette: Palette) -> None:
        """Draw it."""
        paint_pencil(painter, self.rect, palette.ink, palette.paper)


@dataclass(frozen=True, slots=True, kw_only=True)
class TagCodeMark:
    """The machine's tag as a square code."""

    rect: QRectF
    payload: str

    def paint(self, painter: QPainter, palette: Palette) -> None:
        """Draw it."""
        paint_tag_code(painter, self.rect, self.payload)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlotMark:
    """A run's plot, in design units of its own size."""

    rect: QRectF
    plot: RunPlot

    def paint(self, painter: QPainter, palette: Palette) -> None:
        """Draw it."""
        # The first paint of the window shows a slip without plots, and must not wait for numpy.
        from benchassist.paint.run_plot import draw_run_plot

        draw_run_plot(painter, self.rect, self.plot, palette)


Mark = (
    TextMark
    | RulerMark
    | GlyphMark
    | RuleMark
    | ArrowMark
    | BoxMark
    | PhotoMark
    | PencilMark
    | TagCodeMark
    | PlotMark
)


@dataclass(frozen=True, slots=True)
class Block:
    """Marks that stand together, from y = 0 down to `height`."""

    height: float
    marks: tuple[Mark, ...] = ()

    def paint(self, painter: QPainter, palette: Palette) -> None:
        """Draw every mark at the painter's origin."""
        for mark in self.marks:
            mark.paint(painter, palette)


def stack(blocks: Iterable[Block]) -> tuple[tuple[float, Block], ...]:
    """The blocks one under the other, each with the y it starts at."""
    placed: list[tuple[float, Block]] = []
    y = 0.0
    for block in blocks:
        placed.append((y, block))
        y += block.height
    return tuple(placed)


def paragraph(
    text: str,
    style: Style,
    *,
    x: float,
    baseline: float,
    width: float,
    leading: float,
    lead: tuple[str, Style] | None = None,
) -> tuple[tuple[TextMark, ...], float]:
    """A text wrapped to `width` after an optional lead word; the marks and the last baseline."""
    marks: list[TextMark] = []
    indent = 0.0
    if lead is not None and lead[0]:
        word, lead_style = lead
        marks.append(TextMark(x=x, baseline=baseline, text=word, style=lead_style))
        indent = lead_style.width(word) + style.width(" ")
    rows = wrap(text, width, style, indent=indent)
    for row, shown in enumerate(rows):
        if shown:
            at = x + (indent if row == 0 else 0.0)
            marks.append(TextMark(x=at, baseline=baseline + row * leading, text=shown, style=style))
    return tuple(marks), baseline + max(0, len(rows) - 1) * leading
