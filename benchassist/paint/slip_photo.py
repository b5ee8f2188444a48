"""Photos on a printed slip: up to three in one row, each with its words below."""

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QRectF

from benchassist.core.slip import SlipPhoto
from benchassist.paint.lettering import Style, fit
from benchassist.paint.palette import Palette
from benchassist.paint.slip_mark import Block, Mark, PhotoMark, TextMark

TALLEST: Final = 260.0
"""Height of a photo where there is room, in units of 1/150 inch: 44 mm."""
LEAST: Final = 148.0
"""Below 25 mm a photo shows nothing: then there are none."""
ABOVE: Final = 14.0
BELOW: Final = 30.0
"""Beside a photo's own height: what stands free above, and its words below."""
MOST: Final = 3
_GUTTER: Final = 28.0


def photo_block(
    photos: Sequence[SlipPhoto], *, width: float, height: float, palette: Palette
) -> Block:
    """The first three, each as large as its part of the row; lower where none is that high."""
    shown = photos[:MOST]
    count = max(2, len(shown))
    across = (width - _GUTTER * (count - 1)) / count
    tall = max(min(height, across * photo.height / photo.width) for photo in shown)
    marks: list[Mark] = []
    for i, photo in enumerate(shown):
        left = i * (across + _GUTTER)
        marks.append(PhotoMark(rect=QRectF(left, ABOVE, across, tall), data=photo.data))
        text, style = fit(photo.caption, across, Style(px=16, color=palette.ink))
        marks.append(TextMark(x=left, baseline=ABOVE + tall + 21.0, text=text, style=style))
    return Block(ABOVE + tall + BELOW, tuple(marks))
