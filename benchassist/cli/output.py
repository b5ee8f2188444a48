"""What every command prints the same way."""

import json
import re
import sys
from collections.abc import Iterable
from typing import Final

from benchassist.core.plain_text import plain

LONGEST: Final = 4000
"""Characters of a line; a path may have as many."""

STEERING: Final = re.compile("[\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff]")
"""What JSON may hold as it is and a terminal obeys, or cannot write."""


def print_json(value: object) -> None:
    """One JSON object on one line, flushed; what would steer a terminal stands as its number."""
    print(_json(value), flush=True)


def print_json_list(name: str, items: Iterable[object]) -> None:
    """One JSON object on one line with nothing but a list in it, which may be long: item by item.

    Nothing is written before the first item is there.
    """
    before = f"{{{_json(name)}: ["
    for item in items:
        print(before, _json(item), sep="", end="")
        before = ", "
    print("]}" if before == ", " else f"{before}]}}", flush=True)


def _json(value: object) -> str:
    text = json.dumps(value, ensure_ascii=False, allow_nan=False)
    return STEERING.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def amount(count: int, thing: str) -> str:
    """'1 visit', '3 visits'."""
    return f"{count} {thing}" if count == 1 else f"{count} {thing}s"


def say(text: object) -> None:
    """A line for a person, whatever stands in it."""
    print(plain(str(text), LONGEST))


def remark(text: object) -> None:
    """A line for a person on standard error, whatever stands in it."""
    print(plain(str(text), LONGEST), file=sys.stderr)


class ProgressBar:
    """How far something is, on standard error: a bar on a terminal, else nothing, or plain lines.

    Is told how much is done and how much there is in all.
    """

    def __init__(self, *, lines: bool = False) -> None:
        """`lines`: where there is no terminal, a line for every tenth."""
        self._is_terminal = sys.stderr.isatty()
        self._step = 1 if self._is_terminal else 10
        self._silent = not (self._is_terminal or lines)
        self._shown, self._begun = -1, False

    def __call__(self, done: int, whole: int) -> None:
        """Show it, where it would look different."""
        percent = done * 100 // max(whole, 1)
        if self._silent or percent // self._step == self._shown // self._step:
            return
        self._shown = percent
        if self._is_terminal:
            bar = f"[{'#' * (percent // 4):<25}] {percent:3d} %"
            self._begun = done != whole
            print(f"\r{bar}", end="" if self._begun else "\n", file=sys.stderr, flush=True)
        else:
            print(f"{percent} %", file=sys.stderr, flush=True)

    def leave(self) -> None:
        """Whatever is said next begins a line, where the bar did not come to its end."""
        if self._begun:
            print(file=sys.stderr, flush=True)
