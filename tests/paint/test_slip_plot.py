"""Plots of runs on the printed slip: there where there is room, words where there is not."""

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QRectF

from benchassist.core.run_plot import PlotFlag
from benchassist.core.slip import Paper, Slip, SlipPlot
from benchassist.paint.lettering import Style
from benchassist.paint.slip_mark import PlotMark, TextMark
from benchassist.paint.slip_page import MARGIN, PLOT_SCALES, SHEETS, Page, lay_out_page
from benchassist.paint.slip_page import paint_slip_page as paint
from benchassist.paint.slip_plot import LEAST, TALLEST, flag_line
from tests.paint import run_specimen, specimen
from tests.paint.raster import Raster, overlaps, render

MM = 150.0 / 25.4
HEAT = replace(run_specimen.heat(), now_s=None, end_s=1420.0)
AFTER = replace(run_specimen.heat(opens=False, seed=9), now_s=None, end_s=1420.0)
SPEED = replace(run_specimen.speed(), start_s=0.0, end_s=200.0, now_s=None, ago=False)
PLOTS = (
    SlipPlot(
        title="Coil, warmed",
        plot=HEAT,
        caption="Before: 2 breaks found: at 78 °C, at 82 °C",
        elsewhere="Coil, warmed, before: no room for its plot here; ask us.",
    ),
    SlipPlot(
        title="Coil, warmed",
        plot=AFTER,
        caption="After: not reproduced over two cycles to 95 °C",
        elsewhere="Coil, warmed, after: no room for its plot here; ask us.",
    ),
    SlipPlot(
        title="Engine run",
        plot=SPEED,
        caption="Engine run: High speed 3610 rpm",
        elsewhere="Engine run: no room for its plot here; ask us.",
    ),
)
SLIPS = {
    "empty": replace(
        specimen.SLIP, lines=(), pairs=(), proved=(), not_proved=("Nothing left open.",), care=""
    ),
    "short": replace(specimen.SLIP, lines=specimen.LINES[:5], pairs=specimen.PAIRS[:1]),
    "usual": specimen.SLIP,
    "full": specimen.full_slip(20, 6),
}


def with_plots(slip: Slip, count: int) -> Slip:
    """The slip with so many plots."""
    return replace(slip, plots=tuple(PLOTS[i % len(PLOTS)] for i in range(count)))


def plots_on(page: Page) -> list[PlotMark]:
    """The plots that stand on a page."""
    return [m for _, block in page.placed for m in block.marks if isinstance(m, PlotMark)]


def drawn(slip: Slip, paper: Paper) -> Raster:
    """The page at 150 dots to the inch."""
    width, height = (round(side) for side in SHEETS[paper])
    return render(width, height, lambda p: paint(p, QRectF(0, 0, width, height), slip, paper))


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("name", ["empty", "short"])
@pytest.mark.parametrize("count", [1, 2])
def test_where_there_is_room_a_plot_is_46_mm_high(name: str, count: int, paper: Paper) -> None:
    """One goes across the sheet, two stand side by side; the words keep their size."""
    page = lay_out_page(with_plots(SLIPS[name], count), paper)
    rects = [mark.rect for mark in plots_on(page)]
    assert len(rects) == count
    assert page.scale == 1.0
    assert all(40.0 * MM <= rect.height() <= 50.0 * MM for rect in rects)
    if count == 1:
        assert rects[0].width() == pytest.approx(page.width)
    else:
        assert rects[0].right() < rects[1].left()
        assert rects[0].top() == rects[1].top()


@pytest.mark.parametrize("paper", list(Paper))
def test_on_a_usual_slip_it_is_readable(paper: Paper) -> None:
    """Thirteen lines and three pairs leave it 30 mm at least, the words hardly smaller."""
    page = lay_out_page(with_plots(SLIPS["usual"], 1), paper)
    (plot,) = plots_on(page)
    assert LEAST <= plot.rect.height() * page.scale <= TALLEST
    assert page.scale >= min(PLOT_SCALES)


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("count", [1, 2])
def test_on_a_full_slip_words_say_where_it_is(count: int, paper: Paper) -> None:
    """No plot is squeezed in: its sentence stands between what was done and what is proved."""
    slip = with_plots(SLIPS["full"], count)
    page = lay_out_page(slip, paper)
    assert plots_on(page) == []
    said = " ".join(page.texts)
    for plot in slip.plots:
        assert plot.elsewhere in said
    assert page.texts.index("Not proved") > page.texts.index("Work 6 done")


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("name", SLIPS)
@pytest.mark.parametrize("count", [1, 2, 3])
def test_everything_stays_on_one_page_and_apart(name: str, count: int, paper: Paper) -> None:
    """Texts of slip and plots stand in the margins' inside, none on another; no colour anywhere."""
    raster = drawn(with_plots(SLIPS[name], count), paper)
    width, height = SHEETS[paper]
    room = QRectF(0.0, 0.0, width, height).adjusted(MARGIN, MARGIN, -MARGIN, -MARGIN)
    for text, rect in raster.texts:
        assert room.contains(rect.adjusted(0.5, 0.5, -0.5, -0.5)), text
    assert not list(overlaps(raster.texts))
    assert raster.is_grey()
    assert "Not proved" in [text for text, _ in raster.texts]


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 40), st.integers(0, 8), st.integers(0, 4), st.sampled_from(list(Paper)))
def test_no_word_and_no_plot_is_ever_lost(lines: int, pairs: int, plots: int, paper: Paper) -> None:
    """Every plot is drawn, high enough, or its sentence stands there; every line is there too."""
    slip = with_plots(specimen.full_slip(lines, pairs), plots)
    page = lay_out_page(slip, paper)
    width, height = SHEETS[paper]
    assert page.height * page.scale <= height - 2.0 * MARGIN + 0.01
    assert page.width * page.scale <= width - 2.0 * MARGIN + 0.1
    shown = plots_on(page)
    assert all(plot.rect.height() * page.scale >= LEAST - 0.01 for plot in shown)
    said = Counter(" ".join(page.texts).split())
    left_out = slip.plots[len(shown) :]
    wanted = Counter(word for plot in left_out for word in plot.elsewhere.split())
    assert not wanted - said
    texts = Counter(page.texts)
    assert all(texts[f"Check {i + 1} of a long visit"] == 1 for i in range(lines))
    assert "Not proved" in texts


def test_title_and_caption_stand_above_and_the_flags_below() -> None:
    """The title is not said twice; every numbered flag is named once."""
    page = lay_out_page(with_plots(SLIPS["short"], 3), Paper.A4)
    said = " ".join(page.texts)
    assert "Coil, warmed. Before: 2 breaks found: at 78 °C, at 82 °C" in said
    assert "Engine run. High speed 3610 rpm" in said
    assert "1 Open 2.1 s · 2 Open 3.4 s" in said
    marks = [m for _, block in page.placed for m in block.marks]
    plot = next(m for m in marks if isinstance(m, PlotMark))
    flags = next(m for m in marks if isinstance(m, TextMark) and "2 Open" in m.text)
    assert flags.baseline > plot.rect.bottom()


def test_more_flags_than_fit_are_counted() -> None:
    """The first ones by name, the others as a number; marks without a number are left out."""
    style = Style(px=16, color="#000000")
    flags = tuple(PlotFlag(t_s=float(i), number=i, text=f"Steps down {i} %") for i in range(1, 60))
    plot = replace(HEAT, flags=(*flags, PlotFlag(t_s=1.0, text="Mark")))
    text = flag_line(plot, 600.0, style)
    assert text.startswith("1 Steps down 1 % · 2 Steps down 2 %")
    named = text.count("Steps")
    assert text.endswith(f" · +{59 - named}")
    assert "Mark" not in text
    assert style.width(text.rpartition(" · ")[0]) <= 600.0
    assert flag_line(replace(HEAT, flags=()), 600.0, style) == ""
