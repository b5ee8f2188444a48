"""Renders a drawing and looks at its pixels and at the texts it drew."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QFontMetricsF, QImage, QPainter


class TextPainter(QPainter):
    """A painter that remembers every text it draws and where, in device pixels."""

    def __init__(self, image: QImage) -> None:
        super().__init__(image)
        self.texts: list[tuple[str, QRectF]] = []

    def drawText(self, at: QPointF, text: str) -> None:  # type: ignore[override]
        """Remember how far the text advances and how high it stands, then draw it."""
        metrics = QFontMetricsF(self.font())
        tight = metrics.tightBoundingRect(text).translated(at)
        rect = QRectF(at.x(), tight.top(), metrics.horizontalAdvance(text), tight.height())
        self.texts.append((text, self.worldTransform().mapRect(rect)))
        super().drawText(at, text)


@dataclass(frozen=True, slots=True)
class Raster:
    """A rendered drawing."""

    image: QImage
    texts: list[tuple[str, QRectF]] = field(default_factory=list)

    def color(self, x: float, y: float) -> str:
        """The colour of a pixel as #rrggbb."""
        return self.image.pixelColor(int(x), int(y)).name()

    def near(self, x: float, y: float, color: str, *, tolerance: int = 24) -> bool:
        """Whether a pixel has about that colour."""
        a, b = self.image.pixelColor(int(x), int(y)), QColor(color)
        parts = (a.red() - b.red(), a.green() - b.green(), a.blue() - b.blue())
        return max(abs(part) for part in parts) <= tolerance

    def row(self, y: float, color: str, *, tolerance: int = 24) -> list[int]:
        """The x of every pixel of about that colour in a row."""
        return [x for x in range(self.image.width()) if self.near(x, y, color, tolerance=tolerance)]

    def column(self, x: float, color: str, *, tolerance: int = 24) -> list[int]:
        """The y of every pixel of about that colour in a column."""
        return [
            y for y in range(self.image.height()) if self.near(x, y, color, tolerance=tolerance)
        ]

    def count(self, rect: QRectF, color: str, *, tolerance: int = 24) -> int:
        """How many pixels inside a rectangle have about that colour."""
        inner = rect.toAlignedRect().intersected(self.image.rect())
        return sum(
            self.near(x, y, color, tolerance=tolerance)
            for x in range(inner.left(), inner.right() + 1)
            for y in range(inner.top(), inner.bottom() + 1)
        )

    def is_grey(self) -> bool:
        """Whether no pixel has a colour."""
        grey = self.image.convertToFormat(QImage.Format.Format_Grayscale8)
        return grey.convertToFormat(QImage.Format.Format_RGB32) == self.image


def render(
    width: int, height: int, paint: Callable[[QPainter], object], *, ground: str = "#ffffff"
) -> Raster:
    """The drawing on a flat ground."""
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(QColor(ground))
    painter = TextPainter(image)
    try:
        paint(painter)
    finally:
        painter.end()
    return Raster(image, painter.texts)


def overlaps(rects: list[tuple[str, QRectF]]) -> Iterator[tuple[str, str]]:
    """Every two texts that stand on each other."""
    for index, (text, rect) in enumerate(rects):
        for other, second in rects[index + 1 :]:
            if rect.intersects(second):
                yield text, other


def runs(places: list[int]) -> list[tuple[int, int]]:
    """Neighbouring numbers joined to (first, last)."""
    joined: list[tuple[int, int]] = []
    for place in places:
        if joined and place == joined[-1][1] + 1:
            joined[-1] = (joined[-1][0], place)
        else:
            joined.append((place, place))
    return joined
