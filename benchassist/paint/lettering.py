"""Text that is always measured first: fitted, shrunk, wrapped or elided, never clipped.

Whatever somebody typed or sent is made plain (`core/plain_text.py`) before it is measured, so that
it stays on its line and costs what a line costs.
"""

from bisect import bisect_left
from dataclasses import dataclass, replace
from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen

from benchassist.core.plain_text import plain
from benchassist.paint.font import font

LEFT, CENTRE, RIGHT = 0.0, 0.5, 1.0
SMALLEST = 15
JOINTS = "/\\-"
"""A long word is cut after one of these rather than anywhere."""
FIRST_LOOK = 16
"""Characters of a long word that are measured first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """How a text is set. `align` is the part of its width left of the point it is placed at."""

    px: int
    weight: int = 500
    color: str
    align: float = LEFT
    struck: bool = False

    @property
    def font(self) -> QFont:
        """The font to draw with."""
        made = font(self.px, self.weight)
        made.setStrikeOut(self.struck)
        return made

    def width(self, text: str) -> float:
        """How far the text advances, in the painter's units."""
        return QFontMetricsF(self.font).horizontalAdvance(plain(text))

    def sized(self, px: int) -> "Style":
        """The same, another size."""
        return replace(self, px=px)


def draw(painter: QPainter, x: float, baseline: float, text: str, style: Style) -> QRectF:
    """Draw one line as it is and return the rectangle it takes, ascent to descent."""
    text = plain(text)
    width = style.width(text)
    left = x - style.align * width
    painter.setFont(style.font)
    painter.setPen(QPen(QColor(style.color)))
    painter.drawText(QPointF(left, baseline), text)
    return text_rect(x, baseline, width, style)


def text_rect(x: float, baseline: float, width: float, style: Style) -> QRectF:
    """What a line of that width takes, from the top of its capitals to its descenders."""
    return QRectF(x - style.align * width, baseline - 0.74 * style.px, width, 0.98 * style.px)


def fit(text: str, width: float, style: Style, *, least: int = SMALLEST) -> tuple[str, Style]:
    """The text and a style in which it is at most `width` wide: shrunk to `least`, then elided."""
    text, px = plain(text), style.px
    while px > least and style.sized(px).width(text) > width:
        px -= 1
    fitted = style.sized(px)
    if fitted.width(text) <= width:
        return text, fitted
    return _elided(text, width, fitted), fitted


def _elided(text: str, width: float, style: Style) -> str:
    """The beginning of the text and an ellipsis. Qt rounds widths to 1/64: leave it a hair.

    It measures beginning and ellipsis apart: beside each other they may be wider.
    """
    metrics = QFontMetricsF(style.font)
    shown = metrics.elidedText(plain(text), Qt.TextElideMode.ElideRight, width - 0.2)
    while len(shown) > 1 and metrics.horizontalAdvance(shown) > width:
        shown = f"{shown[:-2]}…"
    return shown


def draw_fitted(
    painter: QPainter,
    x: float,
    baseline: float,
    text: str,
    style: Style,
    *,
    width: float,
    least: int = SMALLEST,
) -> QRectF:
    """Draw one line at most `width` wide (see `fit`) and return the rectangle it takes."""
    fitted, smaller = fit(text, width, style, least=least)
    return draw(painter, x, baseline, fitted, smaller)


def wrap(
    text: str,
    width: float,
    style: Style,
    *,
    lines: int | None = None,
    indent: float = 0.0,
) -> tuple[str, ...]:
    """The text broken at blanks into lines of at most `width`; a longer word is cut in pieces.

    With `lines`, no more than that many, the last one elided. The first line is shorter by
    `indent`; it is empty where not even one word fits beside what stands there.
    """
    return _wrapped(plain(text), width, style, lines, indent)


@lru_cache(maxsize=256)
def _wrapped(
    text: str, width: float, style: Style, lines: int | None, indent: float
) -> tuple[str, ...]:
    """A page that tries how it fits asks for the same lines many times."""
    metrics = QFontMetricsF(style.font)
    broken: list[str] = []
    line, along = "", 0.0  # `along` is as far as the line reaches, or somewhat farther
    for word in text.split():
        rest, own = word, metrics.horizontalAdvance(word)
        room = width - (0.0 if broken else indent)
        joined, reach = (f"{line} {word}", along + style.px + own) if line else (word, own)
        if line and reach > room:  # near the end it is measured as a whole
            reach = metrics.horizontalAdvance(joined)
        if reach <= room:
            line, along = joined, reach
            continue
        if line or (indent and not broken):
            broken.append(line)
        if own > width:
            while (cut := _cut(rest, width, metrics)) < len(rest):
                broken.append(rest[:cut])
                rest = rest[cut:]
        line, along = rest, metrics.horizontalAdvance(rest)
    if line:
        broken.append(line)
    if lines is not None and len(broken) > lines:
        last = " ".join(broken[lines - 1 :])
        broken[lines - 1 :] = [_elided(last, width, style)]
    return tuple(broken)


def balance(text: str, width: float, style: Style) -> tuple[str, ...]:
    """The text wrapped into as few lines as `width` allows, these as even as they can be."""
    return _balanced(plain(text), width, style)


@lru_cache(maxsize=256)
def _balanced(text: str, width: float, style: Style) -> tuple[str, ...]:
    rows = wrap(text, width, style)
    widest = max((style.width(word) for word in text.split()), default=0.0)
    narrower = rows
    while len(narrower) == len(rows) and len(rows) > 1:
        rows = narrower
        width = max(style.width(row) for row in rows) - 1.0
        if width < widest:
            break
        narrower = wrap(text, width, style)
    return rows


def _cut(word: str, width: float, metrics: QFontMetricsF) -> int:
    """How many leading characters of a word go on a line: a path is cut at its folders."""
    fitting = _fitting(word, width, metrics)
    if fitting == len(word):
        return fitting
    joint = 1 + max(word.rfind(mark, 0, fitting) for mark in JOINTS)
    return joint if joint > fitting // 2 else fitting


def _fitting(word: str, width: float, metrics: QFontMetricsF) -> int:
    """How many leading characters of a word fit, at least one.

    Little more than these is measured, however long the word is.
    """
    reach = FIRST_LOOK
    while reach < len(word) and metrics.horizontalAdvance(word[:reach]) <= width:
        reach *= 2
    lengths = range(2, min(reach, len(word)) + 1)
    return 1 + bisect_left(lengths, True, key=lambda n: metrics.horizontalAdvance(word[:n]) > width)
