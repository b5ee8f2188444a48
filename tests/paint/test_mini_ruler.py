import pytest
from PySide6.QtCore import QRectF

from benchassist.core.ruler import Ruler
from benchassist.paint.mini_ruler import ARROW_HEIGHT, HEIGHT, paint_mini_ruler
from benchassist.paint.palette import LIGHT, PRINT, Palette
from benchassist.paint.ruler_axis import Axis
from tests.paint import specimen
from tests.paint.raster import Raster, render, runs

WIDTH = 176
MIDDLE = 11.0


def drawn(ruler: Ruler, palette: Palette = LIGHT, *, scale: float = 1.0) -> Raster:
    """The mini ruler from pixel 0,0."""
    height = HEIGHT + (ARROW_HEIGHT if ruler.before is not None else 0.0)
    size = round(WIDTH * scale), round(height * scale)
    return render(
        *size,
        lambda p: paint_mini_ruler(p, QRectF(0.0, 0.0, *size), ruler, palette),
        ground=palette.paper,
    )


def axis_of(ruler: Ruler) -> Axis:
    """Where things must lie."""
    return Axis.of(ruler, WIDTH, 4.0)


def test_it_shows_the_band_and_the_reading() -> None:
    """Block between the limits, a three pixel tick at the reading, at every row of the slip."""
    raster, axis = drawn(specimen.OUT_HIGH), axis_of(specimen.OUT_HIGH)
    block = raster.row(8.0, LIGHT.band, tolerance=10)
    assert block[0] == pytest.approx(axis.x(0.7), abs=2.6)
    assert block[-1] == pytest.approx(axis.x(0.8), abs=2.6)
    (tick,) = runs(raster.row(3.0, LIGHT.ink))
    assert (tick[0] + tick[1] + 1) / 2.0 == pytest.approx(axis.x(0.92), abs=1.0)
    assert tick[1] - tick[0] + 1 in {2, 3, 4}


def test_it_has_no_words() -> None:
    """Small rulers carry no text."""
    for ruler in specimen.RULERS.values():
        assert drawn(ruler).texts == []


def test_print_is_black_and_white() -> None:
    """No pixel of any small ruler has a colour on paper."""
    for ruler in specimen.RULERS.values():
        assert drawn(ruler, PRINT, scale=28.0 / 22.0).is_grey()


def test_the_change_is_an_arrow_above() -> None:
    """A pair's ruler carries an arrow from before to after over it."""
    raster, axis = drawn(specimen.BEFORE_AFTER), axis_of(specimen.BEFORE_AFTER)
    shaft = raster.row(ARROW_HEIGHT / 2.0, LIGHT.ink, tolerance=60)
    assert shaft[0] == pytest.approx(axis.x(0.75), abs=3.0)
    assert shaft[-1] == pytest.approx(axis.x(0.92), abs=3.0)


def test_overload_is_an_arrow_at_the_right_end() -> None:
    """Above range is a filled triangle there, and no tick anywhere."""
    raster = drawn(specimen.INSULATES)
    assert len(raster.column(WIDTH - 7, LIGHT.ink)) > len(raster.column(WIDTH - 3, LIGHT.ink)) > 0
    assert raster.row(2.0, LIGHT.ink) == []


def test_cannot_tell_is_hatched_with_the_band_on_top() -> None:
    """Stripes for the doubt, the band solid over them."""
    raster, axis = drawn(specimen.CANNOT_TELL), axis_of(specimen.CANNOT_TELL)
    assert len(runs(raster.row(6.0, LIGHT.cannot_text, tolerance=60))) > 8
    part = axis.block
    assert part is not None
    solid = raster.column((part.left + part.right) / 2.0, LIGHT.band_edge)
    assert len(solid) >= 12
