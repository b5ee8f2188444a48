"""Photos on the printed slip: where room is left, in grey tones, and gone before anything else."""

from collections import Counter
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage

from benchassist.core.slip import Paper, Slip, SlipPhoto
from benchassist.paint.photo import reduced
from benchassist.paint.slip_mark import PhotoMark, TextMark
from benchassist.paint.slip_page import MARGIN, SHEETS, Page, lay_out_page
from benchassist.paint.slip_page import paint_slip_page as paint
from benchassist.paint.slip_photo import LEAST, TALLEST
from benchassist.paint.slip_printer import QtSlipPrinter
from tests.core import pictures
from tests.paint import specimen
from tests.paint.raster import Raster, render
from tests.paint.test_slip_plot import SLIPS, plots_on, with_plots

MM = 150.0 / 25.4


def photo(width: int, height: int, caption: str) -> SlipPhoto:
    """A photo as it comes to the slip."""
    made = pictures.jpeg(pictures.picture(width, height), planted=True)
    return SlipPhoto(data=reduced(made, 800), width=width, height=height, caption=caption)


@pytest.fixture(scope="module")
def photos(qapp: object) -> tuple[SlipPhoto, ...]:
    """Three: across, upright, far wider than high."""
    assert qapp is not None
    return (
        photo(640, 480, "Coil, crack by the tab"),
        photo(480, 640, "Plug, gap 0.92"),
        photo(900, 200, "The plate on the engine, as far as it can be read " * 4),
    )


def photos_on(page: Page) -> list[PhotoMark]:
    """The photos that stand on a page."""
    return [m for _, block in page.placed for m in block.marks if isinstance(m, PhotoMark)]


def drawn(slip: Slip, paper: Paper) -> Raster:
    """The page at 150 dots to the inch."""
    width, height = (round(side) for side in SHEETS[paper])
    return render(width, height, lambda p: paint(p, QRectF(0, 0, width, height), slip, paper))


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("count", [1, 2, 3])
def test_where_there_is_room_they_stand_in_one_row(
    photos: tuple[SlipPhoto, ...], count: int, paper: Paper
) -> None:
    """25 to 44 mm high, inside the margins, their words below them; none lies over another."""
    page = lay_out_page(replace(SLIPS["short"], photos=photos[:count]), paper)
    marks = photos_on(page)
    assert len(marks) == count
    assert page.scale == 1.0
    for mark in marks:
        assert 25.0 * MM <= mark.rect.height() <= 44.1 * MM
        assert mark.rect.left() >= 0.0
        assert mark.rect.right() <= page.width + 0.01
    for one, other in pairwise(marks):
        assert one.rect.right() < other.rect.left()
    assert "Coil, crack by the tab" in page.texts
    assert any(text.endswith("…") for text in page.texts) == (count == 3)


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("plots", [0, 1, 2, 3])
@pytest.mark.parametrize("name", SLIPS)
def test_photos_yield_first(
    photos: tuple[SlipPhoto, ...], name: str, plots: int, paper: Paper
) -> None:
    """With them every other word, every plot and every size is as without them."""
    slip = with_plots(SLIPS[name], plots)
    without, page = lay_out_page(slip, paper), lay_out_page(replace(slip, photos=photos), paper)
    here = photos_on(page)
    added = Counter(page.texts) - Counter(without.texts)
    assert Counter(without.texts) - Counter(page.texts) == Counter()
    assert sum(added.values()) == len(here)
    assert page.scale == without.scale
    assert [m.rect.size() for m in plots_on(page)] == [m.rect.size() for m in plots_on(without)]
    assert page.height * page.scale <= SHEETS[paper][1] - 2.0 * MARGIN + 0.01
    if name == "full":
        assert here == []
    if name in {"empty", "short"} and plots == 0:
        assert len(here) == 3


@settings(max_examples=30, deadline=None)
@given(lines=st.integers(0, 30), pairs=st.integers(0, 6), paper=st.sampled_from(list(Paper)))
def test_whatever_else_is_on_it_the_page_is_one(
    photos: tuple[SlipPhoto, ...], lines: int, pairs: int, paper: Paper
) -> None:
    """Photos have at least 25 mm or are not there; nothing stands below the margin."""
    slip = replace(specimen.full_slip(lines, pairs), photos=photos)
    page = lay_out_page(slip, paper)
    assert page.height * page.scale <= SHEETS[paper][1] - 2.0 * MARGIN + 0.01
    for mark in photos_on(page):
        assert LEAST <= mark.rect.height() <= TALLEST


def test_nothing_is_written_over_a_photo(photos: tuple[SlipPhoto, ...]) -> None:
    """No text of the page and no other photo stands where a photo does."""
    page = lay_out_page(replace(with_plots(SLIPS["short"], 1), photos=photos), Paper.A4)
    placed = [(y, mark) for y, block in page.placed for mark in block.marks]
    pictured = [m.rect.translated(0.0, y) for y, m in placed if isinstance(m, PhotoMark)]
    written = [m.rect.translated(0.0, y) for y, m in placed if isinstance(m, TextMark)]
    assert len(pictured) == 3
    for rect in pictured:
        assert not any(rect.intersects(other) for other in written)
        assert sum(rect.intersects(other) for other in pictured) == 1


def test_they_are_grey_and_upright(photos: tuple[SlipPhoto, ...]) -> None:
    """Each tone is the luminance of its colour (IEC 61966-2-1, Rec. 709 weights, from memory)."""
    slip = replace(SLIPS["short"], photos=photos[:1])
    page = lay_out_page(slip, Paper.A4)
    ((y, mark),) = [
        (y, m) for y, block in page.placed for m in block.marks if isinstance(m, PhotoMark)
    ]
    image = drawn(slip, Paper.A4).image.convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), -1)
    sheet = rows[:, : 3 * image.width()].reshape(image.height(), image.width(), 3).astype(int)
    high = round(mark.rect.height())
    top, left, wide = round(MARGIN + y + mark.rect.top()), round(MARGIN), round(high * 4 / 3)
    inside = sheet[top + 4 : top + high - 4, left + 4 : left + wide - 4]
    assert np.ptp(inside, axis=2).max() <= 1
    made = np.asarray(pictures.picture(640, 480).resize((wide, high)))[4 : high - 4, 4 : wide - 4]
    value = made / 255.0
    linear = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    light = linear @ (0.2126, 0.7152, 0.0722)
    wanted = 255.0 * np.where(
        light <= 0.0031308, 12.92 * light, 1.055 * light ** (1.0 / 2.4) - 0.055
    )
    assert np.abs(inside[:, :, 0] - wanted).mean() < 3
    assert np.abs(inside[:, ::-1, 0] - wanted).mean() > 20
    assert np.abs(inside[::-1, :, 0] - wanted).mean() > 20


def test_a_photo_that_cannot_be_read_leaves_its_place_white() -> None:
    """The page is printed all the same."""
    broken = SlipPhoto(data=b"no picture", width=4, height=3, caption="Coil")
    page = lay_out_page(replace(SLIPS["short"], photos=(broken,)), Paper.A4)
    ((y, mark),) = [
        (y, m) for y, block in page.placed for m in block.marks if isinstance(m, PhotoMark)
    ]
    raster = drawn(replace(SLIPS["short"], photos=(broken,)), Paper.A4)
    middle = mark.rect.translated(MARGIN, MARGIN + y).center()
    assert raster.near(middle.x(), middle.y(), "#ffffff")
    assert "Coil" in [text for text, _rect in raster.texts]


def test_nothing_planted_is_in_the_pdf(photos: tuple[SlipPhoto, ...]) -> None:
    """Place, camera and texts of the photo's file do not get into what the customer gets."""
    pdf = QtSlipPrinter().pdf(replace(SLIPS["short"], photos=photos))
    assert pdf.startswith(b"%PDF")
    assert [word for word in pictures.PLANTED if word in pdf] == []
    bare = QtSlipPrinter().pdf(SLIPS["short"])
    assert len(pdf) > len(bare) + 5_000
