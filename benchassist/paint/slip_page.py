"""A slip as one printed page, A4 or Letter: black on white, every line and word of it.

Laid out in units of 1/150 inch. What does not fit is set tighter, then smaller, never left out.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from benchassist.core.slip import Paper, Slip
from benchassist.paint.lettering import RIGHT, Style, fit, wrap
from benchassist.paint.palette import PRINT, Palette
from benchassist.paint.slip_mark import (
    Block,
    BoxMark,
    Mark,
    RuleMark,
    TagCodeMark,
    TextMark,
    paragraph,
    stack,
)
from benchassist.paint.slip_row import Columns, found_row, pair_row
from benchassist.paint.stroke import design

UNITS_PER_INCH = 150.0
SHEETS = {Paper.A4: (1240.0, 1754.0), Paper.LETTER: (1275.0, 1650.0)}
MARGIN = 60.0
TAG_CODE = 132.0
# The quiet zone of the coarsest code, four modules of 21.
_QUIET = 27.0


@dataclass(frozen=True, slots=True)
class Spacing:
    """How far apart things stand, in units."""

    row: float
    pair: float
    section: float
    leading: float


SPACINGS = (
    Spacing(row=41.0, pair=57.0, section=36.0, leading=27.0),
    Spacing(row=38.0, pair=54.0, section=33.0, leading=26.0),
    Spacing(row=35.0, pair=51.0, section=30.0, leading=25.0),
    Spacing(row=32.0, pair=48.0, section=27.0, leading=24.0),
)
_SHRINK = 0.97


@dataclass(frozen=True, slots=True)
class Page:
    """A laid-out page: blocks with the y each starts at, and the scale that makes them fit."""

    placed: tuple[tuple[float, Block], ...]
    width: float
    height: float
    scale: float

    @property
    def texts(self) -> tuple[str, ...]:
        """Every text on it, in order."""
        marks = (mark for _, block in self.placed for mark in block.marks)
        return tuple(mark.text for mark in marks if isinstance(mark, TextMark))


def lay_out_page(slip: Slip, paper: Paper) -> Page:
    """The page at the widest spacing that fits the sheet; shrunk as a whole if none does."""
    sheet_width, sheet_height = SHEETS[paper]
    width, height = sheet_width - 2.0 * MARGIN, sheet_height - 2.0 * MARGIN
    scale = 1.0
    page = _page(slip, SPACINGS[0], width, scale)
    for spacing in SPACINGS[1:]:
        if page.height <= height:
            return page
        page = _page(slip, spacing, width, scale)
    while page.height * scale > height:
        scale *= _SHRINK
        page = _page(slip, SPACINGS[-1], width / scale, scale)
    return page


def paint_slip_page(painter: QPainter, rect: QRectF, slip: Slip, paper: Paper = Paper.A4) -> Page:
    """The whole sheet, margins and all, into `rect`; returns what was laid out."""
    page = lay_out_page(slip, paper)
    with design(painter, rect, rect.width() / SHEETS[paper][0]):
        painter.translate(MARGIN, MARGIN)
        painter.scale(page.scale, page.scale)
        for y, block in page.placed:
            painter.save()
            painter.translate(0.0, y)
            block.paint(painter, PRINT)
            painter.restore()
    return page


def _page(slip: Slip, spacing: Spacing, width: float, scale: float) -> Page:
    placed = stack(_blocks(slip, spacing, width, PRINT))
    y, last = placed[-1]
    return Page(placed, width, y + last.height, scale)


def _blocks(slip: Slip, spacing: Spacing, width: float, palette: Palette) -> Iterator[Block]:
    """The page from top to bottom. Plots of runs will stand between what was done and proved."""
    columns = Columns(width)
    yield _heading(slip, width, palette)
    yield from _said(slip, spacing, width, palette)
    yield _title(slip.found_title, slip.found_hint, spacing, width, palette=palette)
    for found in slip.lines:
        yield found_row(found, columns, palette, height=spacing.row)
    if slip.pairs:
        yield _title(slip.did_title, slip.did_hint, spacing, width, palette=palette)
        for pair in slip.pairs:
            tall = spacing.pair if pair.ruler is not None else spacing.row + 4.0
            yield pair_row(pair, columns, palette, height=tall)
    yield _proved(slip, spacing, width, palette)
    yield from _care(slip, spacing, width, palette)
    yield from _conditions(slip, spacing, width, palette)


def _heading(slip: Slip, width: float, palette: Palette) -> Block:
    """Title, shop, customer and machine at the left; tag and its code at the right."""
    marks: list[Mark] = []
    right = width
    if slip.tag_payload:
        marks.append(
            TagCodeMark(
                rect=QRectF(width - TAG_CODE, 0.0, TAG_CODE, TAG_CODE), payload=slip.tag_payload
            )
        )
        right -= TAG_CODE + _QUIET
    tag_width = 0.0
    if slip.tag:
        style = Style(px=23, weight=800, color=palette.ink, align=RIGHT)
        text, style = fit(slip.tag, 0.3 * width, style)
        hint_style = Style(px=17, color=palette.ink, align=RIGHT)
        hint = wrap(slip.tag_hint, 190.0, hint_style)
        baseline = TAG_CODE - 8.0 - 23.0 * len(hint)
        marks.append(TextMark(x=right, baseline=baseline, text=text, style=style))
        tag_width = style.width(text)
        for row, shown in enumerate(hint, start=1):
            mark = TextMark(x=right, baseline=baseline + 24.0 * row, text=shown, style=hint_style)
            marks.append(mark)
            tag_width = max(tag_width, mark.rect.width())
    room = right - tag_width - 24.0
    y = 30.0
    title = Style(px=34, weight=800, color=palette.ink)
    shown, title = fit(slip.title, room, title)
    marks.append(TextMark(x=0.0, baseline=y, text=shown, style=title))
    if slip.draft_text:
        draft = Style(px=18, weight=700, color=palette.ink)
        left = title.width(shown) + 30.0
        words, draft = fit(slip.draft_text, room - left - 24.0, draft)
        frame = QRectF(left - 12.0, y - 27.0, draft.width(words) + 24.0, 34.0)
        marks.append(BoxMark(rect=frame))
        marks.append(TextMark(x=left, baseline=y - 4.0, text=words, style=draft))
    plain = Style(px=19, color=palette.ink)
    machine = " · ".join(text for text in (slip.unit_text, slip.engine_text) if text)
    subtitle = slip.subtitle
    if slip.date_text and slip.date_text not in subtitle:
        subtitle = " · ".join(text for text in (subtitle, slip.date_text) if text)
    for text, style, before in (
        (subtitle, plain, 35.0),
        (slip.customer, Style(px=24, weight=800, color=palette.ink), 40.0),
        (machine, plain, 30.0),
    ):
        if not text:
            continue
        y += before
        rows, y = paragraph(text, style, x=0.0, baseline=y, width=room, leading=25.0)
        marks += rows
    return Block(max(TAG_CODE + 8.0 if slip.tag_payload else 0.0, y + 8.0), tuple(marks))


def _said(slip: Slip, spacing: Spacing, width: float, palette: Palette) -> Iterator[Block]:
    """What the customer said and the visit in short, framed."""
    bold, plain = Style(px=21, weight=800, color=palette.ink), Style(px=21, color=palette.ink)
    marks: list[Mark] = []
    top = spacing.section * 0.6
    y = top
    for label, text in ((slip.said_label, slip.said), (slip.in_short_label, slip.in_short)):
        if not text:
            continue
        rows, y = paragraph(
            text,
            plain,
            x=20.0,
            baseline=y + spacing.leading + 3.0,
            width=width - 40.0,
            leading=spacing.leading + 1.0,
            lead=(label, bold),
        )
        marks += rows
    if marks:
        bottom = y + 0.62 * spacing.leading
        frame = BoxMark(rect=QRectF(1.0, top, width - 2.0, bottom - top), width=2.4)
        yield Block(bottom, (frame, *marks))


def _title(title: str, hint: str, spacing: Spacing, width: float, *, palette: Palette) -> Block:
    """A section's title with its key to the signs, over a thick rule."""
    baseline = spacing.section
    style = Style(px=22, weight=800, color=palette.ink)
    marks: list[Mark] = [TextMark(x=0.0, baseline=baseline, text=title, style=style)]
    small = Style(px=17, color=palette.ink, align=RIGHT)
    shown, small = fit(hint, width - style.width(title) - 30.0, small)
    marks.append(TextMark(x=width, baseline=baseline, text=shown, style=small))
    y = baseline + 14.0
    rule = RuleMark(left=0.0, right=width, y=y, color=palette.ink, width=3.0)
    return Block(y + 1.5, (*marks, rule))


def _proved(slip: Slip, spacing: Spacing, width: float, palette: Palette) -> Block:
    """What is proved beside what is not, each sentence with its box."""
    gutter = 40.0
    column = (width - gutter) / 2.0
    marks: list[Mark] = []
    bottom = 0.0
    for index, (title, texts) in enumerate(
        ((slip.proved_title, slip.proved), (slip.not_proved_title, slip.not_proved))
    ):
        left = index * (column + gutter)
        heading = Style(px=22, weight=800, color=palette.ink)
        marks.append(TextMark(x=left, baseline=spacing.section, text=title, style=heading))
        y = spacing.section + 14.0
        marks.append(RuleMark(left=left, right=left + column, y=y, color=palette.ink, width=3.0))
        style = Style(px=19, color=palette.ink)
        y += 3.0
        for text in texts:
            first = y + spacing.leading
            square = QRectF(left + 4.0, first - 12.0, 11.0, 11.0)
            marks.append(BoxMark(rect=square, filled=index == 0))
            rows, y = paragraph(
                text,
                style,
                x=left + 26.0,
                baseline=first,
                width=column - 26.0,
                leading=spacing.leading - 2.0,
            )
            marks += rows
        bottom = max(bottom, y)
    return Block(bottom + 10.0, tuple(marks))


def _care(slip: Slip, spacing: Spacing, width: float, palette: Palette) -> Iterator[Block]:
    if not slip.care:
        return
    y = 0.4 * spacing.section
    rule = RuleMark(left=0.0, right=width, y=y, color=palette.ink, width=2.4)
    rows, y = paragraph(
        slip.care,
        Style(px=19, color=palette.ink),
        x=0.0,
        baseline=y + spacing.leading,
        width=width,
        leading=spacing.leading - 1.0,
        lead=(slip.care_label, Style(px=19, weight=800, color=palette.ink)),
    )
    yield Block(y + 8.0, (rule, *rows))


def _conditions(slip: Slip, spacing: Spacing, width: float, palette: Palette) -> Iterator[Block]:
    """What the figures stand on: meter, ranges, leads, temperature."""
    if not slip.conditions:
        return
    y = 0.5 * spacing.section
    marks: list[Mark] = [RuleMark(left=0.0, right=width, y=y, color=palette.rule)]
    style = Style(px=16, color=palette.ink)
    for text in slip.conditions:
        rows, y = paragraph(text, style, x=0.0, baseline=y + 22.0, width=width, leading=21.0)
        marks += rows
    yield Block(y + 6.0, tuple(marks))
