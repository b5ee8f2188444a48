"""A fault of the program itself: written to a log, said in one line, and the bench goes on.

Expected failures are BenchErrors and never come here.
"""

import sys
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType

from benchassist.core.plain_text import plain

LONGEST_LINE = 1000
LONGEST = 1_000_000
"""Bytes; a log that has grown past it is started anew, the older one kept beside it."""


@contextmanager
def watched(log: Path, tell: Callable[[str], None]) -> Iterator[None]:
    """While it lasts, what nobody caught goes into the log and is told in one line."""
    before = sys.excepthook
    last = ""

    def hook(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        if issubclass(kind, KeyboardInterrupt):
            before(kind, error, trace)
            return
        nonlocal last
        text = "".join(traceback.format_exception(kind, error, trace))
        if text == last:
            return  # a tick that fails every time is told once
        last = text
        sys.stderr.write("".join(f"{plain(line, LONGEST_LINE)}\n" for line in text.splitlines()))
        from benchassist.services.translation import _

        told = _("A fault in the program. What was shown as taken is on disk.")
        tell(_("{told} See {log}").format(told=told, log=log) if _written(log, text) else told)

    sys.excepthook = hook
    try:
        yield
    finally:
        sys.excepthook = before


def _written(log: Path, text: str) -> bool:
    try:
        log.parent.mkdir(parents=True, exist_ok=True)
        if log.exists() and log.stat().st_size > LONGEST:
            log.replace(log.with_suffix(".old"))
        with log.open("a", encoding="utf-8", errors="backslashreplace") as file:
            file.write(f"{datetime.now(UTC).isoformat()}\n{text}\n")
    except OSError:
        return False
    return True
