"""A bench at work until it is killed: `python -m tests.storage.bench_victim URL JOURNALS [VISIT]`.

For every line on standard input it forks a child, prints its process id and waits for its end; so
each child starts with everything imported. A child opens the shop, goes on with the visit where it
stands, and says how many entries that are. It takes readings and logs a run, whether the server is
there or not, and prints each entry's id once it is stored, and how many samples are on disk.
Without a visit it does nothing but deliver, and says when it begins and when it has done so.
"""

import os
import signal
import sys
import time
from pathlib import Path
from uuid import uuid4

import psycopg  # noqa: F401 - imported before a child is made, so that each starts at once

from benchassist.core.lease import Granted
from benchassist.core.record import Stored
from benchassist.core.run import RunHeader, RunKind
from benchassist.storage import (  # noqa: F401 - the same
    compaction,
    delivery,
    open_store,
    recorder,
    run_query,
    served_store,
)
from tests.storage import slack
from tests.storage.case import PATIENCE, Scribe
from tests.storage.run_case import reading
from tests.storage.victim import say


def work(url: str, journals: Path, visit_id: str) -> None:
    """Take readings, and a sample with each."""
    slack.set_up()
    store = open_store(url, journals=journals)
    store.benches.wear("A", "A")
    while not isinstance(store.benches.take_up(visit_id), Granted):
        pass
    header, entries = store.visit(visit_id)
    say(f"stands {len(entries)}")
    scribe = Scribe(header, after=len(entries))
    run = RunHeader(id=str(uuid4()), visit_id=visit_id, check_key="hot", kind=RunKind.HEAT)
    recording = store.record(run, {})
    number = 0
    while True:
        entry = scribe.taken()
        ticket = store.submit(entry)
        recording.put(reading(0.01 * number, float(number)))
        number += 1
        if store.wait(PATIENCE) == Stored(ticket):
            say(f"taken {entry.stamp.id}")
        if number % 5 == 0 and recording.flushed(PATIENCE):
            say(f"sampled {run.id} {number}")


def deliver(url: str, journals: Path) -> None:
    """Bring what is in the journal to the server."""
    slack.set_up()
    say("begins")
    store = open_store(url, journals=journals)
    while store.benches.away is not None:
        time.sleep(0.001)
    say("delivered")
    signal.pause()


def main(url: str, journals: str, visit_id: str = "") -> None:
    """Fork a child for every line that comes."""
    for _ in sys.stdin:
        child = os.fork()
        if not child and visit_id:
            work(url, Path(journals), visit_id)
        if not child:
            deliver(url, Path(journals))
        say(f"child {child}")
        os.waitpid(child, 0)
        say("gone")


if __name__ == "__main__":
    main(*sys.argv[1:])
