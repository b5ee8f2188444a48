"""Takes readings until it is killed: `python -m tests.storage.victim LOCATION VISIT`.

For every line on standard input it forks a child, prints the child's process id, and waits for its
end; so each child starts with everything imported. A child opens the shop and the visit, goes on
where the visit stands, and prints each reading's id and check as soon as it is acknowledged.
"""

import os
import sys
from itertools import cycle

import psycopg  # noqa: F401 - imported before a child is made, so that each starts at once

from benchassist.core.record import Stored
from benchassist.core.visit import Visit
from benchassist.storage import open_store
from tests.storage.case import PATIENCE, Scribe

CHECKS = ("secondary", "cap", "gap")


def say(line: str) -> None:
    """Print a line in one piece, now."""
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def take_readings(location: str, visit_id: str) -> None:
    """Take readings at one check after the other, for ever."""
    store = open_store(location)
    visit = Visit(*store.visit(visit_id))
    scribe = Scribe(visit.header, after=visit.next_seq - 1)
    for check_key in cycle(CHECKS):
        entry = scribe.taken(check_key=check_key)
        ticket = store.submit(entry)
        if store.wait(PATIENCE) == Stored(ticket):
            say(f"{entry.stamp.id} {check_key}")


def main(location: str, visit_id: str) -> None:
    """Fork a child for every line that comes."""
    for _ in sys.stdin:
        child = os.fork()
        if not child:
            take_readings(location, visit_id)
        say(f"child {child}")
        os.waitpid(child, 0)
        say("gone")


if __name__ == "__main__":
    main(*sys.argv[1:])
