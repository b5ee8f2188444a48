"""A machine's tag as a square code that a scanner at the counter reads."""

from functools import lru_cache

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter, QPainterPath

QUIET_MODULES = 4


@lru_cache(maxsize=64)  # laid out and painted, once for every copy
def tag_modules(payload: str) -> tuple[tuple[bool, ...], ...]:
    """The code's modules row by row, True where dark, without the quiet zone around it."""
    # After first paint: the slip beside the bench shares this painter and needs no code.
    from segno import make

    code = make(payload, micro=False, error="m", boost_error=True)
    return tuple(tuple(bool(module) for module in row) for row in code.matrix)


def paint_tag_code(painter: QPainter, rect: QRectF, payload: str) -> None:
    """The code filling the square of `rect`; the four modules around it must be left white."""
    modules = tag_modules(payload)
    size = min(rect.width(), rect.height()) / len(modules)
    path = QPainterPath()
    for y, row in enumerate(modules):
        x = 0
        while x < len(row):
            run = x
            while run < len(row) and row[run]:
                run += 1
            if run > x:
                path.addRect(rect.left() + x * size, rect.top() + y * size, (run - x) * size, size)
            x = run + 1
    painter.save()
    # Edges on whole pixels: a blurred module is a misread module.
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
    painter.fillPath(path, QColor("#000000"))
    painter.restore()
