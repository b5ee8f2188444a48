"""Tags on a page of labels, drawn in millimetres: the square code, what is typed, what machine."""

from bisect import bisect_left
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter, QPen

from benchassist.core.label_stock import LabelPage, LabelPlace, LabelStock, TagJob, place_of
from benchassist.core.tag import Tag
from benchassist.paint.lettering import Style, draw, wrap
from benchassist.paint.tag_code import QUIET_MODULES, paint_tag_code, tag_modules

UNITS_PER_MM = 20
"""Text is set in whole units, so they are fine ones."""
LEAST_TEXT: Final = 50
"""2.5 mm, about 7 points: smaller print is lost under oil."""
_CODE_MOST: Final = 160
_WORDS_MOST: Final = 80
_PADDING_MM: Final = 1.5
_GAP_MM: Final = 0.5
_PRINTABLE_MM: Final = 5.0
"""What an office printer leaves blank along the edges of a sheet."""
_MODULE_MM: Final = 0.125
"""A dot of a label printer of 8 dots a millimetre: modules are whole dots."""
_MODULE_MOST_MM: Final = 0.75
_CODE_SHARE: Final = 0.5
_LEADING: Final = 1.12


@dataclass(frozen=True, slots=True)
class TagLayout:
    """Rectangles on a label in millimetres, and rows of text with their size in units.

    `square` is the code without the quiet zone; `module_mm` is the width of one module.
    """

    square: QRectF
    module_mm: float
    text: QRectF
    code_rows: tuple[str, ...]
    code_px: int
    word_rows: tuple[str, ...]
    word_px: int


def lay_out_tag(stock: LabelStock, place: LabelPlace, tag: Tag) -> TagLayout:
    """Where everything of a tag goes. The code is never cut; words that do not fit are left out."""
    label = QRectF(place.x_mm, place.y_mm, stock.width_mm, stock.height_mm)
    inner = _inner(stock, label)
    modules = len(tag_modules(tag.payload))
    whole = modules + 2 * QUIET_MODULES
    room = min(
        label.height() / whole,
        inner.height() / modules,
        _CODE_SHARE * label.width() / whole,
        _MODULE_MOST_MM,
    )
    module = int(room / _MODULE_MM + 1e-9) * _MODULE_MM
    side, quiet = modules * module, QUIET_MODULES * module
    left = max(inner.left(), label.left() + quiet)
    square = QRectF(left, label.center().y() - side / 2, side, side)
    square.moveTop(min(max(square.top(), inner.top()), inner.bottom() - side))
    text = QRectF(inner)
    text.setLeft(square.right() + quiet + _GAP_MM)
    wide, high = text.width() * UNITS_PER_MM, text.height() * UNITS_PER_MM
    code_rows, code_px = _rows_of(tag.code, wide, high, most=_CODE_MOST, weight=800)
    left_over = high - len(code_rows) * code_px * _LEADING
    words = tag.words if left_over >= LEAST_TEXT * _LEADING else ""
    word_rows, word_px = _words_of(words, wide, left_over)
    return TagLayout(square, module, text, code_rows, code_px, word_rows, word_px)


def _inner(stock: LabelStock, label: QRectF) -> QRectF:
    """What of a label can be printed on."""
    inner = label.adjusted(_PADDING_MM, _PADDING_MM, -_PADDING_MM, -_PADDING_MM)
    if not stock.is_sheet:
        return inner
    page = QRectF(0.0, 0.0, stock.page_width_mm, stock.page_height_mm)
    edge = _PRINTABLE_MM
    return inner.intersected(page.adjusted(edge, edge, -edge, -edge))


def _rows_of(
    code: str, wide: float, high: float, *, most: int, weight: int
) -> tuple[tuple[str, ...], int]:
    """The code as large as fits: in one row where that is readable, else in as few as it needs."""
    style = Style(px=LEAST_TEXT, weight=weight, color="#000000")
    sizes = range(LEAST_TEXT, most + 1)
    fitting = bisect_left(sizes, True, key=lambda px: not _fits(code, px, wide, style))
    if fitting:
        return (code,), min(sizes[fitting - 1], int(high / _LEADING))
    return wrap(code, wide, style), LEAST_TEXT


def _fits(text: str, px: int, wide: float, style: Style) -> bool:
    return style.sized(px).width(text) <= wide


def _words_of(words: str, wide: float, high: float) -> tuple[tuple[str, ...], int]:
    """The words in at most two rows, as large as they go in whole; elided at the least size."""
    style = Style(px=LEAST_TEXT, weight=500, color="#000000")
    for px in range(_WORDS_MOST, LEAST_TEXT - 1, -2):
        rows = wrap(words, wide, style.sized(px))
        whole = " ".join(rows) == " ".join(words.split())
        if whole and len(rows) <= 2 and len(rows) * px * _LEADING <= high:
            return rows, px
    lines = min(2, int(high / (LEAST_TEXT * _LEADING)))
    return wrap(words, wide, style, lines=lines) if lines else (), LEAST_TEXT


def paint_tag(painter: QPainter, stock: LabelStock, place: LabelPlace, tag: Tag) -> None:
    """One tag at its place; the painter's unit is the millimetre."""
    layout = lay_out_tag(stock, place, tag)
    paint_tag_code(painter, layout.square, tag.payload)
    painter.save()
    painter.scale(1.0 / UNITS_PER_MM, 1.0 / UNITS_PER_MM)
    left, middle = layout.text.left() * UNITS_PER_MM, layout.text.center().y() * UNITS_PER_MM
    blocks = ((layout.code_rows, layout.code_px, 800), (layout.word_rows, layout.word_px, 500))
    high = sum(len(rows) * px * _LEADING for rows, px, _weight in blocks)
    y = middle - high / 2
    for rows, px, weight in blocks:
        style = Style(px=px, weight=weight, color="#000000")
        for row in rows:
            draw(painter, left, y + 0.8 * px, row, style)
            y += px * _LEADING
    painter.restore()


def paint_tag_page(painter: QPainter, stock: LabelStock, page: LabelPage) -> None:
    """One page; the painter's unit is the millimetre. Nothing but its tags is drawn."""
    for place, tag in page:
        paint_tag(painter, stock, place, tag)


def paint_label_edges(painter: QPainter, job: TagJob, color: str) -> None:
    """The edges of the first page's labels, for a preview; those used before are crossed out."""
    painter.save()
    pen = QPen(QColor(color))
    pen.setCosmetic(True)
    painter.setPen(pen)
    for position in range(1, job.stock.count + 1):
        place = place_of(job.stock, position)
        label = QRectF(place.x_mm, place.y_mm, job.stock.width_mm, job.stock.height_mm)
        painter.drawRect(label)
        if position < job.start:
            painter.drawLine(label.topLeft(), label.bottomRight())
            painter.drawLine(label.bottomLeft(), label.topRight())
    painter.restore()
