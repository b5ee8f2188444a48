from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from benchassist.errors import ShopFileError, StepError
from benchassist.paint.palette import DARK, LIGHT
from benchassist.services.desk import Desks
from benchassist.ui.cue import Cue, Heard
from benchassist.ui.habits import Habits
from benchassist.ui.look import Theme
from benchassist.ui.page import Turn
from benchassist.ui.shell import Shell
from tests.ui.conftest import OpenBench, OpenWindow
from tests.ui.desks import FakeBench, desks_of
from tests.ui.test_bench_page import in_ink, in_pencil, press
from tests.ui.views import METERS_LIVE, STEADYING, TAKEN, TYPING, TYPING_WRONG, WRITING


def test_loading_follows_the_first_paint(qtbot: QtBot) -> None:
    """The window is there at once; the desks come from a zero timer after it has been painted."""
    shell = Shell(desks_of, Habits(theme="light"))
    qtbot.addWidget(shell)
    assert shell.desks is None
    assert "Opening the shop" in shell.counter.machines.value.empty_text
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


class Listener:
    """Writes down what is played and said."""

    def __init__(self) -> None:
        self.heard: list[str] = []
        self.has_voice = True

    def sound(self, cue: Cue) -> None:
        """Play it."""
        self.heard.append(cue)

    def speak(self, text: str) -> bool:
        """Say it, where there is a voice."""
        if self.has_voice:
            self.heard.append(text)
        return self.has_voice


SAID = "four point three eight kilo-ohms, in band"


@pytest.mark.parametrize(
    ("sounds", "spoken", "heard"),
    [
        (True, True, ["in_band", SAID]),
        (True, False, ["in_band"]),
        (False, True, [SAID]),
        (False, False, []),
    ],
)
def test_sounds_and_voice_are_each_on_or_off(
    open_bench: OpenBench, qtbot: QtBot, *, sounds: bool, spoken: bool, heard: list[str]
) -> None:
    """What is off is silent; the flash is there always; the voice comes after the sound."""
    ears = Listener()
    shell, desk = open_bench(in_pencil(WRITING))
    shell.habits = Habits(sounds=sounds, spoken=spoken, sound=ears.sound, speak=ears.speak)
    desk.shown = in_ink(TAKEN)
    shell.tick()
    assert shell.bench.number.flashing
    assert shell.ears._pause.isActive() is spoken
    qtbot.waitUntil(lambda: not shell.ears._pause.isActive())
    assert ears.heard == heard


def test_a_newer_sentence_is_said_instead(open_bench: OpenBench, qtbot: QtBot) -> None:
    """Two in quick succession: both sound, only the second is said."""
    ears = Listener()
    shell, desk = open_bench(in_pencil(WRITING))
    shell.habits = Habits(spoken=True, sound=ears.sound, speak=ears.speak)
    desk.shown = in_ink(TAKEN)
    shell.tick()
    desk.refuses = StepError("nothing taken at this step yet")
    press(shell, Qt.Key.Key_Backspace)
    qtbot.waitUntil(lambda: not shell.ears._pause.isActive())
    assert ears.heard == ["in_band", "refused", "Nothing taken at this step yet"]


def test_a_refused_key_and_a_refused_text_are_heard(open_bench: OpenBench) -> None:
    """Whatever the desk does not do sounds so; typing towards it does not."""
    ears = Listener()
    shell, desk = open_bench(TYPING)
    shell.habits = Habits(sound=ears.sound)
    desk.after = {"submit": TYPING_WRONG, "preview": TYPING_WRONG}
    QTest.keyClicks(shell.bench.entry.field, "x")
    assert ears.heard == []
    press(shell, Qt.Key.Key_Return)
    assert ears.heard == ["refused"]


def test_what_came_while_away_is_not_told(open_bench: OpenBench) -> None:
    """Coming back to the bench neither sounds nor flashes for what happened on other pages."""
    ears = Listener()
    shell, desk = open_bench(in_pencil(WRITING))
    shell.habits = Habits(sound=ears.sound)
    shell.turn(Turn(page="meters"))
    desk.shown = in_ink(TAKEN)
    shell.turn(Turn(page="bench"))
    assert shell.page is shell.bench
    assert not shell.bench.number.flashing
    desk.shown = replace(desk.shown, banner="Meter lost")
    shell.tick()
    assert len(ears.heard) == 1


def test_sounds_and_voice_are_turned_on_the_keys_page(open_window: OpenWindow) -> None:
    """S and V turn them, at once heard, said on their tiles and kept."""
    kept: list[Habits] = []
    ears = Listener()
    shell = open_window(Habits(sound=ears.sound, speak=ears.speak, keep=kept.append))
    press(shell, Qt.Key.Key_F1)
    assert shell.keys.sounds.accessibleName() == "S. Sounds. on"
    assert shell.keys.voice.accessibleName() == "V. Voice. off"
    press(shell, Qt.Key.Key_S)
    press(shell, Qt.Key.Key_V)
    press(shell, Qt.Key.Key_S)
    assert [(h.sounds, h.spoken) for h in kept] == [(False, False), (False, True), (True, True)]
    assert ears.heard == ["Voice on", "in_band"]
    assert shell.keys.voice.accessibleName() == "V. Voice. on"


def test_a_computer_without_a_voice_says_what_to_install(open_window: OpenWindow) -> None:
    """The voice stays off, and the line says why."""
    ears = Listener()
    ears.has_voice = False
    shell = open_window(Habits(speak=ears.speak))
    press(shell, Qt.Key.Key_F1)
    press(shell, Qt.Key.Key_V)
    assert not shell.habits.spoken
    assert "speech-dispatcher" in shell.keys.pedal_line.value
    assert shell.keys.voice.accessibleName() == "V. Voice. off"


def test_the_sounds_can_be_learned(open_window: OpenWindow) -> None:
    """H plays one after the other, each with its name."""
    ears = Listener()
    shell = open_window(Habits(sound=ears.sound))
    press(shell, Qt.Key.Key_F1)
    names = []
    for _ in Cue:
        press(shell, Qt.Key.Key_H)
        names.append(shell.keys.pedal_line.value)
    assert ears.heard == list(Cue)
    assert "In band" in names[0]
    assert len(set(names)) == len(Cue)


def test_closing_ends_what_sounds(open_window: OpenWindow) -> None:
    """No child outlives the window, and nothing is said after it."""
    hushed: list[bool] = []
    ears = Listener()
    shell = open_window(Habits(spoken=True, speak=ears.speak, hush=lambda: hushed.append(True)))
    shell.ears.hear(Heard(Cue.TAKEN, "taken"))
    shell.close()
    assert hushed == [True]
    assert not shell.ears._pause.isActive()


def test_pages_are_left_along_the_way_one_came(open_bench: OpenBench) -> None:
    """Bench, meters, match, keys: Esc goes back through them, and never round in a ring."""
    shell, _desk = open_bench(STEADYING, meters=METERS_LIVE)
    for key in (Qt.Key.Key_L, Qt.Key.Key_M, Qt.Key.Key_F1):
        press(shell, key)
    came_by = []
    for _ in range(3):
        press(shell, Qt.Key.Key_Escape)
        came_by.append(shell.page)
    assert came_by == [shell.match, shell.meters, shell.bench]


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
