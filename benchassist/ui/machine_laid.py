"""The legend of runs laid over each other: how each line is drawn, its day, what it found."""

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QMouseEvent, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.glyph import paint_verdict_glyph
from benchassist.paint.palette import Palette
from benchassist.paint.run_trace import LINE, earlier_pen
from benchassist.paint.stroke import line, pen
from benchassist.services.record.machine_file_view import LaidRun
from benchassist.services.translation import _
from benchassist.ui.lettering import RIGHT, Style, paragraph, row
from benchassist.ui.machine_rows import SLACK
from benchassist.ui.panel import paint_chosen, paint_panel
from benchassist.ui.part import Part

ROW = 50.0
SAMPLE = 44.0


class RunLegend(Part[tuple[LaidRun, ...]]):
    """As many runs as fit, the strong one among them."""

    chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__((), parent)

    def words(self) -> str:
        """Every run: its day, what it found, its verdict."""
        return ". ".join(
            " ".join(t for t in (one.day_text, one.words, one.doubt, one.verdict_text) if t)
            for one in self.value
        )

    @property
    def in_view(self) -> tuple[LaidRun, ...]:
        """The runs that fit."""
        fits = max(1, int((self.height() / self.look.s - 8.0) / ROW + SLACK))
        here = next((i for i, one in enumerate(self.value) if one.selected), 0)
        first = min(max(0, len(self.value) - fits), here)
        return self.value[first : first + fits]

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Row by row."""
        paint_panel(painter, room, palette)
        shown = self.in_view
        hidden = len(self.value) - len(shown)
        for i, one in enumerate(shown):
            _paint_run(painter, QRectF(0.0, 4.0 + i * ROW, room.width(), ROW), one, palette)
        if hidden:
            where = QRectF(0.0, room.bottom() - 20.0, room.width() - 14.0, 18.0)
            style = Style(px=15, weight=500, color=palette.dim, align=RIGHT)
            row(painter, where, _("{n} more").format(n=hidden), style)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A click makes that run the strong one."""
        place = int((event.position().y() / self.look.s - 4.0) // ROW)
        shown = self.in_view
        if event.button() == Qt.MouseButton.LeftButton and 0 <= place < len(shown):
            self.chosen.emit(shown[place].run_id)


def _paint_run(painter: QPainter, room: QRectF, one: LaidRun, palette: Palette) -> None:
    """Its line, its day, what it found, its verdict."""
    if one.selected:
        paint_chosen(painter, room, palette)
    y, x = room.center().y(), 18.0
    stroke = pen(palette.ink, LINE + 1.0) if one.selected else earlier_pen(palette, one.dash)
    line(painter, (x, y), (x + SAMPLE, y), stroke)
    x += SAMPLE + 14.0
    day = Style(px=20, weight=700, color=palette.ink)
    row(painter, QRectF(x, room.top(), 126.0, room.height()), one.day_text, day, least=13)
    x += 138.0
    right = room.right() - 16.0
    wide = right - x
    verdict = 0.34 * wide if one.verdict_text else 0.0
    if one.verdict is not None and one.verdict_text:
        sign = QRectF(right - verdict, y - 9.0, 43.0, 18.0)
        paint_verdict_glyph(painter, sign, one.verdict, one.side, palette)
    if one.verdict_text:
        left = right - verdict + (52.0 if one.verdict is not None else 0.0)
        style = Style(px=19, weight=700, color=palette.text(one.verdict))
        where = QRectF(left, room.top() + 3.0, right - left, room.height() - 6.0)
        paragraph(painter, where, one.verdict_text, style, least=13, upright=0.5)
    words = " ".join(t for t in (one.words, one.doubt) if t)
    if words != one.verdict_text:
        said = QRectF(x, room.top() + 3.0, wide - verdict - 14.0, room.height() - 6.0)
        style = Style(px=19, weight=500, color=palette.ink)
        paragraph(painter, said, words, style, least=13, upright=0.5)
