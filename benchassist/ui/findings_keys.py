"""Keys of the findings: a key printed on the strip wins, the others do the same in every visit."""

from types import MappingProxyType
from typing import Final

from benchassist.services.bench.view import KeyHint
from benchassist.services.findings.view import FindingsAction, FindingsView, Room
from benchassist.services.translation import _
from benchassist.ui.findings_swap import trials
from benchassist.ui.key_map import hint_for, split_action

BACK: Final = frozenset({"Esc", "B"})
EVERYWHERE: Final = MappingProxyType(
    {
        "E": FindingsAction.OPEN_EVIDENCE,
        "W": FindingsAction.OPEN_SWAP,
        "R": FindingsAction.OPEN_STAKE,
        "F": FindingsAction.OPEN_REPAIR,
        "N": FindingsAction.NOTE,
        "P": "print",
        "H": "machine",
    }
)
IN_ROOM: Final = MappingProxyType(
    {
        Room.FRONT: MappingProxyType({"Enter": FindingsAction.START_TEST}),
        Room.CAUSE: MappingProxyType({"Enter": "open"}),
        Room.EVIDENCE: MappingProxyType(
            {"A": FindingsAction.ANSWER, "X": FindingsAction.LIFT, "Enter": "open"}
        ),
        Room.SWAP: MappingProxyType({"S": FindingsAction.SWAP_SETUP}),
        Room.STAKE: MappingProxyType(
            {"Enter": FindingsAction.STAKE_FIGURES, "D": FindingsAction.DECIDE}
        ),
        Room.REPAIR: MappingProxyType(
            {
                "P": FindingsAction.FIT_PART,
                "S": FindingsAction.SERVICE,
                "A": FindingsAction.PROVE,
            }
        ),
    }
)
ABOUT_ROW: Final = frozenset(
    {FindingsAction.ANSWER, FindingsAction.LIFT, FindingsAction.GO_TO_STEP}
)
"""Actions that mean the row at the cursor where they name nothing."""


NUMBERED: Final = frozenset({Room.FRONT, Room.CAUSE, Room.EVIDENCE})
"""Rooms in which a number opens the cause of that place."""


def action_of(press: str, view: FindingsView) -> tuple[str, str] | None:
    """Action and argument of a press while no form is open, None where it means nothing."""
    hint = hint_for(press, view.keys)
    if hint is not None:
        return split_action(hint.action)
    if press.isdecimal() and len(press) == 1:
        if view.room is Room.SWAP:
            return next(((t.action, "") for t in trials(view) if t.press == press), None)
        if view.room in NUMBERED and 0 < int(press) <= len(view.rows):
            return FindingsAction.OPEN_CAUSE, press
        return None
    action = IN_ROOM[view.room].get(press) or EVERYWHERE.get(press)
    return None if action is None else (action, "")


def hints_of(view: FindingsView, at: int = -1, count: int = 0) -> tuple[KeyHint, ...]:
    """The strip: the desk's keys, what the window adds to them, back, and the help.

    `at`: the row at the cursor, of so many; -1 for none.
    """
    given = [hint for hint in view.keys if hint.action != FindingsAction.BACK]
    last = [hint for hint in given if hint.action == FindingsAction.NOTE]
    hints = [hint for hint in given if hint not in last]
    for hint in (*_own(view, at, count), *_always(view), *last, *_printing(view)):
        if hint_for(hint.press, hints) is None:
            hints.append(hint)
    return tuple(hints)


def _own(view: FindingsView, at: int, count: int) -> tuple[KeyHint, ...]:
    """Keys on the rows of a room."""
    down = KeyHint(press="Down", text=_("Next row"), action="down")
    further = (down,) if at + 1 < count else ()
    answer = KeyHint(press="A", text=_("Say how it turned out"), action=FindingsAction.ANSWER)
    if view.room is Room.EVIDENCE and view.evidence:
        return (
            *further,
            KeyHint(press="Right", text=_("Open it"), action="open"),
            *((answer,) if at < len(view.evidence) else ()),
        )
    if view.room is Room.CAUSE and view.cause is not None and view.cause.marks:
        return (
            *further,
            KeyHint(press="Right", text=_("Open it"), action="open"),
        )
    if view.room is Room.FRONT and at >= 0:
        return (KeyHint(press="Right", text=_("Open it"), action="open"),)
    return ()


def _always(view: FindingsView) -> tuple[KeyHint, ...]:
    back = _("Bench") if view.room is Room.FRONT else _("Findings")
    return (
        KeyHint(press="Esc", text=back, action=FindingsAction.BACK),
        KeyHint(press="F1", text=_("Keys"), action="help"),
    )


def _printing(view: FindingsView) -> tuple[KeyHint, ...]:
    if view.room is not Room.FRONT:
        return ()
    return (
        KeyHint(press="P", text=_("Print slip"), action="print"),
        KeyHint(press="H", text=_("Machine file"), action="machine"),
    )
