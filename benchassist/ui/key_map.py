"""Keys and what they do on the bench.

A key printed on the strip wins, so that the strip never lies; the others always do the same.
"""

from collections.abc import Iterable
from types import MappingProxyType
from typing import Final

from PySide6.QtCore import QKeyCombination, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence

from benchassist.services.bench.view import BenchView, KeyHint
from benchassist.services.desk import Action

NAMED: Final = MappingProxyType(
    {
        Qt.Key.Key_Space: "Space",
        Qt.Key.Key_Backspace: "Backspace",
        Qt.Key.Key_Return: "Enter",
        Qt.Key.Key_Enter: "Enter",
        Qt.Key.Key_Escape: "Esc",
        Qt.Key.Key_Left: "Left",
        Qt.Key.Key_Right: "Right",
        Qt.Key.Key_Up: "Up",
        Qt.Key.Key_Down: "Down",
        Qt.Key.Key_F1: "F1",
    }
)

ARROWS: Final = MappingProxyType({"→": "Right", "←": "Left", "↑": "Up", "↓": "Down"})
"""An arrow on a key hint means its key; the face has no arrows, they are drawn."""

BENCH_KEYS: Final = MappingProxyType(
    {
        "Space": Action.TAKE,
        "Backspace": Action.REDO,
        "N": Action.NOTE,
        "M": Action.TYPE,
        "Z": Action.ZERO,
        "Right": Action.SKIP,
        "Left": Action.BACK,
        "Enter": Action.NEXT,
        "D": Action.DID,
        "G": Action.MARK,
        "T": Action.TEMPERATURE,
        "O": Action.OPTION,
        "K": Action.SELF_CHECK,
        "C": Action.CLOSE_VISIT,
    }
)
"""What a key does where the strip does not say otherwise."""


def press_name(event: QKeyEvent) -> str:
    """The key as printed on a key hint: 'Space', 'N', '4', 'Ctrl+L'; empty for a bare modifier."""
    key = Qt.Key(event.key())
    held = event.modifiers() & ~(
        Qt.KeyboardModifier.KeypadModifier | Qt.KeyboardModifier.ShiftModifier
    )
    plain = held == Qt.KeyboardModifier.NoModifier
    if plain and key in NAMED:
        return NAMED[key]
    if plain and event.text() and event.text().isprintable():
        return event.text().upper()
    if key in {Qt.Key.Key_Control, Qt.Key.Key_Shift, Qt.Key.Key_Alt, Qt.Key.Key_Meta}:
        return ""
    if key == Qt.Key.Key_Return:
        key = Qt.Key.Key_Enter
    return QKeySequence(QKeyCombination(held, key)).toString(
        QKeySequence.SequenceFormat.PortableText
    )


def standard_press(press: str) -> str:
    """The press of a hint as `press_name` names it: '→' is 'Right', 'n' is 'N'."""
    if press in ARROWS:
        return ARROWS[press]
    return press.upper() if len(press) == 1 else press


def is_range(press: str) -> bool:
    """Whether a press names several keys, as '1-3' does."""
    return len(press) == 3 and press[1] in "-–"


def hint_for(press: str, hints: Iterable[KeyHint]) -> KeyHint | None:
    """The hint printed with this press, None where there is none."""
    return next((hint for hint in hints if standard_press(hint.press) == press), None)


def action_of(press: str, view: BenchView) -> tuple[str, str] | None:
    """Action and argument for a press on the bench, None where it means nothing there."""
    for choice in view.choices:
        if standard_press(choice.press) == press:
            return Action.CHOOSE, choice.press
    for fix in view.fixes:
        if standard_press(fix.press) == press:
            return Action.FIX, fix.press
    hint = hint_for(press, view.keys)
    if hint is not None:
        return split_action(hint.action)
    if press in {"Up", "Down"}:
        return _neighbour(1 if press == "Down" else -1, view)
    action = BENCH_KEYS.get(press)
    if action is Action.SKIP and _answered(view):
        action = Action.NEXT
    if action is Action.CLOSE_VISIT and view.closed:
        action = Action.REOPEN
    return None if action is None else (action, "")


def split_action(action: str) -> tuple[str, str]:
    """'choose:2' as action and argument; an action without a colon has no argument."""
    name, _, argument = action.partition(":")
    return name, argument


def _neighbour(step: int, view: BenchView) -> tuple[str, str] | None:
    here = next((i for i, item in enumerate(view.ribbon) if item.current), None)
    if here is None or not 0 <= here + step < len(view.ribbon):
        return None
    return Action.GOTO, view.ribbon[here + step].key


def _answered(view: BenchView) -> bool:
    """Whether the current step needs no skipping any more."""
    return any(item.current and item.ink in {"ink", "skipped"} for item in view.ribbon)
