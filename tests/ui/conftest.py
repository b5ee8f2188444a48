"""A window with invented desks, and a way to press its keys."""

import os
from collections.abc import Callable, Iterator

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from benchassist.services.bench.view import BenchView
from benchassist.services.findings.view import FindingsView
from benchassist.ui.page import Turn
from benchassist.ui.shell import Habits, Shell
from tests.ui.desks import FakeBench, FakeFindings, desks_of

OpenWindow = Callable[..., Shell]
OpenBench = Callable[..., tuple[Shell, FakeBench]]
OpenFindings = Callable[[FindingsView], tuple[Shell, FakeFindings]]


@pytest.fixture
def open_window(qtbot: QtBot) -> Iterator[OpenWindow]:
    """Open a loaded window; keyword arguments go to the desks. Its timer stands still."""

    def opened(habits: Habits | None = None, **given: object) -> Shell:
        shell = Shell(lambda: desks_of(**given), habits or Habits(theme="light"))
        qtbot.addWidget(shell)
        shell.show()
        shell.activateWindow()
        qtbot.waitUntil(shell.isActiveWindow)
        shell.load()
        shell._timer.stop()
        return shell

    yield opened
    QApplication.processEvents()


@pytest.fixture
def open_bench(open_window: OpenWindow) -> OpenBench:
    """Open a window on a bench that shows a view; keyword arguments go to the other desks."""

    def opened(view: BenchView, **given: object) -> tuple[Shell, FakeBench]:
        desk = FakeBench(view)
        shell = open_window(bench=desk, **given)
        shell.turn(Turn(page="bench", visit_id="v1"))
        desk.acts.clear()
        return shell, desk

    return opened


@pytest.fixture
def open_findings(open_window: OpenWindow) -> OpenFindings:
    """Open a window on the findings of a visit that is on the bench."""

    def opened(view: FindingsView) -> tuple[Shell, FakeFindings]:
        desk = FakeFindings(view)
        shell = open_window(findings=desk)
        shell.turn(Turn(page="bench", visit_id="v1"))
        QTest.keyClick(shell, Qt.Key.Key_F)
        assert shell.page is shell.findings
        return shell, desk

    return opened
