import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PySide6.QtCore import QRectF
from PySide6.QtGui import QFontMetricsF, QImage, QPainter

from benchassist.core.label_stock import STOCKS, LabelStock, place_of
from benchassist.core.tag import Tag, code_of
from benchassist.paint.font import font
from benchassist.paint.tag_code import QUIET_MODULES, tag_modules
from benchassist.paint.tag_sheet import LEAST_TEXT, UNITS_PER_MM, lay_out_tag, paint_tag
from tests.paint.qr_reader import read_modules
from tests.paint.raster import render

TAGS = ("M-014", "TH-07", "x1", "WWWWWWWWWWWWWWWW", "mmmmmmmmmmmmmmmm", "ÄÖ-7", "0")
WORDS = "Walk-behind mower with a bagger and a name that goes on and on"
stocks = pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.key)


def tag(text: str, words: str = "") -> Tag:
    """A tag with its code."""
    return Tag(payload=text, code=code_of(text), words=words)


@pytest.mark.parametrize("payload", [*TAGS, "12345678", "https://a.b/c"])
def test_a_payload_is_read_back(payload: str) -> None:
    """A reader of its own finds in the modules what was put in."""
    assert read_modules(tag_modules(payload)) == payload


@stocks
@pytest.mark.parametrize("text", TAGS)
@pytest.mark.parametrize("words", ["", "Rotary tiller", WORDS])
def test_everything_lies_inside_its_label(stock: LabelStock, text: str, words: str) -> None:
    """Code with its quiet zone and every row of text; the code typed is whole and readable."""
    place = place_of(stock, stock.count)
    label = QRectF(place.x_mm, place.y_mm, stock.width_mm, stock.height_mm)
    layout = lay_out_tag(stock, place, tag(text, words))
    quiet = QUIET_MODULES * layout.module_mm
    zone = layout.square.adjusted(-quiet, -quiet, quiet, quiet)
    assert label.adjusted(-1e-6, -1e-6, 1e-6, 1e-6).contains(zone)
    assert layout.module_mm >= 0.375
    assert layout.text.left() >= zone.right() - 1e-6
    assert "".join(layout.code_rows) == code_of(text)
    high = 0.0
    for rows, px, weight in (
        (layout.code_rows, layout.code_px, 800),
        (layout.word_rows, layout.word_px, 500),
    ):
        assert px >= LEAST_TEXT
        metrics = QFontMetricsF(font(px, weight))
        for row in rows:
            assert metrics.horizontalAdvance(row) <= layout.text.width() * UNITS_PER_MM + 0.5
            high += 1.12 * px
    assert high <= layout.text.height() * UNITS_PER_MM + 1e-6


@stocks
def test_nothing_is_drawn_beside_the_label(stock: LabelStock) -> None:
    """Pixels around a label in the middle of a white page stay white, and its quiet zone does."""
    scale, around = 12, 4.0
    wide, high = stock.width_mm + 2 * around, stock.height_mm + 2 * around
    place = place_of(stock, stock.count // 2 + 1)
    layout = lay_out_tag(stock, place, tag("WWWW-WWWW-WWWW-7", WORDS))

    def draw(painter: QPainter) -> None:
        painter.scale(scale, scale)
        painter.translate(around - place.x_mm, around - place.y_mm)
        paint_tag(painter, stock, place, tag("WWWW-WWWW-WWWW-7", WORDS))

    raster = render(int(wide * scale), int(high * scale), draw)
    grey = raster.image.convertToFormat(QImage.Format.Format_Grayscale8)
    lines = np.frombuffer(grey.constBits(), np.uint8).reshape(grey.height(), grey.bytesPerLine())
    ink = lines[:, : grey.width()] < 250
    assert ink.sum() > 1000

    def without(rect: QRectF, slack: float) -> NDArray[np.bool_]:
        """The ink outside a rectangle of millimetres that is grown by so many pixels."""
        rest = ink.copy()
        left, top = rect.left() * scale - slack, rect.top() * scale - slack
        right, bottom = rect.right() * scale + slack, rect.bottom() * scale + slack
        rest[max(0, round(top)) : round(bottom), max(0, round(left)) : round(right)] = False
        return rest

    quiet = QUIET_MODULES * layout.module_mm
    square = layout.square.translated(around - place.x_mm, around - place.y_mm)
    zone = square.adjusted(-quiet, -quiet, quiet, quiet)
    assert not without(QRectF(around, around, stock.width_mm, stock.height_mm), 0.0).any()
    left, top = round(zone.left() * scale), round(zone.top() * scale)
    right, bottom = round(zone.right() * scale), round(zone.bottom() * scale)
    assert not without(square, 1.0)[top:bottom, left:right].any()


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(text=st.text("ABCWMI019-_ßЖ", min_size=1, max_size=16), stock=st.sampled_from(STOCKS))
def test_no_code_is_ever_cut(text: str, stock: LabelStock) -> None:
    """Whatever the tag, all of it is on the label, at a size that can be read."""
    layout = lay_out_tag(stock, place_of(stock, 1), tag(text, WORDS))
    assert "".join(layout.code_rows) == code_of(text)
    assert layout.code_px >= LEAST_TEXT
    rows = len(layout.code_rows) * layout.code_px + len(layout.word_rows) * layout.word_px
    assert 1.12 * rows <= layout.text.height() * UNITS_PER_MM + 1e-6
