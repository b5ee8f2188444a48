import pytest
import segno
from PySide6.QtCore import QRectF

from benchassist.paint.tag_code import paint_tag_code, tag_modules
from tests.paint.raster import render


@pytest.mark.parametrize("payload", ["TH-07", "https://example.invalid/very/long/tag/of/a/machine"])
def test_the_code_drawn_is_the_code_made(payload: str) -> None:
    """Every module drawn, black or white, is that of the library's matrix for the payload."""
    matrix = segno.make(payload, micro=False, error="m", boost_error=True).matrix
    modules = tag_modules(payload)
    size = 8 * len(modules)
    raster = render(size, size, lambda p: paint_tag_code(p, QRectF(0.0, 0.0, size, size), payload))
    for y, row in enumerate(matrix):
        for x, dark in enumerate(row):
            expected = "#000000" if dark else "#ffffff"
            for dx, dy in ((0, 0), (7, 7), (4, 4)):
                assert raster.color(8 * x + dx, 8 * y + dy) == expected


def test_finders_are_where_a_scanner_looks() -> None:
    """Seven-module squares with a light ring stand in three corners (ISO/IEC 18004, 6.3.3)."""
    modules = tag_modules("TH-07")
    last = len(modules) - 7
    finder = [[max(abs(x - 3), abs(y - 3)) != 2 for x in range(7)] for y in range(7)]
    for top, left in ((0, 0), (0, last), (last, 0)):
        assert [list(modules[top + y][left : left + 7]) for y in range(7)] == finder
