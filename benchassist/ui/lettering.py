"""Text set into rectangles, in design units: a row, runs on a row, a paragraph.

Nothing is clipped: a text too long is first set smaller, down to a size still read, and only then
ended with an ellipsis.
"""

from dataclasses import replace

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from benchassist.core.plain_text import MOST_SHOWN
from benchassist.paint import lettering
from benchassist.paint.lettering import CENTRE, LEFT, RIGHT, SMALLEST, Style

__all__ = [
    "CENTRE",
    "LEFT",
    "RIGHT",
    "Style",
    "columns_of",
    "paragraph",
    "row",
    "runs",
    "wrapped_height",
]

CAPITAL = 0.668
"""Height of a capital in Bench Sans, as a part of its size."""
LEADING = 1.27
THINNEST = 0.2
"""Width of a narrow letter, as a part of its size."""


def row(
    painter: QPainter, rect: QRectF, text: str, style: Style, *, least: int = SMALLEST
) -> QRectF:
    """One line, its capitals centred in the height of `rect`; returns what it takes."""
    if not text:
        return QRectF(rect.left(), rect.top(), 0.0, rect.height())
    text, fitted = lettering.fit(text, rect.width(), style, least=min(least, style.px))
    x = rect.left() + style.align * rect.width()
    baseline = rect.center().y() + CAPITAL * fitted.px / 2.0
    return lettering.draw(painter, x, baseline, text, fitted)


def runs(
    painter: QPainter,
    rect: QRectF,
    parts: tuple[tuple[str, Style], ...],
    *,
    align: float = LEFT,
    least: int = SMALLEST,
) -> float:
    """Pieces of text on one line, all set smaller together until they fit; returns their width.

    What still does not fit at `least` is ended in the last piece.
    """
    shrink = 0
    smallest = min(style.px for _, style in parts)
    while smallest - shrink > least and _width(parts, shrink) > rect.width():
        shrink += 1
    whole = min(_width(parts, shrink), rect.width())
    x = rect.left() + align * (rect.width() - whole)
    first = parts[0][1]
    baseline = rect.center().y() + CAPITAL * (first.px - shrink) / 2.0
    for text, style in parts:
        smaller = replace(style, px=style.px - shrink, align=LEFT)
        fitting, _ = lettering.fit(text, rect.right() - x + 0.5, smaller, least=smaller.px)
        lettering.draw(painter, x, baseline, fitting, smaller)
        x += smaller.width(fitting)
    return whole


def _width(parts: tuple[tuple[str, Style], ...], shrink: int) -> float:
    return sum(style.sized(style.px - shrink).width(text) for text, style in parts)


def paragraph(
    painter: QPainter,
    rect: QRectF,
    text: str,
    style: Style,
    *,
    least: int = SMALLEST,
    upright: float = 0.0,
) -> float:
    """A paragraph, set smaller until it fits; `upright` 0 sits at the top, 0.5 centred, 1 bottom.

    Lines break at blanks and where the text has a line break. Returns the height taken.
    """
    if not text:
        return 0.0
    text = _cut(text, rect, min(least, style.px))
    px = style.px
    while px > least and wrapped_height(text, rect.width(), style.sized(px)) > rect.height():
        px -= 1
    style = style.sized(px)
    step = LEADING * px
    most = max(1, int((rect.height() + 0.2 * px) / step))
    lines = _lines(text, rect.width(), style)
    if len(lines) > most:
        lines = (*lines[: most - 1], " ".join(lines[most - 1 :]))
    height = step * len(lines)
    y = rect.top() + upright * (rect.height() - height)
    for words in lines:
        row(painter, QRectF(rect.left(), y, rect.width(), step), words, style, least=px)
        y += step
    return height


def _cut(text: str, rect: QRectF, px: int) -> str:
    """The text without what could not stand in `rect` if all of it were thin letters."""
    lines = rect.height() / (LEADING * px) + 2.0
    most = max(1, int(lines * rect.width() / (THINNEST * px)))
    return f"{text[:most]}…" if len(text) > most else text


def wrapped_height(text: str, width: float, style: Style) -> float:
    """Height of a text broken at `width`."""
    return LEADING * style.px * len(_lines(text, width, style))


def _lines(text: str, width: float, style: Style) -> tuple[str, ...]:
    return tuple(
        line
        for part in text[:MOST_SHOWN].split("\n")
        for line in (lettering.wrap(part, width, style) or ("",))
    )


def columns_of(rect: QRectF, count: int, gap: float) -> tuple[QRectF, ...]:
    """`rect` cut into `count` columns of the same width."""
    width = (rect.width() - gap * (count - 1)) / count
    return tuple(
        QRectF(rect.left() + i * (width + gap), rect.top(), width, rect.height())
        for i in range(count)
    )
