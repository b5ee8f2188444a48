import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from benchassist.errors import ShopFileError
from benchassist.paint.palette import DARK, LIGHT
from benchassist.services.desk import Desks
from benchassist.ui.cue import Cue
from benchassist.ui.habits import Habits
from benchassist.ui.look import Theme
from benchassist.ui.page import Turn
from benchassist.ui.shell import Shell
from tests.ui.conftest import OpenBench, OpenWindow
from tests.ui.desks import FakeBench, desks_of
from tests.ui.test_bench_page import in_ink, in_pencil, press
from tests.ui.views import STEADYING, TAKEN, WRITING


def test_loading_follows_the_first_paint(qtbot: QtBot) -> None:
    """The window is there at once; the desks come from a zero timer after it has been painted."""
    shell = Shell(desks_of, Habits(theme="light"))
    qtbot.addWidget(shell)
    assert shell.desks is None
    assert "Opening the shop file" in shell.counter.machines.value.empty_text
    shell.show()
    qtbot.waitUntil(lambda: shell.desks is not None)
    assert len(shell.counter.slips.targets) == 3


def test_what_was_typed_while_loading_is_searched(qtbot: QtBot) -> None:
    """A tag scanned before the shop file is open is looked up as soon as it is."""
    shell = Shell(desks_of, Habits(theme="light"))
    qtbot.addWidget(shell)
    shell.counter.search.field.setText("TH-07")
    shell.load()
    assert shell.desks is not None
    assert shell.desks.counter.queries == ["TH-07"]  # type: ignore[attr-defined]


def test_a_shop_file_that_cannot_be_opened_is_named(qtbot: QtBot) -> None:
    """One line on the counter says what is wrong; the window stays."""

    def load() -> Desks:
        raise ShopFileError("shop.sqlite: not a shop file; name another with --shop")

    shell = Shell(load, Habits(theme="light"))
    qtbot.addWidget(shell)
    shell.show()
    shell.load()
    assert shell.counter.message.isVisible()
    assert "not a shop file" in shell.counter.message.accessibleName()


def test_the_window_opens_on_the_visit_that_was_left(open_window: OpenWindow) -> None:
    """Where the technician left off is in front at once."""
    assert open_window(visit_id="v1").page.__class__.__name__ == "BenchPage"


def test_the_palette_toggles_and_is_kept(open_window: OpenWindow) -> None:
    """Ctrl+L changes every part's palette and is written to the settings."""
    kept: list[Habits] = []
    shell = open_window(Habits(theme="light", pedal_key="F13", keep=kept.append))
    assert shell.top.look.palette is LIGHT
    QTest.keyClick(shell, Qt.Key.Key_L, Qt.KeyboardModifier.ControlModifier)
    assert shell.theme is Theme.DARK
    assert shell.top.look.palette is shell.bench.number.look.palette is DARK
    assert [(h.theme, h.pedal_key) for h in kept] == [("dark", "F13")]


@pytest.mark.parametrize(
    ("width", "height"), [(1366, 768), (1920, 1080), (1024, 640), (2560, 1080)]
)
def test_everything_scales_with_the_height(open_bench: OpenBench, width: int, height: int) -> None:
    """The bar is 48 of 768; the slip stays 36 % of the width, what is left goes to the bench."""
    shell, _desk = open_bench(STEADYING)
    shell.resize(width, height)
    QApplication.processEvents()
    s = shell.look.s
    assert s <= height / 768 + 1e-9
    assert shell.top.height() == round(48 * s)
    assert shell.strip.geometry().bottom() == height - 1
    assert abs(shell.bench.slip.width() / width - 0.36) < 0.002
    number = shell.bench.number
    assert number.mapTo(shell, number.rect().bottomRight()).x() <= width


def test_f1_shows_the_keys_and_goes_back(open_bench: OpenBench) -> None:
    """F1 turns to the keys; F1 or Esc returns to where one was."""
    shell, _desk = open_bench(STEADYING)
    press(shell, Qt.Key.Key_F1)
    assert shell.page is shell.keys
    assert "Take the reading" in shell.keys.columns[0].accessibleName()
    press(shell, Qt.Key.Key_F1)
    assert shell.page is shell.bench
    press(shell, Qt.Key.Key_F1)
    press(shell, Qt.Key.Key_Escape)
    assert shell.page is shell.bench


def test_a_pedal_is_learned_on_the_keys_page(open_bench: OpenBench) -> None:
    """Enter, then the pedal: from then on it takes, and it is kept."""
    kept: list[Habits] = []
    shell, desk = open_bench(STEADYING)
    shell.habits = Habits(keep=kept.append)
    press(shell, Qt.Key.Key_F1)
    press(shell, Qt.Key.Key_Return)
    assert "Press the pedal now" in shell.keys.pedal_line.value
    press(shell, Qt.Key.Key_F13)
    assert "F13" in shell.keys.pedal_line.value
    assert [(h.theme, h.pedal_key) for h in kept] == [("light", "F13")]
    press(shell, Qt.Key.Key_Escape)
    desk.acts.clear()
    press(shell, Qt.Key.Key_F13)
    assert desk.acts == [("take", "")]


def test_learning_a_pedal_can_be_left(open_bench: OpenBench) -> None:
    """Esc while learning leaves the pedal as it was."""
    shell, _desk = open_bench(STEADYING)
    shell.pedal.key = "F13"
    press(shell, Qt.Key.Key_F1)
    press(shell, Qt.Key.Key_Return)
    press(shell, Qt.Key.Key_Escape)
    assert not shell.pedal.learning
    assert shell.pedal.key == "F13"
    assert shell.page is shell.keys


def test_a_taken_reading_sounds(open_bench: OpenBench) -> None:
    """The sound hook is called once, with the verdict, when pencil turns to ink."""
    heard: list[Cue] = []
    shell, desk = open_bench(in_pencil(WRITING))
    shell.habits = Habits(sound=heard.append)
    desk.shown = in_ink(TAKEN)
    shell.tick()
    assert heard == [Cue.IN_BAND]


def test_a_key_hint_does_what_its_key_does(open_bench: OpenBench) -> None:
    """A click on the strip is the key."""
    shell, desk = open_bench(STEADYING)
    for target in shell.strip.targets[:6]:
        QTest.mouseClick(target, Qt.MouseButton.LeftButton)
    acts = [act for act, _ in desk.acts]
    assert acts == ["take", "redo", "note", "did", "zero", "skip"]
    QTest.mouseClick(shell.strip.targets[6], Qt.MouseButton.LeftButton)
    assert shell.page is shell.keys


def test_the_page_in_front_ticks(open_bench: OpenBench) -> None:
    """The desk of the page in front is ticked, and no other."""
    shell, desk = open_bench(STEADYING)
    before = desk.ticks
    shell.tick()
    assert desk.ticks == before + 1
    shell.turn(Turn(page="counter"))
    shell.tick()
    assert desk.ticks == before + 1


def test_a_visit_that_cannot_be_opened_leaves_the_counter(open_window: OpenWindow) -> None:
    """A refusal stands on the page one is on."""
    shell = open_window()
    assert shell.desks is not None

    def refuse(_visit: str) -> FakeBench:
        raise ShopFileError("slip 0412 is open at another bench")

    object.__setattr__(shell.desks, "bench", refuse)
    shell.turn(Turn(page="bench", visit_id="v1"))
    assert shell.page is shell.counter
    assert shell.counter.message.accessibleName() == "slip 0412 is open at another bench"
