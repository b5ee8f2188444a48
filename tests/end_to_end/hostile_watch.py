"""Watches a window for what hostile text could do to it: every text that is drawn, named or titled.

A fault is a text outside its part, one that would steer what shows it, one that is taken for
mark-up, and more measuring than a page of ordinary words would cost.
"""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QFontMetricsF, QPainter
from PySide6.QtWidgets import QAbstractButton, QLabel, QLineEdit, QTextEdit, QWidget

from benchassist.core.plain_text import plain, typed
from benchassist.paint import lettering
from benchassist.paint.lettering import Style
from benchassist.ui.shell import Shell

MOST_MEASURED = 8_000_000
"""Characters that a page may measure, which takes about a second: what a slip takes on which every
text is as long as is shown of one. However much longer it is, no more is measured.
"""
NAMES = (
    QWidget.accessibleName,
    QWidget.accessibleDescription,
    QWidget.toolTip,
    QWidget.statusTip,
    QWidget.whatsThis,
    QWidget.windowTitle,
)
SEEN = (QLineEdit.displayText, QLineEdit.placeholderText)


class Watch:
    """Faults since the last `clear`, and how many characters were measured since."""

    def __init__(self) -> None:
        self.faults: list[str] = []
        self.measured = 0

    def clear(self) -> None:
        """Begin anew."""
        self.faults.clear()
        self.measured = 0

    def look(self, shell: Shell, where: str) -> None:
        """Draw the page in front and read all that it says."""
        shell.page.refresh()
        assert not shell.grab().isNull()
        if self.measured > MOST_MEASURED:
            self.faults.append(f"{self.measured} characters were measured")
        for part in shell.findChildren(QWidget):
            self._read(part)
        assert not self.faults, f"{where}:\n" + "\n".join(dict.fromkeys(self.faults))
        self.clear()

    def _read(self, part: QWidget) -> None:
        for said in NAMES:
            text = said(part)
            if plain(text, len(text)) != text:
                self.faults.append(f"{type(part).__name__}.{said.__name__}: {text[:60]!r}")
        if isinstance(part, QLineEdit):
            for shown in SEEN:
                text = shown(part)
                if typed(text) != text:
                    self.faults.append(f"{type(part).__name__}.{shown.__name__}: {text[:60]!r}")
        reads_mark_up = isinstance(part, QLabel | QTextEdit)
        if reads_mark_up or (isinstance(part, QAbstractButton) and part.text()):
            self.faults.append(f"{type(part).__name__} sets text by itself")

    def drawn(self, painter: QPainter, text: str, rect: QRectF) -> None:
        """A text is drawn."""
        device = painter.device()
        if isinstance(device, QWidget):
            where = painter.worldTransform().mapRect(rect)
            if where.left() < -1.5 or where.right() > device.width() + 1.5:
                self.faults.append(f"{type(device).__name__}: outside: {text[:60]!r}")
        if plain(text) != text:
            self.faults.append(f"not plain: {text[:60]!r}")


@contextmanager
def watched() -> Iterator[Watch]:
    """Watch every window from here on."""
    watch, draw = Watch(), lettering.draw

    def recorded(painter: QPainter, x: float, baseline: float, text: str, style: Style) -> QRectF:
        rect = draw(painter, x, baseline, text, style)
        watch.drawn(painter, text, rect)
        return rect

    class Counted(QFontMetricsF):
        def horizontalAdvance(self, text: str) -> float:  # type: ignore[override]
            watch.measured += len(text)
            return super().horizontalAdvance(text)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(lettering, "draw", recorded)
        patch.setattr(lettering, "QFontMetricsF", Counted)
        yield watch
