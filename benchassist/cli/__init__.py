"""Every command; each a few lines that call a service.

The window opens without typer, which would cost it a tenth of a second before the first paint.
"""

import errno
import os
import sys
from collections.abc import Sequence
from typing import Final

from benchassist.core.plain_text import MOST_QUOTED, brief
from benchassist.errors import BenchError, InputError, NotFoundError, ProfileError

LONGEST_LINE: Final = 300
"""Characters of a line that is still read to its end."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command line. Exit 0: done; 2: the input is wrong; 1: right but not done."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    try:
        if _opens_window(given):
            from benchassist.assembly import place_of
            from benchassist.assembly.opening import open_window

            named = dict(zip(given[::2], given[1::2], strict=True))
            return open_window(place_of(named.get("--shop"), named.get("--home")))
        from benchassist.cli.commands import run

        return run(given)
    except (InputError, NotFoundError) as error:
        _tell(error, given)
        return 2
    except BenchError as error:
        _tell(error, given)
        return 1
    except BrokenPipeError:  # whoever read our lines has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except OSError as error:
        if error.errno != errno.ENAMETOOLONG:
            raise
        _tell(InputError(f"{brief(str(error.filename))}: no file can have so long a name"), given)
        return 2


def _tell(error: BenchError, given: Sequence[str]) -> None:
    """Why it was not done: a line, whatever a name in it holds; of profiles a line each fault."""
    from benchassist.cli.output import remark

    for line in error.faults if isinstance(error, ProfileError) else (str(error),):
        remark(_shortened(line, given))


def _shortened(line: str, given: Sequence[str]) -> str:
    """The line with what was given quoted short, where it would push out what is said of it."""
    if len(line) <= LONGEST_LINE:
        return line
    words = {" ".join(one.split()) for text in given for one in (text, text.partition("=")[2])}
    for word in sorted(words, key=len, reverse=True):
        if len(word) > MOST_QUOTED:
            line = line.replace(word, brief(word))
    return line


def _opens_window(given: Sequence[str]) -> bool:
    """No command: nothing, or only where the shop and the home are."""
    return len(given) % 2 == 0 and set(given[::2]) <= {"--shop", "--home"}
