"""Every text of every page and state, at several window sizes: inside its part, and whole."""

from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from PySide6.QtCore import QEvent, QRectF, QSize
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from benchassist.paint import lettering
from benchassist.paint.lettering import Style
from benchassist.ui.look import Theme
from benchassist.ui.shell import Shell
from tests.ui.gallery import (
    bench_shots,
    findings_shots,
    log_shots,
    machine_shots,
    page_shots,
    photo_shots,
    records_shots,
    run_shots,
    spec_shots,
)

MAY_END_SHORT = ("Touch:", "9 Jun 2026: the coil", "The doubt of", "10,160")
"""Beginnings of invented texts that are longer than any of ours."""


DESCENDING = set("gjpqyµQ(),;“”")


@dataclass(frozen=True)
class Drawn:
    """A text as it was drawn, in pixels of its part."""

    text: str
    where: QRectF
    part: QRectF
    px: float


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> list[Drawn]:
    """Everything written through the lettering from here on."""
    texts: list[Drawn] = []
    draw = lettering.draw

    def recorded(painter: QPainter, x: float, baseline: float, text: str, style: Style) -> QRectF:
        rect = draw(painter, x, baseline, text, style)
        device = painter.device()
        if isinstance(device, QWidget) and text.strip():
            if not DESCENDING & set(text):
                rect = QRectF(rect.left(), baseline - 0.68 * style.px, rect.width(), 0.7 * style.px)
            where = painter.worldTransform().mapRect(rect)
            scale = painter.worldTransform().m22()
            texts.append(Drawn(text, where, QRectF(device.rect()), style.px * scale))
        return rect

    monkeypatch.setattr(lettering, "draw", recorded)
    return texts


@pytest.fixture
def windows(qtbot: QtBot) -> Iterator[list[Shell]]:
    """Windows that are gone when the test is: many left over burden the next event loop."""
    assert qtbot is not None
    opened: list[Shell] = []
    yield opened
    for shell in opened:
        shell.close()
        shell.deleteLater()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


SIZES = (QSize(1366, 768), QSize(1920, 1080), QSize(1280, 720), QSize(1024, 768))


@pytest.mark.parametrize(
    "shots",
    [
        bench_shots,
        page_shots,
        run_shots,
        findings_shots,
        log_shots,
        machine_shots,
        photo_shots,
        records_shots,
        spec_shots,
    ],
)
@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size.width()}x{size.height()}")
def test_no_text_is_clipped(
    windows: list[Shell], drawn: list[Drawn], shots: object, size: QSize
) -> None:
    """Nothing is written outside its part, cut short, or smaller than can be read."""
    wide = size.width() * 9 >= size.height() * 16 - 16
    faults: list[str] = []
    for name, shell in shots(size, Theme.LIGHT):  # type: ignore[operator]
        if shell not in windows:
            windows.append(shell)
        QApplication.processEvents()
        drawn.clear()
        shell.grab()
        assert drawn, name
        for text in drawn:
            if not text.part.adjusted(-1.5, -1.5, 1.5, 1.5).contains(text.where):
                faults.append(f"{name}: outside: {text}")
            if wide and text.text.endswith("…") and not text.text.startswith(MAY_END_SHORT):
                faults.append(f"{name}: cut: {text.text}")
            if text.px < 8.0:
                faults.append(f"{name}: {text.px:.1f} px: {text.text}")
    assert not faults, "\n".join(faults)
