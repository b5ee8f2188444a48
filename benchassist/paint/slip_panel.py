"""The slip beside the bench: paper with a torn edge on kraft, filling in line by line."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter, QPainterPath

from benchassist.core.slip import Line
from benchassist.paint.lettering import RIGHT, SMALLEST, Style, fit
from benchassist.paint.palette import Palette
from benchassist.paint.slip_line import screen_line
from benchassist.paint.slip_mark import (
    Block,
    BoxMark,
    Mark,
    RuleMark,
    TextMark,
    paragraph,
    stack,
)
from benchassist.paint.stroke import design, shape

WIDTH, HEIGHT = 492.0, 664.0
SURROUND = 24.0
INSET = 22.0
PAPER_TOP = 26.0
TOOTH_WIDTH, TOOTH_HEIGHT = 24.0, 8.0
_HEAD_TOP = 49.0
_FOOT = 24.0


class Head(Protocol):
    """The top of the slip."""

    @property
    def title(self) -> str:
        """Job slip and number."""

    @property
    def date_text(self) -> str:
        """Date and visit."""

    @property
    def customer(self) -> str:
        """Whose machine."""

    @property
    def unit_text(self) -> str:
        """What machine."""

    @property
    def engine_text(self) -> str:
        """What engine."""

    @property
    def said(self) -> str:
        """The complaint in the customer's words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A part below the lines: a title and its sentences; `solid` boxes for what is proved."""

    title: str
    texts: tuple[str, ...] = ()
    solid: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """Everything on the slip beside the bench. `current` is the index of the line at work."""

    head: Head
    found_title: str
    found_hint: str
    lines: Sequence[Line]
    current: int | None = None
    sections: tuple[Section, ...] = ()


@dataclass(frozen=True, slots=True)
class SheetLayout:
    """A laid-out slip in design units of the panel, unscrolled: y = 0 is the panel's top.

    `rows` holds the rectangle of every line, in order; `height` is where the slip ends.
    """

    placed: tuple[tuple[float, Block], ...]
    rows: tuple[QRectF, ...]
    height: float
    width: float

    def scroll_for(self, row: int | None, view: float, scroll: float = 0.0) -> float:
        """The least change of `scroll` that shows a line with its neighbours in a view that high.

        Never beyond the end of the slip; unchanged where there is no such line.
        """
        most = max(0.0, self.height - view)
        if row is not None and 0 <= row < len(self.rows):
            rect = self.rows[row]
            above = PAPER_TOP + 8.0 if row > 0 else rect.top()
            below = self.rows[row + 1].height() if row + 1 < len(self.rows) else _FOOT
            scroll = max(scroll, rect.bottom() + below - view)
            scroll = min(scroll, rect.top() - above)
        return min(most, max(0.0, scroll))


def lay_out_sheet(sheet: Sheet, width: float, palette: Palette) -> SheetLayout:
    """The slip for a panel `width` units wide (492 as designed)."""
    column = width - 2.0 * (SURROUND + INSET)
    head = _head(sheet, column, palette)
    lines = [screen_line(line, column, palette) for line in sheet.lines]
    sections = [_section(section, column, palette) for section in sheet.sections]
    placed = tuple((_HEAD_TOP + y, block) for y, block in stack([head, *lines, *sections]))
    rows = tuple(
        QRectF(SURROUND, y, width - 2.0 * SURROUND, block.height)
        for y, block in placed[1 : 1 + len(lines)]
    )
    y, last = placed[-1]
    return SheetLayout(placed, rows, y + last.height + _FOOT, width)


def paint_slip_panel(
    painter: QPainter,
    rect: QRectF,
    sheet: Sheet,
    palette: Palette,
    *,
    scroll: float = 0.0,
    scale: float = 1.0,
) -> tuple[QRectF, ...]:
    """The panel in `rect`, `scale` painter units to a design unit, moved up by `scroll` units.

    Returns where each line stands, in painter units, also those scrolled out of `rect`.
    """
    layout = lay_out_sheet(sheet, rect.width() / scale, palette)
    paint_sheet_layout(painter, rect, layout, palette, scroll=scroll, scale=scale)
    return tuple(
        QRectF(
            rect.left() + scale * row.left(),
            rect.top() + scale * (row.top() - scroll),
            scale * row.width(),
            scale * row.height(),
        )
        for row in layout.rows
    )


def paint_sheet_layout(
    painter: QPainter,
    rect: QRectF,
    layout: SheetLayout,
    palette: Palette,
    *,
    scroll: float = 0.0,
    scale: float = 1.0,
) -> None:
    """Draw what `lay_out_sheet` made: only the blocks that show."""
    with design(painter, rect, scale) as room:
        painter.setClipRect(room)
        painter.fillRect(room, QColor(palette.kraft))
        painter.translate(0.0, -scroll)
        _paint_paper(painter, layout, max(layout.height, scroll + room.height()), palette)
        painter.translate(SURROUND + INSET, 0.0)
        for y, block in layout.placed:
            if y + block.height >= scroll and y <= scroll + room.height():
                painter.save()
                painter.translate(0.0, y)
                block.paint(painter, palette)
                painter.restore()


def _paint_paper(painter: QPainter, layout: SheetLayout, bottom: float, palette: Palette) -> None:
    """The paper with its torn upper edge, and the flat shadow three units off it."""
    left, right = SURROUND, layout.width - SURROUND
    path = QPainterPath()
    path.moveTo(left, PAPER_TOP + TOOTH_HEIGHT)
    x, up = left, True
    while x < right:
        x = min(right, x + TOOTH_WIDTH / 2.0)
        path.lineTo(x, PAPER_TOP if up else PAPER_TOP + TOOTH_HEIGHT)
        up = not up
    path.lineTo(right, bottom + 10.0)
    path.lineTo(left, bottom + 10.0)
    path.closeSubpath()
    shadow = QColor(palette.kraft).darker(116).name()
    shape(painter, path.translated(3.0, 3.0), fill=shadow)
    shape(painter, path, fill=palette.paper)


def _head(sheet: Sheet, width: float, palette: Palette) -> Block:
    """Title, customer, machine, complaint, and the heading of the lines."""
    head = sheet.head
    date = Style(px=SMALLEST, color=palette.dim, align=RIGHT)
    date_text, date = fit(head.date_text, 0.45 * width, date)
    y = 22.0
    title = Style(px=22, weight=800, color=palette.ink)
    shown, title = fit(head.title, width - date.width(date_text) - 12.0, title)
    marks: list[Mark] = [
        TextMark(x=0.0, baseline=y, text=shown, style=title),
        TextMark(x=width, baseline=y - 1.0, text=date_text, style=date),
    ]
    customer = Style(px=18, weight=700, color=palette.ink)
    small = Style(px=SMALLEST, color=palette.dim)
    said = Style(px=16, color=palette.ink)
    for text, style, before in (
        (head.customer, customer, 25.0),
        (head.unit_text, small, 21.0),
        (head.engine_text, small, 20.0),
        (head.said, said, 27.0),
    ):
        if text:
            leading = style.px + 4.0
            rows, y = paragraph(
                text, style, x=0.0, baseline=y + before, width=width, leading=leading
            )
            marks += rows
    y += 31.0
    found = Style(px=16, weight=700, color=palette.ink)
    marks.append(TextMark(x=0.0, baseline=y, text=sheet.found_title, style=found))
    hint, fitted = fit(
        sheet.found_hint, width - found.width(sheet.found_title) - 16.0, replace(small, align=RIGHT)
    )
    marks.append(TextMark(x=width, baseline=y, text=hint, style=fitted))
    y += 9.0
    marks.append(RuleMark(left=0.0, right=width, y=y, color=palette.ink, width=2.0))
    return Block(y, tuple(marks))


def _section(section: Section, width: float, palette: Palette) -> Block:
    """A title over a rule, dim while nothing stands under it."""
    filled = bool(section.texts)
    style = Style(px=16, weight=700, color=palette.ink if filled else palette.dim)
    marks: list[Mark] = [TextMark(x=0.0, baseline=26.0, text=section.title, style=style)]
    color = palette.ink if filled else palette.rule
    marks.append(RuleMark(left=0.0, right=width, y=35.0, color=color, width=2.0))
    y = 37.0
    text_style = Style(px=16, color=palette.ink)
    for text in section.texts:
        first = y + 21.0
        square = QRectF(1.0, first - 10.5, 9.0, 9.0)
        marks.append(BoxMark(rect=square, filled=section.solid, width=1.8))
        rows, y = paragraph(
            text, text_style, x=20.0, baseline=first, width=width - 20.0, leading=20.0
        )
        marks += rows
    return Block(y + (8.0 if filled else 0.0), tuple(marks))
