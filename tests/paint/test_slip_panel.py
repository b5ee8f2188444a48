from dataclasses import replace

import pytest
from PySide6.QtCore import QRectF

from benchassist.core.slip import Ink, Line
from benchassist.paint.palette import DARK, LIGHT, Palette
from benchassist.paint.slip_mark import BoxMark
from benchassist.paint.slip_panel import (
    INSET,
    SURROUND,
    Sheet,
    SheetLayout,
    lay_out_sheet,
    paint_slip_panel,
)
from tests.paint import specimen
from tests.paint.raster import Raster, overlaps, render, runs

WINDOWS = {"1366x768": 1.0, "1920x1080": 1080 / 768}
VIEW = 664.0


def drawn(
    sheet: Sheet, *, scale: float = 1.0, scroll: float = 0.0, palette: Palette = LIGHT
) -> tuple[Raster, list[QRectF]]:
    """The panel from pixel 0,0 and its rows."""
    size = round(492 * scale), round(VIEW * scale)
    rows: list[QRectF] = []
    rect = QRectF(0.0, 0.0, *size)
    raster = render(
        *size,
        lambda p: rows.extend(
            paint_slip_panel(p, rect, sheet, palette, scroll=scroll, scale=scale)
        ),
    )
    return raster, rows


def layout(sheet: Sheet) -> SheetLayout:
    """The slip laid out for the designed width."""
    return lay_out_sheet(sheet, 492.0, LIGHT)


def row_words(raster: Raster, row: QRectF) -> str:
    """The texts drawn inside a row."""
    return " ".join(text for text, rect in raster.texts if row.contains(rect.center()))


@pytest.mark.parametrize("scale", WINDOWS.values(), ids=WINDOWS)
@pytest.mark.parametrize("sheet", [specimen.SHEET, specimen.FULL_SHEET], ids=["begun", "full"])
def test_words_stay_on_the_paper_and_apart(sheet: Sheet, scale: float) -> None:
    """Every text is between the paper's margins and stands on no other, at both window sizes."""
    raster, _ = drawn(sheet, scale=scale)
    left, right = (SURROUND + INSET) * scale, (492.0 - SURROUND - INSET) * scale
    assert not list(overlaps(raster.texts))
    for text, rect in raster.texts:
        assert rect.left() >= left - 0.5, text
        assert rect.right() <= right + 0.5, text


@pytest.mark.parametrize("scale", WINDOWS.values(), ids=WINDOWS)
def test_rows_are_where_their_words_are(scale: float) -> None:
    """The rectangles handed back for clicking hold the name and value of their own line."""
    raster, rows = drawn(specimen.SHEET, scale=scale)
    assert len(rows) == len(specimen.SHEET.lines)
    for line, row in zip(specimen.SHEET.lines, rows, strict=True):
        words = row_words(raster, row)
        assert line.name in words
        assert line.value in words


def test_a_line_to_do_is_lower_than_one_that_holds_something() -> None:
    """31 units before, 49 with a ruler and a verdict, as designed."""
    heights = [row.height() for row in layout(specimen.SHEET).rows]
    assert heights[0] == 49.0
    assert heights[2] == 49.0
    assert heights[-1] == 31.0


def test_nine_lines_and_their_sections_fit_the_window() -> None:
    """A begun visit of nine checks needs no scrolling before its last check."""
    rows = layout(specimen.SHEET).rows
    assert rows[-1].bottom() < VIEW


@pytest.mark.parametrize("current", range(len(specimen.FULL_SHEET.lines)))
def test_the_line_at_work_is_in_sight(current: int) -> None:
    """Scrolled for a line, that line and the one after it are inside the view."""
    shown = layout(specimen.FULL_SHEET)
    scroll = shown.scroll_for(current, VIEW)
    row = shown.rows[current]
    assert 0.0 <= scroll <= max(0.0, shown.height - VIEW)
    assert row.top() - scroll >= 0.0
    assert row.bottom() - scroll <= VIEW
    if current + 1 < len(shown.rows):
        assert shown.rows[current + 1].bottom() - scroll <= VIEW
    assert shown.scroll_for(current, VIEW, scroll) == scroll


def test_a_slip_that_fits_is_not_scrolled() -> None:
    """No line, or a slip shorter than the view, leaves the slip where it is."""
    short = layout(replace(specimen.SHEET, lines=specimen.SHEET.lines[:2], sections=()))
    assert short.scroll_for(1, VIEW, 30.0) == 0.0
    assert layout(specimen.FULL_SHEET).scroll_for(None, VIEW) == 0.0


def test_scrolling_moves_rows_with_the_words() -> None:
    """Scrolled by 300 units every row is 300 higher, and so are its words."""
    _, still = drawn(specimen.FULL_SHEET)
    raster, moved = drawn(specimen.FULL_SHEET, scroll=300.0)
    assert [row.top() for row in moved] == pytest.approx([row.top() - 300.0 for row in still])
    line, row = specimen.FULL_SHEET.lines[7], moved[7]
    assert line.name in row_words(raster, row)


def lone(line: Line) -> tuple[Raster, QRectF]:
    """A sheet with one line."""
    raster, rows = drawn(replace(specimen.SHEET, lines=(line,), current=0, sections=()))
    return raster, rows[0]


def test_pencil_has_a_dashed_line_and_a_pencil() -> None:
    """Not on disk yet: pencil grey, a dashed line below, a pencil in the margin."""
    raster, row = lone(specimen.CAP)
    dashes = runs(raster.row(row.bottom(), LIGHT.ink, tolerance=80))
    assert len(dashes) > 25
    margin = QRectF(SURROUND, row.top(), INSET - 2.0, row.height())
    assert raster.count(margin, LIGHT.ink, tolerance=80) > 30
    inked, inked_row = lone(replace(specimen.CAP, ink=Ink.INK))
    assert len(runs(inked.row(inked_row.bottom(), LIGHT.ink, tolerance=80))) == 0
    assert inked.count(margin, LIGHT.ink, tolerance=80) == 0


def test_typed_has_dots_under_its_figures() -> None:
    """A typed value is dotted below; one from a meter is not."""
    typed, row = lone(specimen.GAP)
    plain, _ = lone(replace(specimen.GAP, typed=False))
    y = row.top() + 21.0 + 0.24 * 19.0
    assert len(runs(typed.row(y, LIGHT.ink, tolerance=110))) >= 10
    assert len(runs(plain.row(y, LIGHT.ink, tolerance=110))) <= 2


def test_struck_has_a_line_through_and_no_ruler() -> None:
    """What was redone stays, struck through, without ruler or verdict's colour."""
    raster, row = lone(specimen.CAP_STRUCK)
    assert row.height() == 31.0
    words = row_words(raster, row)
    assert "Plug cap, end to end" in words
    assert "4.91 kΩ" in words
    rows = range(int(row.top()), int(row.bottom()))
    longest = max(
        last - first for y in rows for first, last in runs(raster.row(y, LIGHT.faint, tolerance=90))
    )
    assert longest > 60
    assert raster.count(row, LIGHT.band, tolerance=8) == 0


def test_a_long_name_and_long_words_are_whole() -> None:
    """Nothing of a long look is lost on the slip: it takes more rows."""
    raster, row = lone(specimen.LONG)
    words = row_words(raster, row).split()
    for word in (*specimen.LONG.name.split(), *specimen.LONG.words.split()):
        assert word in words
    assert row.height() > 49.0


def test_what_is_not_proved_has_open_boxes() -> None:
    """Sentences under proved have filled squares, those under not proved hollow ones."""
    shown = layout(specimen.FULL_SHEET)
    boxes = [
        mark.filled
        for _, block in shown.placed[-3:]
        for mark in block.marks
        if isinstance(mark, BoxMark)
    ]
    assert boxes == [True] * (1 + len(specimen.SLIP.proved)) + [False] * len(
        specimen.SLIP.not_proved
    )


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
def test_paper_is_torn_on_kraft(palette: Palette) -> None:
    """Kraft around, paper within, teeth along the upper edge."""
    raster, _ = drawn(specimen.SHEET, palette=palette)
    assert raster.near(5, 300, palette.kraft, tolerance=2)
    assert raster.near(30, 300, palette.paper, tolerance=2)
    assert len(runs(raster.row(29.0, palette.paper, tolerance=4))) >= 18
