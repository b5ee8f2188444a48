"""Backs up, imports or restores until it is killed: `python -m tests.storage.keep_victim WORK ...`.

For every line on standard input it forks a child, prints the child's process id, and waits for its
end; so each child starts with everything imported. A child does its work again and again, and
prints a line at each beginning; done with it, it waits for its end.
"""

import os
import signal
import sys
from itertools import count
from pathlib import Path

import psycopg  # noqa: F401 - imported before a child is made, so that each starts at once

from benchassist.storage import backup, intake, open_store, parcel, restore, run_query  # noqa: F401 - the same
from tests.storage.victim import say


def back_up(shop: str, folder: str) -> None:
    """Back a shop up under one new name after the other."""
    for number in count():
        say("begun")
        backup.back_up(Path(shop), Path(folder) / f"{os.getpid()}-{number}.sqlite")


def take_in(location: str, file: str) -> None:
    """Import a file."""
    parcels = parcel.read_parcels(Path(file))
    with open_store(location) as store:
        say("begun")
        store.take_in(parcels).wait()
    say("done")


def put_back(shop: str, one: str, other: str) -> None:
    """Restore two backups by turns."""
    for number in count():
        say("begun")
        look = restore.look_at(Path((one, other)[number % 2]), Path(shop))
        restore.restore(look, Path(shop), Path(f"{shop}.{os.getpid()}-{number}.aside"))


WORK = {"backup": back_up, "import": take_in, "restore": put_back}


def main(work: str, *arguments: str) -> None:
    """Fork a child for every line that comes."""
    for _ in sys.stdin:
        child = os.fork()
        if not child:
            WORK[work](*arguments)
            signal.pause()
        say(f"child {child}")
        os.waitpid(child, 0)
        say("gone")


if __name__ == "__main__":
    main(*sys.argv[1:])
