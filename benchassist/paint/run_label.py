"""Labels of a plot's axes: many short texts in one style, measured once."""

from collections.abc import Iterable
from functools import lru_cache

from PySide6.QtCore import QPointF
from PySide6.QtGui import QColor, QPainter

from benchassist.core.plain_text import plain
from benchassist.paint.lettering import Style

LABEL = 16
"""Size of the labels, in design units."""
Placed = tuple[float, float, str]
"""Left end, baseline, text."""


@lru_cache(maxsize=1024)
def text_width(text: str, weight: int = 500) -> float:
    """How far a label advances, in design units."""
    return Style(px=LABEL, weight=weight, color="#000000").width(text)


def paint_labels(painter: QPainter, labels: Iterable[Placed], color: str) -> None:
    """Draw them; the font and the colour are set once for all, which a moving plot feels."""
    painter.setFont(Style(px=LABEL, color=color).font)
    painter.setPen(QColor(color))
    for x, baseline, text in labels:
        painter.drawText(QPointF(x, baseline), plain(text))
