from collections import Counter
from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QRectF

from benchassist.core.slip import Ink, Paper, Slip
from benchassist.paint.palette import LIGHT
from benchassist.paint.slip_mark import GlyphMark, Mark, RulerMark, TagCodeMark, TextMark
from benchassist.paint.slip_page import MARGIN, SHEETS, Page, lay_out_page, paint_slip_page
from benchassist.paint.slip_panel import lay_out_sheet
from benchassist.paint.tag_code import tag_modules
from tests.paint import specimen
from tests.paint.raster import Raster, overlaps, render

SLIPS = {
    "usual": specimen.SLIP,
    "long": specimen.full_slip(20, 6),
    "bare": replace(
        specimen.SLIP, lines=(), pairs=(), proved=(), tag="", tag_payload="", conditions=(), care=""
    ),
    "draft": replace(specimen.SLIP, draft_text="Not closed yet"),
}


def drawn(slip: Slip, paper: Paper = Paper.A4) -> Raster:
    """The page at 150 dots to the inch."""
    width, height = (round(side) for side in SHEETS[paper])
    rect = QRectF(0.0, 0.0, width, height)
    return render(width, height, lambda p: paint_slip_page(p, rect, slip, paper))


def marks(page: Page) -> list[Mark]:
    """Every mark on a page."""
    return [mark for _, block in page.placed for mark in block.marks]


def texts_of(slip: Slip) -> list[str]:
    """Every text that must be on the page."""
    found = [
        *(slip.title, slip.subtitle, slip.customer, slip.unit_text, slip.engine_text),
        *(slip.tag, slip.said, slip.in_short, slip.found_title, slip.care, slip.draft_text),
        *(slip.proved_title, slip.not_proved_title, *slip.proved, *slip.not_proved),
        *slip.conditions,
    ]
    for line in slip.lines:
        found += [line.name, line.value or line.words, line.verdict_text, *line.notes]
        found += [line.doubt] if line.value else []
    for pair in slip.pairs:
        found += [pair.name, pair.before, pair.after, pair.words, pair.verdict_text]
    return [text for text in found if text]


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("name", SLIPS)
def test_one_page_holds_everything(name: str, paper: Paper) -> None:
    """Every word of the slip is on the one page, inside its margins."""
    slip = SLIPS[name]
    page = lay_out_page(slip, paper)
    width, height = SHEETS[paper]
    assert page.height * page.scale <= height - 2.0 * MARGIN
    assert page.width * page.scale <= width - 2.0 * MARGIN + 0.1
    on_page = Counter(" ".join(page.texts).split())
    wanted = Counter(word for text in texts_of(slip) for word in text.split() if word != "·")
    assert not wanted - on_page


@pytest.mark.parametrize("paper", list(Paper))
def test_twenty_lines_and_six_pairs_stay_readable(paper: Paper) -> None:
    """The fullest usual visit is set no smaller than 80 %: its figures are over 2.5 mm high."""
    page = lay_out_page(specimen.full_slip(20, 6), paper)
    assert page.scale >= 0.8
    value = max(m.style.px for m in marks(page) if isinstance(m, TextMark) and "0.92" in m.text)
    assert value * page.scale / 150.0 * 25.4 > 2.5


@pytest.mark.parametrize("name", SLIPS)
def test_a_usual_visit_is_set_at_full_size(name: str) -> None:
    """Only a full page is made smaller."""
    assert name == "long" or lay_out_page(SLIPS[name], Paper.A4).scale == 1.0


@settings(max_examples=15)
@given(st.integers(0, 70), st.integers(0, 12), st.sampled_from(list(Paper)))
def test_nothing_is_ever_dropped(lines: int, pairs: int, paper: Paper) -> None:
    """However long the visit, the page fits and every line and pair is on it."""
    slip = specimen.full_slip(lines, pairs)
    page = lay_out_page(slip, paper)
    assert page.height * page.scale <= SHEETS[paper][1] - 2.0 * MARGIN
    texts = Counter(page.texts)
    assert all(texts[f"Check {i + 1} of a long visit"] == 1 for i in range(lines))
    assert all(texts[f"Work {i + 1} done"] == 1 for i in range(pairs))


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("name", SLIPS)
def test_words_stay_on_the_sheet_and_apart(name: str, paper: Paper) -> None:
    """No text stands on another or in the margin."""
    raster = drawn(SLIPS[name], paper)
    width, height = SHEETS[paper]
    room = QRectF(0.0, 0.0, width, height).adjusted(MARGIN, MARGIN, -MARGIN, -MARGIN)
    assert not list(overlaps(raster.texts))
    for text, rect in raster.texts:
        assert room.contains(rect.adjusted(0.2, 0.2, -0.2, -0.2)), text


@pytest.mark.parametrize("name", SLIPS)
def test_rulers_and_signs_stand_clear_of_words(name: str) -> None:
    """No ruler, sign or code is under a text."""
    for _, block in lay_out_page(SLIPS[name], Paper.A4).placed:
        pictures = [
            m.rect for m in block.marks if isinstance(m, RulerMark | GlyphMark | TagCodeMark)
        ]
        words = [m.rect for m in block.marks if isinstance(m, TextMark)]
        assert not any(p.intersects(w) for p in pictures for w in words)
        assert not any(a.intersects(b) for a, b in combinations(pictures, 2))


def test_it_is_black_and_white() -> None:
    """No pixel of the whole page has a colour."""
    assert drawn(specimen.SLIP).is_grey()


def test_every_reading_has_its_ruler_and_every_verdict_its_sign() -> None:
    """One ruler for each line and pair that has one; struck lines keep words, not pictures."""
    shown = marks(lay_out_page(specimen.SLIP, Paper.A4))
    rulers = [mark.ruler for mark in shown if isinstance(mark, RulerMark)]
    standing = [line for line in specimen.LINES if line.ink is not Ink.STRUCK]
    wanted = [line.ruler for line in standing if line.ruler]
    wanted += [pair.ruler for pair in specimen.PAIRS if pair.ruler]
    assert rulers == wanted
    signs = [mark.verdict for mark in shown if isinstance(mark, GlyphMark)]
    assert signs == [line.verdict for line in standing if line.verdict] + [
        pair.verdict for pair in specimen.PAIRS if pair.verdict
    ]


def test_screen_and_paper_say_the_same() -> None:
    """A line's words are on the slip beside the bench as they are in print."""
    lines = tuple(line for line in specimen.LINES if line.ink is not Ink.STRUCK)
    sheet = lay_out_sheet(replace(specimen.FULL_SHEET, lines=lines), 492.0, LIGHT)
    on_screen = Counter(
        word
        for _, block in sheet.placed
        for mark in block.marks
        if isinstance(mark, TextMark)
        for word in mark.text.split()
    )
    for line in lines:
        for text in (line.name, line.value, line.doubt, line.verdict_text, *line.notes):
            assert all(on_screen[word] for word in text.split()), text


def test_the_tag_code_is_printed_with_its_quiet_zone() -> None:
    """The modules of the tag's code are black and white as made, four modules around them white."""
    raster = drawn(specimen.SLIP)
    (code,) = [
        mark
        for mark in marks(lay_out_page(specimen.SLIP, Paper.A4))
        if isinstance(mark, TagCodeMark)
    ]
    rect = code.rect.translated(MARGIN, MARGIN)
    modules = tag_modules(specimen.SLIP.tag_payload)
    size = rect.width() / len(modules)
    for y, row in enumerate(modules):
        for x, dark in enumerate(row):
            at = rect.left() + (x + 0.5) * size, rect.top() + (y + 0.5) * size
            assert raster.color(*at) == ("#000000" if dark else "#ffffff")
    zone = rect.adjusted(-4.0 * size, -4.0 * size, 4.0 * size, 4.0 * size)
    ring = raster.count(zone, "#ffffff", tolerance=8) - raster.count(rect, "#ffffff", tolerance=8)
    area = zone.toAlignedRect().width() * zone.toAlignedRect().height()
    inner = rect.toAlignedRect().width() * rect.toAlignedRect().height()
    assert ring >= area - inner - 4


def test_not_proved_is_printed_even_when_little_is_left() -> None:
    """The heading and its one sentence stand on every slip."""
    slip = replace(specimen.SLIP, not_proved=("Nothing left open.",))
    texts = lay_out_page(slip, Paper.A4).texts
    assert "Not proved" in texts
    assert "Nothing left open." in texts


def test_a_slip_of_an_open_visit_says_so_beside_its_title() -> None:
    """A draft is marked at the top in a frame."""
    raster = drawn(SLIPS["draft"])
    places = dict(raster.texts)
    assert places["Not closed yet"].top() < places["Tallow Hill Cider Orchard"].top()
    assert places["Not closed yet"].left() > places["Job slip 0412"].right()
