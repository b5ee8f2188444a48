"""Which hints may stand on the strip: no key that stands there comes to nothing."""

from collections.abc import Iterable
from collections.abc import Set as AbstractSet

from benchassist.services.bench.view import KeyHint
from benchassist.services.translation import _
from benchassist.ui.key_map import is_range, standard_press

ENTER_LINE, LEAVE_LINE = "enter_line", "leave_line"
LINE_KEYS = frozenset({"Space", "Backspace", "Del", "Left", "Right", "Home", "End"})
"""Named keys that a line of text has a use for."""


def stepping(here: int, count: int, *, before: KeyHint, after: KeyHint) -> tuple[KeyHint, ...]:
    """Those of two keys that lead from one place of so many to another."""
    steps = ((after, here + 1 < count), (before, here > 0))
    return tuple(hint for hint, leads in steps if leads)


def line_hints(enter: str) -> tuple[KeyHint, ...]:
    """The strip while a line has the focus that is one part of a page among others.

    `enter` is what Enter does there; the window does both, as the keys do.
    """
    return (
        KeyHint(press="Enter", text=enter, action=ENTER_LINE, main=True),
        KeyHint(press="Esc", text=_("Leave the line"), action=LEAVE_LINE),
        KeyHint(press="F1", text=_("Keys"), action="help"),
    )


def beside_a_line(hints: Iterable[KeyHint], handed_on: AbstractSet[str]) -> tuple[KeyHint, ...]:
    """The hints that stand while a line of text has the focus: letters are typed into it.

    `handed_on` are keys that mean in this line what its page says of them.
    """
    return tuple(hint for hint in hints if hint.press in handed_on or not _is_typed(hint.press))


def _is_typed(press: str) -> bool:
    press = standard_press(press)
    return len(press) == 1 or is_range(press) or press in LINE_KEYS
