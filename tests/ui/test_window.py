import subprocess
import sys
from ast import literal_eval
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from benchassist.assembly import Place, peek_theme
from benchassist.errors import InputError, StoreError
from benchassist.services.settings import Settings
from benchassist.ui.front import DARK, Front
from benchassist.ui.look import Theme
from benchassist.ui.page import Turn
from benchassist.ui.shell import Shell
from benchassist.ui.window import front_window, offscreen_window
from tests.ui.desks import desks_of

FIRST_PAINT = """
import os, sys
os.environ["QT_QPA_PLATFORM"] = "offscreen"
from pathlib import Path
from benchassist.assembly import Place
from benchassist.assembly.opening import open_window
from benchassist.ui.front import Front

paint = Front.paintEvent

def painted(self, event):
    paint(self, event)
    own = [n for n in sys.modules if n.startswith(("benchassist.services", "benchassist.core"))]
    print(sorted({*own, "benchassist.units", "numpy"} & set(sys.modules)))
    sys.stdout.flush()
    os._exit(0)

Front.paintEvent = painted
open_window(Place(sys.argv[1] + "/shop.sqlite", Path(sys.argv[1])))
"""


def inside(qtbot: QtBot, front: Front) -> Shell:
    """Show the window, and return what fills it after its first paint."""
    qtbot.addWidget(front)
    front.show()
    qtbot.waitUntil(lambda: isinstance(front.inside, Shell))
    shell = front.inside
    assert isinstance(shell, Shell)
    return shell


def test_the_window_wears_and_keeps_the_shops_settings(qtbot: QtBot) -> None:
    """The kept palette shows from the first paint on; a change is written beside the rest."""
    kept = [Settings(shop_name="Hob Lane", theme="dark", pedal_key="F13", sound=False)]
    front = front_window(desks_of, lambda: kept[-1], kept.append, "dark")
    assert front.ground is DARK
    shell = inside(qtbot, front)
    qtbot.waitUntil(lambda: shell.desks is not None)
    assert shell.pedal.key == "F13"
    assert not shell.habits.sounds
    QTest.keyClick(shell, Qt.Key.Key_L, Qt.KeyboardModifier.ControlModifier)
    assert kept[-1] == replace(kept[0], theme="light")
    shell.keys.sounds_asked.emit()
    assert kept[-1] == replace(kept[0], theme="light", sound=True)
    shell.close()


def test_settings_are_read_after_the_first_paint(qtbot: QtBot) -> None:
    """The window is there before they are asked for."""
    painted: list[bool] = []

    def read() -> Settings:
        painted.append(front._painted)
        return Settings(theme="light")

    front = front_window(desks_of, read, lambda _kept: None, "light")
    inside(qtbot, front)
    assert painted == [True]


def test_damaged_settings_are_one_line_on_the_counter(qtbot: QtBot) -> None:
    """They are named, nothing is opened, and a change of palette does not write over them."""
    written: list[Settings] = []

    def read() -> Settings:
        raise InputError("settings.json: not a settings file")

    front = front_window(desks_of, read, written.append, "dark")
    shell = inside(qtbot, front)
    qtbot.waitUntil(lambda: bool(shell.counter.message.value))
    assert "not a settings file" in shell.counter.message.accessibleName()
    assert shell.desks is None
    QTest.keyClick(shell, Qt.Key.Key_L, Qt.KeyboardModifier.ControlModifier)
    assert shell.theme is Theme.LIGHT
    assert written == []


def test_settings_that_cannot_be_kept_are_one_line(qtbot: QtBot) -> None:
    """The palette changes all the same, and the page says what went wrong."""

    def keep(_settings: Settings) -> None:
        raise StoreError("settings.json: the settings cannot be kept (no space left)")

    front = front_window(desks_of, lambda: Settings(theme="light"), keep, "light")
    shell = inside(qtbot, front)
    qtbot.waitUntil(lambda: shell.desks is not None)
    shell.turn(Turn(page="bench", visit_id="v1"))
    QTest.keyClick(shell, Qt.Key.Key_L, Qt.KeyboardModifier.ControlModifier)
    assert shell.theme is Theme.DARK
    assert "no space left" in shell.bench.message.accessibleName()


@pytest.mark.parametrize(
    ("text", "theme"),
    [
        ('{"theme": "dark", "k": 2}', "dark"),
        ('{"theme": "purple"}', "system"),
        ('{"theme": ["dark"]}', "system"),
        ("[]", "system"),
        ("{", "system"),
        (None, "system"),
    ],
)
def test_the_theme_is_peeked_at_whatever_the_file_holds(
    tmp_path: Path, text: str | None, theme: str
) -> None:
    """Any trouble gives the system's; the settings themselves are checked later."""
    if text is not None:
        (tmp_path / "settings.json").write_text(text, "utf-8")
    assert peek_theme(Place(str(tmp_path / "shop.sqlite"), tmp_path)) == theme


def test_the_first_paint_knows_neither_settings_nor_units(tmp_path: Path) -> None:
    """By the way of the command: no use case is imported before it, of core the lettering's own."""
    done = subprocess.run(
        [sys.executable, "-c", FIRST_PAINT, str(tmp_path)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stderr == ""
    assert literal_eval(done.stdout) == ["benchassist.core", "benchassist.core.plain_text"]


@pytest.mark.usefixtures("qtbot")
def test_a_window_can_be_driven_without_a_person() -> None:
    """Keys go in by name, a picture comes out, and it is closed at the end."""
    with offscreen_window(desks_of) as stage:
        stage.go("bench", "v1")
        stage.press("Space", " ")
        desks = stage.shell.desks
        assert desks is not None
        assert desks.bench("v1").acts == [("take", "")]  # type: ignore[attr-defined]
    assert not stage.shell.isVisible()
