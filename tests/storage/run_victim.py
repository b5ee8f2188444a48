"""Records runs until it is killed: `python -m tests.storage.run_victim LOCATION`.

For every line on standard input it forks a child, prints the child's process id, and waits for its
end; so each child starts with everything imported. A child records a run of two channels in real
time and prints, at every tenth reading put, the run's id, how many were put on each channel, the
moment, and how long the longest pause between two of its own steps has been: what the machine was
busy with besides.
"""

import os
import sys
import time

import psycopg  # noqa: F401 - imported before a child is made, so that each starts at once

from benchassist.storage import open_store, recorder, run_query, track  # noqa: F401 - the same
from tests.storage.run_case import reading, run_header
from tests.storage.victim import say

STEP_S = 0.001
GATHER_AT = 150
"""Tails are gathered often, so that kills come in the middle of it too."""


def record(location: str) -> None:
    """Put readings for ever, a thousand times a second."""
    track.GATHER_AT = GATHER_AT
    store = open_store(location)
    run = run_header()
    recording = store.record(run, {})
    begin = before = time.monotonic()
    longest, number = 0.0, 0
    while True:
        now = time.monotonic()
        longest, before = max(longest, now - before), now
        for channel in "AB":
            recording.put(reading(now - begin, float(number), channel=channel))
        number += 1
        if number % 10 == 0:
            say(f"{run.id} {number} {now!r} {longest!r}")
        # A meter's pace; nothing is waited for.
        time.sleep(STEP_S)


def main(location: str) -> None:
    """Fork a child for every line that comes."""
    for _ in sys.stdin:
        child = os.fork()
        if not child:
            record(location)
        say(f"child {child}")
        os.waitpid(child, 0)
        say("gone")


if __name__ == "__main__":
    main(*sys.argv[1:])
