import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from benchassist.errors import InputError
from benchassist.services.settings import Settings
from benchassist.ui.front import DARK
from benchassist.ui.shell import Shell
from benchassist.ui.window import front_window, offscreen_window
from tests.ui.desks import desks_of


def test_the_window_wears_and_keeps_the_shops_settings(qtbot: QtBot) -> None:
    """The kept palette shows from the first paint on; a change is written beside the rest."""
    kept = [Settings(shop_name="Hob Lane", theme="dark", pedal_key="F13")]
    front = front_window(desks_of, lambda: kept[-1], kept.append)
    qtbot.addWidget(front)
    assert front.ground is DARK
    front.show()
    qtbot.waitUntil(lambda: isinstance(front.inside, Shell) and front.inside.desks is not None)
    shell = front.inside
    assert isinstance(shell, Shell)
    assert shell.pedal.key == "F13"
    QTest.keyClick(shell, Qt.Key.Key_L, Qt.KeyboardModifier.ControlModifier)
    assert kept[-1] == Settings(shop_name="Hob Lane", theme="light", pedal_key="F13")


def test_damaged_settings_open_no_window() -> None:
    """They are named before anything shows, and never overwritten."""

    def read() -> Settings:
        raise InputError("settings.json: not a settings file")

    with pytest.raises(InputError, match="not a settings file"):
        front_window(desks_of, read, lambda _kept: None)


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
