"""What every command prints the same way."""

import json
import re
import sys
from typing import Final

from benchassist.core.plain_text import plain

LONGEST: Final = 4000
"""Characters of a line; a path may have as many."""

STEERING: Final = re.compile("[\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff]")
"""What JSON may hold as it is and a terminal obeys, or cannot write."""


def print_json(value: object) -> None:
    """One JSON object on one line, flushed; what would steer a terminal stands as its number."""
    text = json.dumps(value, ensure_ascii=False, allow_nan=False)
    print(STEERING.sub(lambda found: f"\\u{ord(found[0]):04x}", text), flush=True)


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
        self._shown = -1

    def __call__(self, done: int, whole: int) -> None:
        """Show it, where it would look different."""
        percent = done * 100 // max(whole, 1)
        if self._silent or percent // self._step == self._shown // self._step:
            return
        self._shown = percent
        if self._is_terminal:
            bar = f"[{'#' * (percent // 4):<25}] {percent:3d} %"
            print(f"\r{bar}", end="\n" if done == whole else "", file=sys.stderr, flush=True)
        else:
            print(f"{percent} %", file=sys.stderr, flush=True)


def size_text(count: int) -> str:
    """Bytes as a person reads them."""
    return f"{count / 1e6:.1f} MB" if count >= 1e6 else f"{count / 1e3:.0f} kB"
