"""How everything is dressed: palette and scale, handed down to every part."""

from dataclasses import dataclass
from enum import StrEnum

from PySide6.QtCore import QRect, QRectF, Qt
from PySide6.QtGui import QGuiApplication

from benchassist.paint.palette import DARK, LIGHT, Palette
from benchassist.ui.bench_layout import Place

DESIGN_HEIGHT = 768.0
SMALLEST_SCALE = 0.6


class Theme(StrEnum):
    """Which palette: the system's wish, or always one."""

    SYSTEM = "system"
    LIGHT = "light"
    DARK = "dark"


@dataclass(frozen=True, slots=True)
class Look:
    """Palette and scale; `s` is pixels in one design unit (window height / 768)."""

    palette: Palette
    s: float = 1.0

    def px(self, units: float) -> int:
        """Whole pixels for a length in design units, at least one."""
        return max(1, round(units * self.s))

    def rect(self, place: Place) -> QRect:
        """A place in whole pixels; neighbours that touch in units touch in pixels."""
        left, top = round(place.x * self.s), round(place.y * self.s)
        right = round((place.x + place.width) * self.s)
        return QRect(left, top, right - left, round(place.bottom * self.s) - top)

    def box(self, x: float, y: float, width: float, height: float) -> QRectF:
        """A rectangle in pixels for one in design units."""
        return QRectF(x * self.s, y * self.s, width * self.s, height * self.s)


def look_for(theme: Theme, height: int, width: int = 10_000) -> Look:
    """The look of a window of that size; a narrow one is scaled by its width."""
    dark = theme is Theme.DARK or (theme is Theme.SYSTEM and _system_is_dark())
    s = max(SMALLEST_SCALE, min(height / DESIGN_HEIGHT, width / 1180.0))
    return Look(DARK if dark else LIGHT, s)


def toggled(theme: Theme) -> Theme:
    """The theme that looks the other way from what shows now."""
    dark = theme is Theme.DARK or (theme is Theme.SYSTEM and _system_is_dark())
    return Theme.LIGHT if dark else Theme.DARK


def _system_is_dark() -> bool:
    return QGuiApplication.styleHints().colorScheme() is Qt.ColorScheme.Dark
