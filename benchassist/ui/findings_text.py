"""Texts one below the other, set smaller together until all of them fit their room."""

from dataclasses import dataclass, replace

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from benchassist.paint import lettering
from benchassist.ui.lettering import LEADING, Style

LEAST = 13
"""Nothing is set smaller than this before the last line is ended."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A text that wraps. `lead` stands before it in the heaviest weight; `above` is the gap.

    It is set as small as `least` first; what then has a rank in `spare` is left out, the highest
    first, where another place says it too; only then it goes down to `floor`.
    """

    text: str
    style: Style
    lead: str = ""
    above: float = 0.0
    least: int = 15
    floor: int = LEAST
    spare: int = 0

    def smaller(self, by: int, least: int) -> "Piece":
        """The same, set smaller, never under `least`; one that is smaller already stays."""
        px = max(min(self.style.px, least), self.style.px - by)
        return replace(self, style=self.style.sized(px))

    @property
    def lead_style(self) -> Style:
        """How the lead is set."""
        return replace(self.style, weight=800)

    @property
    def lead_width(self) -> float:
        """What the lead takes from the first line."""
        return self.lead_style.width(f"{self.lead} ") if self.lead else 0.0

    def lines(self, width: float) -> tuple[str, ...]:
        """Its lines; the first is shorter by the lead, and empty where nothing fits beside it."""
        wrapped = [
            *lettering.wrap(self.text, width, self.style, indent=min(self.lead_width, width))
        ]
        for i in range(1, len(wrapped)):
            before, _blank, figure = wrapped[i - 1].rpartition(" ")
            if before and wrapped[i].startswith("%"):
                wrapped[i - 1 : i + 1] = [before, f"{figure} {wrapped[i]}"]
        return tuple(wrapped)

    def height(self, width: float) -> float:
        """What it takes, the gap above it included."""
        if not (self.text or self.lead):
            return 0.0
        return self.above + LEADING * self.style.px * max(1, len(self.lines(width)))


def fitted(pieces: tuple[Piece, ...], width: float, height: float) -> tuple[Piece, ...]:
    """The pieces at the largest sizes at which they fit, at most as large as given."""
    now = tuple(piece for piece in pieces if piece.text or piece.lead)
    for spare in sorted({piece.spare for piece in now}, reverse=True):
        kept = tuple(p for p in pieces if p.spare <= spare and (p.text or p.lead))
        for by in range(40):
            now = tuple(piece.smaller(by, piece.least) for piece in kept)
            if column_height(now, width) <= height:
                return now
    kept = now
    for by in range(12):
        now = tuple(piece.smaller(by, min(piece.floor, piece.style.px)) for piece in kept)
        if column_height(now, width) <= height:
            return now
    return now


def column_height(pieces: tuple[Piece, ...], width: float) -> float:
    """What they take one below the other; the first one's gap does not count."""
    return sum(piece.height(width) for piece in pieces) - (pieces[0].above if pieces else 0.0)


def paint_column(
    painter: QPainter, room: QRectF, pieces: tuple[Piece, ...], *, upright: float = 0.0
) -> float:
    """Draw them from the top of `room`, set smaller where they must be; returns where they end.

    `upright` 0.5 centres them, 1 puts them at the bottom.
    """
    shown = fitted(pieces, room.width(), room.height())
    y = room.top() + upright * max(0.0, room.height() - column_height(shown, room.width()))
    for i, piece in enumerate(shown):
        y += piece.above if i else 0.0
        if i and y + 0.7 * LEADING * piece.style.px > room.bottom():
            break
        y = _paint_piece(painter, QRectF(room.left(), y, room.width(), room.bottom() - y), piece)
    return y


def _paint_piece(painter: QPainter, room: QRectF, piece: Piece) -> float:
    step = LEADING * piece.style.px
    lines = piece.lines(room.width()) or ("",)
    fits = max(1, int((room.height() + 0.3 * step) / step))
    if len(lines) > fits:
        wide = room.width() - (piece.lead_width if fits == 1 else 0.0)
        text = " ".join(lines[fits - 1 :])
        rest, _style = lettering.fit(text, wide, piece.style, least=piece.style.px)
        lines = (*lines[: fits - 1], rest)
    y = room.top()
    if piece.lead:
        lead, style = lettering.fit(piece.lead, room.width(), piece.lead_style, least=LEAST)
        lettering.draw(painter, room.left(), y + 0.83 * step, lead, style)
    for i, text in enumerate(lines):
        x = room.left() + (0.0 if i else piece.lead_width)
        lettering.draw(painter, x, y + 0.83 * step, text, piece.style)
        y += step
    return y
