from itertools import combinations

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage, QPainter

from benchassist.core.band import Side, Verdict
from benchassist.paint.glyph import (
    paint_arrow,
    paint_eye,
    paint_logo,
    paint_magnifier,
    paint_meter,
    paint_pedal,
    paint_pencil,
    paint_verdict_glyph,
)
from benchassist.paint.palette import DARK, LIGHT, PRINT, Palette
from tests.paint.gallery import GLYPHS
from tests.paint.raster import Raster, render

SIZE = (96, 40)


def drawn(verdict: Verdict, side: Side | None, palette: Palette) -> Raster:
    """A verdict's sign at twice its size."""
    return render(
        *SIZE,
        lambda p: paint_verdict_glyph(p, QRectF(0.0, 0.0, *SIZE), verdict, side, palette),
        ground=palette.panel,
    )


def greys(raster: Raster) -> bytes:
    """Its luminance, byte by byte."""
    grey = raster.image.convertToFormat(QImage.Format.Format_Grayscale8)
    return bytes(grey.constBits())


@pytest.mark.parametrize("palette", [LIGHT, DARK, PRINT], ids=["light", "dark", "print"])
def test_verdicts_differ_without_colour(palette: Palette) -> None:
    """Seen in grey, any two signs differ in at least a twentieth of their pixels."""
    pictures = {case: greys(drawn(*case, palette)) for case in GLYPHS}
    for (one, a), (other, b) in combinations(pictures.items(), 2):
        differing = sum(abs(x - y) > 40 for x, y in zip(a, b, strict=True))
        assert differing > 0.05 * len(a), (one, other)


def test_low_and_high_are_mirrored() -> None:
    """Out of band low has its dot left of the block, high right of it."""
    low = drawn(Verdict.OUT_OF_BAND, Side.LOW, LIGHT).row(20.0, LIGHT.out_mark)
    high = drawn(Verdict.OUT_OF_BAND, Side.HIGH, LIGHT).row(20.0, LIGHT.out_mark)
    assert max(low) < SIZE[0] / 2 < min(high)


def test_the_diamond_has_an_ink_outline() -> None:
    """Too close to call is told from its ground by an outline: its colour alone is weak."""
    row = drawn(Verdict.TOO_CLOSE, None, LIGHT).row(20.0, LIGHT.ink)
    diamond = drawn(Verdict.TOO_CLOSE, None, LIGHT).row(20.0, LIGHT.close_mark)
    assert min(row) < min(diamond)
    assert max(row) > max(diamond)


def test_a_sign_keeps_its_shape_in_any_rectangle() -> None:
    """In a tall rectangle it stays 48 to 20, centred."""
    raster = render(
        48,
        100,
        lambda p: paint_verdict_glyph(
            p, QRectF(0.0, 0.0, 48.0, 100.0), Verdict.CANNOT_TELL, None, LIGHT
        ),
    )
    ink = raster.column(24, LIGHT.cannot_text, tolerance=60)
    assert min(ink) >= 39
    assert max(ink) <= 61


def small_pictures(painter: QPainter) -> None:
    """Every other sign, each in a field of 50."""
    paint_eye(painter, QRectF(0, 0, 48, 50), "#000000")
    paint_logo(painter, QRectF(50, 0, 48, 50), LIGHT)
    paint_meter(painter, QRectF(100, 0, 48, 50), "#000000")
    paint_meter(painter, QRectF(150, 0, 48, 50), "#000000", linked=False)
    paint_pedal(painter, QRectF(200, 0, 48, 50), "#000000")
    paint_pencil(painter, QRectF(250, 0, 48, 50), "#000000", "#ffffff")
    paint_magnifier(painter, QRectF(300, 0, 48, 50), "#000000")
    for place, degrees in enumerate((0.0, 90.0, 180.0, 270.0)):
        paint_arrow(painter, QRectF(350 + 50 * place, 0, 48, 50), "#000000", degrees=degrees)


def test_the_small_pictures_stay_in_their_fields() -> None:
    """Each draws something and nothing beyond its rectangle."""
    raster = render(550, 50, small_pictures, ground="#8090a0")
    for place in range(11):
        field = QRectF(50 * place, 0, 47, 49)
        drawn_on = 48 * 50 - raster.count(field, "#8090a0", tolerance=4)
        assert drawn_on > 60, place
        assert raster.column(50 * place + 49, "#8090a0", tolerance=4) == list(range(50)), place


def test_an_unlinked_meter_is_apart() -> None:
    """Plug and socket stand apart where the meter is not linked."""
    linked = render(76, 32, lambda p: paint_meter(p, QRectF(0, 0, 76, 32), "#000000"))
    apart = render(76, 32, lambda p: paint_meter(p, QRectF(0, 0, 76, 32), "#000000", linked=False))
    gap = [x for x in range(34, 46) if not apart.column(x, "#000000")]
    assert len(gap) >= 4
    assert len([x for x in range(34, 46) if not linked.column(x, "#000000")]) < len(gap)
