"""Photos in a row, newest first, each with its words below; as many as there is room for."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.paint.stroke import NO_BRUSH, pen
from benchassist.services.record.photo_view import PhotoStrip, PhotoTile
from benchassist.services.translation import _
from benchassist.ui.crowd import Crowd
from benchassist.ui.lettering import CENTRE, Style, paragraph, row, runs
from benchassist.ui.part import Target

STRIP_HIGH = 156.0
"""Height of the strip as the machine file has it; taller ones have larger pictures."""
HEAD = 26.0
DROP = 8.0
"""How far the tiles draw in from the frame while something is dragged over them."""
WORDS = 26.0
LEAST_WIDE, GAP = 180.0, 22.0
RATIO = 190.0 / 102.0
"""Width of a picture's ground to its height."""


@dataclass(frozen=True, slots=True)
class TileShown:
    """A photo, and whether it is the selected one."""

    tile: PhotoTile
    selected: bool = False


@dataclass(frozen=True, slots=True)
class StripShown:
    """The photos, which of them is selected, and whether something is dragged over them."""

    strip: PhotoStrip = field(default_factory=PhotoStrip)
    at: str = ""
    dragged: bool = False


class PhotoTarget(Target[TileShown]):
    """One photo on its ground; its small picture is decoded once."""

    def __init__(self, value: TileShown, parent: QWidget | None = None) -> None:
        self._image = QImage()
        self._decoded = b""
        super().__init__(value, parent)

    def words(self) -> str:
        """What stands below it, and what is to be said of it."""
        shown = self.value
        chosen = _("selected") if shown.selected else ""
        return ". ".join(t for t in (shown.tile.text, shown.tile.note, chosen) if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """The picture whole on its ground; a dashed edge where its original is not here."""
        shown, tile = self.value, self.value.tile
        ground = room.adjusted(0.0, 0.0, 0.0, -WORDS)
        painter.fillRect(ground, QColor(palette.well))
        paint_picture(painter, ground.adjusted(4.0, 4.0, -4.0, -4.0), self._picture())
        if not tile.thumbnail:
            style = Style(px=15, weight=500, color=palette.dim, align=CENTRE)
            paragraph(painter, ground.adjusted(8.0, 0.0, -8.0, 0.0), tile.note, style, upright=0.5)
        elif tile.missing:
            painter.setPen(pen(palette.dim, 2.0, dash=(6.0, 4.0)))
            painter.setBrush(NO_BRUSH)
            painter.drawRect(ground.adjusted(1.0, 1.0, -1.0, -1.0))
        if shown.selected:
            painter.setPen(pen(palette.live, 4.0))
            painter.setBrush(NO_BRUSH)
            painter.drawRect(ground.adjusted(2.0, 2.0, -2.0, -2.0))
        color = palette.dim if tile.pencilled else palette.ink
        words = Style(px=16, weight=600 if shown.selected else 500, color=color)
        below = QRectF(0.0, ground.bottom() + 4.0, room.width(), WORDS - 4.0)
        row(painter, below, tile.text, words, least=15)

    def _picture(self) -> QImage:
        data = self.value.tile.thumbnail
        if data != self._decoded:
            self._decoded, self._image = data, QImage.fromData(data)
        return self._image


class PhotoStripPart(Crowd[StripShown, TileShown]):
    """Title and count, then tiles; the selected one always shows. `chosen` says an entry's id."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(StripShown(), parent)

    def words(self) -> str:
        """Title, count, what was said last."""
        strip = self.value.strip
        told = (strip.title, str(len(strip.tiles)), strip.busy_text, strip.said)
        return ". ".join(t for t in told if t)

    @property
    def fits(self) -> int:
        """How many tiles there is room for."""
        wide, high = self.width() / self.look.s, self.height() / self.look.s
        least = max(LEAST_WIDE, RATIO * (high - HEAD - WORDS))
        return max(1, round((wide + GAP) / (least + GAP)))

    def items(self) -> Sequence[TileShown]:
        """Those that show: from the newest on, moved on as far as the selected one needs."""
        shown = self.value
        tiles = [TileShown(tile, tile.entry_id == shown.at) for tile in shown.strip.tiles]
        here = next((i for i, tile in enumerate(tiles) if tile.selected), 0)
        first = max(0, here - self.fits + 1)
        return tiles[first : first + self.fits]

    def make(self, item: TileShown) -> PhotoTarget:
        """A photo."""
        return PhotoTarget(item)

    def token(self, item: TileShown) -> str:
        """Its entry."""
        return item.tile.entry_id

    def places(self, items: Sequence[TileShown], room: QRectF) -> list[QRectF | None]:
        """All of one width, below the title; inside the frame they are dropped into."""
        fits, inset = self.fits, DROP if self.value.dragged else 0.0
        inner = room.adjusted(inset, HEAD + inset, -inset, -inset)
        wide = (inner.width() - GAP * (fits - 1)) / fits
        return [
            QRectF(inner.left() + i * (wide + GAP), inner.top(), wide, inner.height())
            for i in range(len(items))
        ]

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """The title with the count; where there are none, a place to drop one on."""
        shown, strip = self.value, self.value.strip
        title = Style(px=18, weight=700, color=palette.ink)
        quiet = Style(px=18, weight=400, color=palette.ink)
        head = QRectF(0.0, 0.0, room.width(), HEAD - 4.0)
        count = len(strip.tiles)
        told = self._drop_text() if shown.dragged else strip.busy_text
        if count and not told:
            told = _("{n} of {count}").format(n=len(self.items()), count=count)
        runs(painter, head, ((strip.title, title), (f"  {told}" if told else "", quiet)))
        ground = room.adjusted(1.0, HEAD + 1.0, -1.0, -1.0)
        if not count or shown.dragged:
            edge = pen(palette.live, 4.0) if shown.dragged else pen(palette.faint, 2.0, dash=(8, 6))
            painter.setPen(edge)
            painter.setBrush(NO_BRUSH)
            painter.drawRect(ground)
        if not count:
            style = Style(px=18, weight=400, color=palette.dim, align=CENTRE)
            paragraph(painter, ground.adjusted(30, 0, -30, 0), strip.empty_text, style, upright=0.5)

    def _drop_text(self) -> str:
        goes_to = self.value.strip.goes_to
        return _("Drop it: it goes to {visit}").format(visit=goes_to) if goes_to else ""


def paint_picture(painter: QPainter, room: QRectF, image: QImage) -> None:
    """A picture as large as fits, whole, in the middle."""
    if image.isNull():
        return
    size = image.size().toSizeF()
    size.scale(room.size(), Qt.AspectRatioMode.KeepAspectRatio)
    place = QRectF(0.0, 0.0, size.width(), size.height())
    place.moveCenter(room.center())
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    painter.drawImage(place, image)
