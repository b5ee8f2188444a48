"""A slip as one printed page, A4 or Letter: black on white, every line and word of it.

Laid out in units of 1/150 inch. What does not fit is set tighter, then smaller, never left out;
but for plots of runs, which become lower, and then words that say where they are, and for photos,
which go first.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from benchassist.core.slip import Paper, Slip
from benchassist.paint import slip_photo
from benchassist.paint.lettering import RIGHT, Style, fit
from benchassist.paint.palette import PRINT, Palette
from benchassist.paint.slip_head import Spacing, heading, said
from benchassist.paint.slip_mark import (
    Block,
    BoxMark,
    Mark,
    RuleMark,
    TextMark,
    paragraph,
    stack,
)
from benchassist.paint.slip_photo import photo_block
from benchassist.paint.slip_plot import LEAST, TALLEST, plot_blocks, plot_rows
from benchassist.paint.slip_row import Columns, found_row, pair_row
from benchassist.paint.stroke import design

UNITS_PER_INCH = 150.0
SHEETS = {Paper.A4: (1240.0, 1754.0), Paper.LETTER: (1275.0, 1650.0)}
MARGIN = 60.0


SPACINGS = (
    Spacing(row=41.0, pair=57.0, section=36.0, leading=27.0),
    Spacing(row=38.0, pair=54.0, section=33.0, leading=26.0),
    Spacing(row=35.0, pair=51.0, section=30.0, leading=25.0),
    Spacing(row=32.0, pair=48.0, section=27.0, leading=24.0),
)
_SHRINK = 0.97
PLOT_SCALES = (0.97, 0.94, 0.91, 0.88)
"""How much smaller the words are set, and no more, for a plot to have room."""


@dataclass(frozen=True, slots=True)
class Setting:
    """How a page is set: its spacing, how many of its plots stand on it, and how high."""

    spacing: Spacing
    plots: int = 0
    plot_height: float = TALLEST
    photo_height: float = 0.0
    """Zero: without photos."""


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
    """The page at the widest spacing that fits the sheet with its plots, else with lower ones.

    Plots that find no room even so are left to words. Without any the page is shrunk as a whole
    until it fits. Photos stand where room is left; for them lines are set tighter, never smaller.
    """
    sheet_width, sheet_height = SHEETS[paper]
    width, height = sheet_width - 2.0 * MARGIN, sheet_height - 2.0 * MARGIN
    page, setting = _without_photos(slip, width, height)
    if not slip.photos or page.scale < 1.0:
        return page
    return _with_photos(slip, setting, width, height) or page


def _without_photos(slip: Slip, width: float, height: float) -> tuple[Page, Setting]:
    """The page, and how it is set."""
    for count in range(len(slip.plots), -1, -1):
        for spacing in SPACINGS:
            setting = Setting(spacing, count)
            page = _page(slip, setting, width)
            if page.height <= height:
                return page, setting
        if count:
            smaller = _with_low_plots(slip, count, width, height)
            if smaller is not None:
                return smaller
    setting = Setting(SPACINGS[-1])
    scale, page = 1.0, _page(slip, setting, width)
    while page.height * scale > height:
        scale *= _SHRINK
        page = _page(slip, setting, width / scale, scale)
    return page, setting


def _with_low_plots(
    slip: Slip, count: int, width: float, height: float
) -> tuple[Page, Setting] | None:
    """The page with that many plots as high as there is room; None if that is too low to read."""
    for scale in (1.0, *PLOT_SCALES):
        least = LEAST / scale
        page = _page(slip, Setting(SPACINGS[-1], count, least), width / scale, scale)
        spare = height / scale - page.height
        if spare >= 0.0:
            tall = min(TALLEST, least + spare / plot_rows(count))
            setting = Setting(SPACINGS[-1], count, tall)
            return _page(slip, setting, width / scale, scale), setting
    return None


def _with_photos(slip: Slip, setting: Setting, width: float, height: float) -> Page | None:
    """The page with its photos as high as there is room; None where they would show nothing."""
    for spacing in SPACINGS[SPACINGS.index(setting.spacing) :]:
        tighter = replace(setting, spacing=spacing)
        spare = height - _page(slip, tighter, width).height - slip_photo.ABOVE - slip_photo.BELOW
        if spare >= slip_photo.LEAST:
            tall = min(slip_photo.TALLEST, spare)
            return _page(slip, replace(tighter, photo_height=tall), width)
    return None


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


def _page(slip: Slip, setting: Setting, width: float, scale: float = 1.0) -> Page:
    placed = stack(_blocks(slip, setting, width, PRINT))
    y, last = placed[-1]
    return Page(placed, width, y + last.height, scale)


def _blocks(slip: Slip, setting: Setting, width: float, palette: Palette) -> Iterator[Block]:
    """The page from top to bottom; plots of runs stand between what was done and proved."""
    columns, spacing = Columns(width), setting.spacing
    yield heading(slip, width, palette)
    yield from said(slip, spacing, width, palette)
    yield _title(slip.found_title, slip.found_hint, spacing, width, palette=palette)
    for found in slip.lines:
        yield found_row(found, columns, palette, height=spacing.row)
    if slip.pairs:
        yield _title(slip.did_title, slip.did_hint, spacing, width, palette=palette)
        for pair in slip.pairs:
            tall = spacing.pair if pair.ruler is not None else spacing.row + 4.0
            yield pair_row(pair, columns, palette, height=tall)
    yield from plot_blocks(
        slip.plots, setting.plots, width=width, height=setting.plot_height, palette=palette
    )
    if setting.photo_height and slip.photos:
        yield photo_block(slip.photos, width=width, height=setting.photo_height, palette=palette)
    yield _proved(slip, spacing, width, palette)
    yield from _care(slip, spacing, width, palette)
    yield from _conditions(slip, spacing, width, palette)


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
    rule = RuleMark(left=0.0, right=width, y=y, color=palette.rule)
    style, text = Style(px=16, color=palette.ink), " ".join(slip.conditions)
    rows, y = paragraph(text, style, x=0.0, baseline=y + 22.0, width=width, leading=21.0)
    yield Block(y + 6.0, (rule, *rows))
