import subprocess
import sys

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from benchassist.paint.palette import DARK as DARK_PALETTE
from benchassist.paint.palette import LIGHT as LIGHT_PALETTE
from benchassist.ui.front import DARK, LIGHT, Front
from benchassist.ui.shell import Habits, Shell
from tests.ui.desks import desks_of

FIRST_PAINT = """
import os, sys
os.environ["QT_QPA_PLATFORM"] = "offscreen"
from PySide6.QtWidgets import QApplication
from benchassist.ui.front import Front

def furnish(window):
    from benchassist.ui.shell import Shell
    return Shell(lambda: None, parent=window)

def imported(names):
    return sorted(set(names.split()) & set(sys.modules))

app = QApplication([])
front = Front(furnish, theme="light")
front.show()
while not front._painted:
    app.processEvents()
print(imported("benchassist.core.band benchassist.paint.palette benchassist.ui.shell dataclasses"))
front.inside or front.furnish()
front.inside.load = lambda: None
while not front.inside._painted:
    app.processEvents()
print(imported("numpy pyqtgraph pint sqlalchemy alembic psycopg serial cattrs tomlkit segno"))
print(imported("benchassist.ui.shell"))
"""


def test_nothing_heavy_is_imported_before_the_first_paint() -> None:
    """The skeleton comes before our own core; the counter before numpy, plots, units, storage."""
    done = subprocess.run(
        [sys.executable, "-c", FIRST_PAINT], capture_output=True, text=True, check=False
    )
    assert done.stderr == ""
    assert done.stdout.splitlines() == ["[]", "[]", "['benchassist.ui.shell']"]


def test_the_skeleton_has_the_colours_of_the_palettes() -> None:
    """What is written twice to be fast is the same twice."""
    for skeleton, palette in ((LIGHT, LIGHT_PALETTE), (DARK, DARK_PALETTE)):
        assert dict(skeleton) == {name: getattr(palette, name) for name in skeleton}


def test_the_skeleton_is_never_a_blank(qtbot: QtBot) -> None:
    """Bar, slips, box and tiles stand in it before anything else does."""
    front = Front(QWidget, theme="dark")
    qtbot.addWidget(front)
    front._painted = True
    picture = front.grab().toImage()
    seen = {picture.pixelColor(x, y).name() for x, y in ((9, 9), (9, 90), (60, 140), (700, 300))}
    assert seen == {DARK[name].lower() for name in ("bar", "kraft", "paper", "bench")}


def test_the_window_is_furnished_after_its_first_paint(qtbot: QtBot) -> None:
    """Shell and desks come by themselves; what was typed before them is searched."""
    front = Front(lambda window: Shell(desks_of, Habits(theme="light"), window), theme="light")
    qtbot.addWidget(front)
    QTest.keyClicks(front, "th")
    front.show()
    front.activateWindow()
    qtbot.waitUntil(front.isActiveWindow)
    qtbot.waitUntil(lambda: isinstance(front.inside, Shell) and front.inside.desks is not None)
    shell = front.inside
    assert isinstance(shell, Shell)
    assert shell.size() == front.size()
    assert shell.counter.search.field.text() == "th"
    front.resize(1000, 600)
    assert shell.size() == front.size()


def test_quitting_closes_the_window_and_leaves_in_order(qtbot: QtBot) -> None:
    """Ctrl+Q closes the window; its timer stops with it."""
    front = Front(lambda window: Shell(desks_of, Habits(theme="light"), window), theme="light")
    qtbot.addWidget(front)
    front.show()
    qtbot.waitUntil(lambda: isinstance(front.inside, Shell) and front.inside.desks is not None)
    shell = front.inside
    assert isinstance(shell, Shell)
    QTest.keyClick(shell, Qt.Key.Key_Q, Qt.KeyboardModifier.ControlModifier)
    assert not front.isVisible()
    assert not shell._timer.isActive()
