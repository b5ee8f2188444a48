"""Forty seconds of Qt at 10 Hz; prints by how much the references of None and True changed.

A binding that gives away a reference at every overridden method or emitted bool looks healthy in a
short test and ends the process a quarter of a minute later. Run as a program by the soak test.
"""

import json
import sys

from PySide6.QtCore import QObject, QSize, QTimer, Signal
from PySide6.QtWidgets import QApplication, QWidget

TICKS = 400
WARM_UP_TICKS = 20
INTERVAL_MS = 100
CALLS = 10


class Source(QObject):
    """Emits a bool."""

    changed = Signal(bool)


class Painted(QWidget):
    """Overrides methods that return None and one that returns a value."""

    def __init__(self) -> None:
        super().__init__()
        self.paints = 0

    def paintEvent(self, _event: object) -> None:
        """Count the call and return None to Qt."""
        self.paints += 1

    def resizeEvent(self, _event: object) -> None:
        """Return None to Qt."""

    def sizeHint(self) -> QSize:
        """Return a value to Qt."""
        return QSize(100, 40)


def references() -> tuple[int, int]:
    """Return the reference counts of None and True."""
    return sys.getrefcount(None), sys.getrefcount(True)


def main() -> None:
    """Tick, then print the changes and the number of paints as JSON."""
    app = QApplication([])
    source, widget, timer = Source(), Painted(), QTimer()
    source.changed.connect(widget.setEnabled)
    widget.show()
    ticks = 0
    start = references()

    def tick() -> None:
        nonlocal ticks, start
        ticks += 1
        if ticks == WARM_UP_TICKS:
            start = references()
        if ticks == TICKS:
            app.quit()
        for call in range(CALLS):
            source.changed.emit(call % 2 == 0)
            widget.repaint()
            widget.resize(100 + call, 40)
            widget.parentWidget()
            widget.focusWidget()

    timer.timeout.connect(tick)
    timer.start(INTERVAL_MS)
    app.exec()
    none, true = (after - before for after, before in zip(references(), start, strict=True))
    print(json.dumps({"none": none, "true": true, "ticks": ticks, "paints": widget.paints}))


if __name__ == "__main__":
    main()
