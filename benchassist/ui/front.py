"""The window's first paint: the counter's skeleton. Nothing but Qt is imported for it.

What stands in the window comes from a zero timer after that paint; what was typed meanwhile is
handed on.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QTimer
from PySide6.QtGui import QColor, QPainter, QPixmap
from PySide6.QtWidgets import QApplication, QWidget

if TYPE_CHECKING:  # the names of the Qt namespace alone take 27 ms, a quarter of an empty window
    from PySide6.QtGui import QCloseEvent, QKeyEvent, QPaintEvent, QResizeEvent

LIGHT: Final[Mapping[str, str]] = MappingProxyType(
    {
        "bar": "#1A2126",
        "kraft": "#D8CDB9",
        "paper": "#FFFDF6",
        "bench": "#F3F4F1",
        "panel": "#FFFFFF",
        "ink": "#14191D",
    }
)
DARK: Final[Mapping[str, str]] = MappingProxyType(
    {
        "bar": "#070A0C",
        "kraft": "#201C16",
        "paper": "#2B2720",
        "bench": "#11161A",
        "panel": "#1A2127",
        "ink": "#F3F1EA",
    }
)
"""The colours of the skeleton; the palettes have the same."""


class Front(QWidget):
    """The top-level window. `furnish` makes what fills it, as a child of the window given."""

    def __init__(self, furnish: Callable[[QWidget], QWidget], *, theme: str = "system") -> None:
        super().__init__()
        self._furnish = furnish
        self._painted = False
        self._typed: list[QKeyEvent] = []
        self.inside: QWidget | None = None
        dark = theme == "dark" or (theme == "system" and _system_is_dark())
        self.ground = DARK if dark else LIGHT
        self.setWindowTitle("Bench Assistant")
        self.setMinimumSize(720, 460)
        self.resize(1366, 768)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The skeleton, until there is something inside."""
        if self.inside is None:
            painter = QPainter(self)
            self._paint_skeleton(painter)
            painter.end()
        if not self._painted:
            self._painted = True
            QTimer.singleShot(0, self.furnish)

    def furnish(self) -> None:
        """Fill the window, and hand on what was typed so far."""
        if self.inside is not None:
            return
        self.inside = self._furnish(self)
        self.inside.setGeometry(self.rect())
        self.inside.show()
        for event in self._typed:
            QApplication.sendEvent(QApplication.focusWidget() or self.inside, event)
        self._typed.clear()

    def tell(self, line: str) -> None:
        """Hand a line on to what fills the window, if it can say it."""
        tell = getattr(self.inside, "tell", None)
        if tell is not None:
            tell(line)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Keep what is typed before there is anything to type into."""
        if self.inside is None:
            self._typed.append(event.clone())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """What is inside fills the window."""
        if self.inside is not None:
            self.inside.setGeometry(self.rect())

    def closeEvent(self, event: QCloseEvent) -> None:
        """What is inside leaves in order."""
        if self.inside is not None:
            self.inside.close()
        event.accept()

    def _paint_skeleton(self, painter: QPainter) -> None:
        s = min(self.height() / 768.0, self.width() / 1180.0)
        wide, high = self.width() / s, self.height() / s
        left = wide * 492.0 / 1366.0
        x, room = left + 24.0, wide - left - 48.0
        tile = (room - 32.0) / 3.0
        for name, *units in (
            ("bench", 0, 0, wide, high),
            ("kraft", 0, 0, left, high),
            *(("paper", 24, 112 + 152 * i, left - 48, 136) for i in range(3)),
            ("ink", x, 132, room, 80),
            ("panel", x + 4, 136, room - 8, 72),
            *(("panel", x + i * (tile + 16), high - 168, tile, 96) for i in range(3)),
            ("bar", 0, 0, wide, 48),
            ("bar", 0, high - 56, wide, 56),
        ):
            x0, y0, across, down = (round(unit * s) for unit in units)
            _paint_block(painter, self.ground[name], (x0, y0, across, down))


def _paint_block(painter: QPainter, colour: str, place: tuple[int, int, int, int]) -> None:
    """A filled rectangle: x, y, width, height.

    `fillRect` would do, but choosing among its overloads loads the Qt namespace.
    """
    x, y, width, height = place
    block = QPixmap(width, height)
    block.fill(QColor(colour))
    painter.drawPixmap(x, y, block)


def _system_is_dark() -> bool:
    """Told from the application's palette: asking for the scheme itself takes 17 ms."""
    return QApplication.palette().window().color().lightness() < 128
