from dataclasses import replace

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent

from benchassist.core.slip import Ink
from benchassist.services.desk import Action
from benchassist.ui.key_map import action_of, press_name, split_action, standard_press
from benchassist.ui.pedal import Pedal
from tests.ui.views import CANNOT_TELL, CLOSED, LOOK, STEADYING, TAKEN

NONE = Qt.KeyboardModifier.NoModifier


def key(code: Qt.Key, text: str = "", held: Qt.KeyboardModifier = NONE) -> QKeyEvent:
    """A key going down."""
    return QKeyEvent(QEvent.Type.KeyPress, code, held, text)


@pytest.mark.parametrize(
    ("event", "name"),
    [
        (key(Qt.Key.Key_Space, " "), "Space"),
        (key(Qt.Key.Key_N, "n"), "N"),
        (key(Qt.Key.Key_N, "N", Qt.KeyboardModifier.ShiftModifier), "N"),
        (key(Qt.Key.Key_4, "4", Qt.KeyboardModifier.KeypadModifier), "4"),
        (key(Qt.Key.Key_Enter, "\r", Qt.KeyboardModifier.KeypadModifier), "Enter"),
        (key(Qt.Key.Key_Right), "Right"),
        (key(Qt.Key.Key_L, "\x0c", Qt.KeyboardModifier.ControlModifier), "Ctrl+L"),
        (key(Qt.Key.Key_F13), "F13"),
        (key(Qt.Key.Key_Shift), ""),
    ],
)
def test_a_key_is_named_as_it_is_printed(event: QKeyEvent, name: str) -> None:
    """Case, keypad and shift do not matter; a bare modifier is no key."""
    assert press_name(event) == name


def test_an_arrow_on_a_hint_is_its_key() -> None:
    """The face has no arrows, so a hint may name the key or show the sign."""
    assert standard_press("→") == "Right"
    assert standard_press("n") == "N"


def test_a_number_answers_and_offers() -> None:
    """Number keys answer a look and take a way to settle a reading."""
    assert action_of("2", LOOK) == (Action.CHOOSE, "2")
    assert action_of("1", CANNOT_TELL) == (Action.FIX, "1")
    assert action_of("7", STEADYING) is None


def test_the_strip_never_lies() -> None:
    """A key printed on the strip does what stands there, before what it does elsewhere."""
    assert action_of("O", CLOSED) == ("reopen", "")
    assert action_of("O", STEADYING) == (Action.OPTION, "")
    assert action_of("P", CLOSED) == ("print", "")


def test_right_goes_on_where_nothing_needs_skipping() -> None:
    """An answered step is passed, not skipped."""
    items = tuple(replace(i, ink=Ink.INK) if i.current else i for i in TAKEN.ribbon)
    answered = replace(TAKEN, ribbon=items, keys=())
    assert action_of("Right", replace(TAKEN, keys=())) == (Action.SKIP, "")
    assert action_of("Right", answered) == (Action.NEXT, "")


def test_up_and_down_move_in_the_slip() -> None:
    """The step above and the step below; past the ends there is nothing."""
    assert action_of("Up", LOOK) is None
    assert action_of("Down", STEADYING) == (Action.GOTO, "check_5")
    assert action_of("Up", STEADYING) == (Action.GOTO, "check_3")


def test_an_action_may_carry_its_argument() -> None:
    """'choose:2' from a hint is the action and its argument."""
    assert split_action("choose:2") == ("choose", "2")
    assert split_action("take") == ("take", "")


def test_a_pedal_is_learned_by_pressing_it() -> None:
    """Any key but the reserved ones becomes the pedal."""
    pedal = Pedal()
    pedal.learning = True
    assert not pedal.learn(key(Qt.Key.Key_Escape))
    assert not pedal.learn(key(Qt.Key.Key_Control))
    assert pedal.learn(key(Qt.Key.Key_F13))
    assert (pedal.key, pedal.learning) == ("F13", False)
    assert pedal.matches(key(Qt.Key.Key_F13))
    assert not pedal.matches(key(Qt.Key.Key_F14))
    pedal.forget()
    assert not pedal.matches(key(Qt.Key.Key_F13))
