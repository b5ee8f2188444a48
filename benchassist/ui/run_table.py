"""Rows of an engine run, a generator or a tank: label, figures, each with its ruler."""

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from benchassist.core.band import Verdict
from benchassist.paint.mini_ruler import paint_mini_ruler
from benchassist.paint.palette import Palette
from benchassist.paint.stroke import line, pen
from benchassist.services.runs.view import Cell, Table
from benchassist.ui.lettering import RIGHT, Style, row, runs
from benchassist.ui.part import Part
from benchassist.ui.run_layout import TABLE_HEAD, TABLE_ROW

LABEL_WIDTH = 74.0
FIGURE_WIDTH = 112.0
RULER = 128.0
MOST_ROWS = 4


def shown_rows(table: Table) -> int:
    """How many rows have room; the latest show."""
    return min(len(table.rows), MOST_ROWS)


class RunTable(Part[Table]):
    """The latest rows under their headings."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Table(), parent)

    def words(self) -> str:
        """Every row, cell by cell."""
        said = []
        for label, cells in self.value.rows:
            pairs = zip(self.value.headings, cells, strict=False)
            said.append(
                f"{label}: " + ", ".join(f"{h} {c.text} {c.unit}".strip() for h, c in pairs)
            )
        return ". ".join(said)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Headings, a line, rows."""
        table = self.value
        if not table.headings:
            return
        columns = len(table.headings)
        wide = (room.width() - LABEL_WIDTH) / columns
        head = Style(px=17, weight=700, color=palette.ink)
        for i, heading in enumerate(table.headings):
            place = QRectF(LABEL_WIDTH + i * wide, 0, wide - 10, TABLE_HEAD - 4)
            row(painter, place, heading, head, least=12)
        line(painter, (0, TABLE_HEAD), (room.width(), TABLE_HEAD), pen(palette.ink, 2.0))
        for i, (label, cells) in enumerate(table.rows[-shown_rows(table) :]):
            y = TABLE_HEAD + i * TABLE_ROW
            name = Style(px=18, weight=800, color=palette.ink)
            row(painter, QRectF(0, y, LABEL_WIDTH - 6, TABLE_ROW), label, name, least=12)
            for j, cell in enumerate(cells[:columns]):
                place = QRectF(LABEL_WIDTH + j * wide, y, wide - 10, TABLE_ROW)
                _paint_cell(painter, place, cell, palette)
            below = y + TABLE_ROW
            line(painter, (0, below), (room.width(), below), pen(palette.rule, 1.0))


def _paint_cell(painter: QPainter, room: QRectF, cell: Cell, palette: Palette) -> None:
    """The figure right-aligned before its ruler; the ruler only where there is a band."""
    out = cell.verdict is Verdict.OUT_OF_BAND
    colour = palette.out_text if out else palette.ink
    figure = QRectF(room.left(), room.top(), min(FIGURE_WIDTH, room.width()), room.height())
    if cell.ruler is None:
        figure = room
    value = Style(px=20, weight=800, color=colour)
    unit = Style(px=17, weight=400, color=palette.dim)
    align = RIGHT if cell.ruler is not None else 0.0
    tail = f" {cell.unit}" if cell.unit else ""
    runs(painter, figure, ((cell.text, value), (tail, unit)), align=align, least=13)
    left = figure.right() + 12.0
    if cell.ruler is not None and room.right() - left > 50.0:
        wide = min(RULER, room.right() - left)
        place = QRectF(left, room.center().y() - 10, wide, 20)
        paint_mini_ruler(painter, place, cell.ruler, palette)
