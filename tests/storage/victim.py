"""Works on a shop until it is killed: `python -m tests.storage.victim WORK ...`.

For every line on standard input it forks a child, prints the child's process id, and waits for its
end; so each child starts with everything imported. What a child prints says what it has done: the
lines of each work are told with it. A work that has an end prints `begun` and `done`.
"""

import os
import signal
import sys
import time
from collections.abc import Callable, Mapping
from functools import cache
from itertools import count, cycle
from pathlib import Path
from types import MappingProxyType

# Imported before a child is made, so that each starts at once.
import alembic.command
import alembic.config  # noqa: F401
import psycopg  # noqa: F401
import sqlalchemy.dialects.postgresql  # noqa: F401
from sqlalchemy import Connection, insert

from benchassist import assembly
from benchassist.assembly import keeping, migration  # noqa: F401
from benchassist.core.record import Stored
from benchassist.core.run import RunHeader
from benchassist.core.visit import Visit
from benchassist.storage import (
    backup,
    compaction,
    dump,
    dump_restore,
    intake,  # noqa: F401
    move,
    open_store,
    parcel,
    recorder,  # noqa: F401
    restore,
    run_query,  # noqa: F401
    schema,
    server_copy,  # noqa: F401
    snapshot,
    track,
)
from benchassist.storage.chunk import pack_tail
from benchassist.storage.codec import encode, to_text
from benchassist.storage.dial import Dial
from benchassist.storage.engine import writing_engine
from benchassist.storage.place import ShopServer, place_of
from tests.storage.case import PATIENCE, Scribe
from tests.storage.run_case import long_chunk, reading, run_header

CHECKS = ("secondary", "cap", "gap")
GATHER_AT = 150
"""Tails are gathered often, so that kills come in the middle of it too."""
STEP_S = 0.001
TAIL_SAMPLES = 4096


def say(line: str) -> None:
    """Print a line in one piece, now."""
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def take_readings(location: str, visit_id: str) -> None:
    """Take readings at one check after the other, for ever, from where the visit stands.

    Prints each reading's id and check as soon as it is acknowledged.
    """
    store = open_store(location)
    visit = Visit(*store.visit(visit_id))
    scribe = Scribe(visit.header, after=visit.next_seq - 1)
    for check_key in cycle(CHECKS):
        entry = scribe.taken(check_key=check_key)
        ticket = store.submit(entry)
        if store.wait(PATIENCE) == Stored(ticket):
            say(f"{entry.stamp.id} {check_key}")


def record(location: str) -> None:
    """Put the readings of a run of two channels for ever, a thousand times a second.

    Prints, at every tenth reading put, the run's id, how many were put on each channel, the moment,
    and how long the longest pause between two of its own steps has been: what the machine was busy
    with besides.
    """
    track.GATHER_AT = GATHER_AT
    store = open_store(location)
    run = run_header()
    recording = store.record(run, {})
    begin = before = time.monotonic()
    longest = 0.0
    for number in count():
        now = time.monotonic()
        longest, before = max(longest, now - before), now
        for channel in "AB":
            recording.put(reading(now - begin, float(number), channel=channel))
        if number % 10 == 9:
            say(f"{run.id} {number + 1} {now!r} {longest!r}")
        # A meter's pace; nothing is waited for.
        time.sleep(STEP_S)


def gather(location: str) -> None:
    """Gather the long tail of a new run, piece by piece; prints the run's id first."""
    run = run_header()
    with writing_engine(place_of(location)).connect() as connection:
        with connection.begin():
            _add_tail(connection, run)
        say(run.id)
        say("begun")
        while True:
            with connection.begin():
                if not compaction.compact(connection, run.id, "A"):
                    break
        say("done")


def _add_tail(connection: Connection, run: RunHeader) -> None:
    text = to_text(encode(run))
    begun = {"id": run.id, "visit_id": "", "kind": run.kind, "header": text}
    connection.execute(insert(schema.run), begun)
    here, text = {"run_id": run.id, "channel": "A"}, to_text(encode(Dial(channel="A")))
    connection.execute(insert(schema.run_dial), here | {"number": 0, "body": text})
    whole = long_chunk()
    for number, start in enumerate(range(0, len(whole), TAIL_SAMPLES)):
        body = pack_tail(whole.where(slice(start, start + TAIL_SAMPLES)))
        connection.execute(insert(schema.run_tail), here | {"number": number, "body": body})


def back_up(location: str, folder: str) -> None:
    """Back a shop up under one new name after the other."""
    place = place_of(location)
    for number in count():
        to = Path(folder) / f"{os.getpid()}-{number}"
        say("begun")
        if isinstance(place, ShopServer):
            with snapshot.snapshot(place) as moment:
                dump.dump(moment, to.with_suffix(".dump"))
        else:
            backup.back_up(place.path, to.with_suffix(".sqlite"))
        say("done")


@cache
def read_once(file: str) -> tuple[parcel.Parcel, ...]:
    """Read an export."""
    return parcel.read_parcels(Path(file))


def take_in(location: str, file: str) -> None:
    """Import a file."""
    parcels = read_once(file)
    with open_store(location) as store:
        say("begun")
        store.take_in(parcels).wait()
    say("done")


def put_back_dump(location: str, one: str, other: str, folder: str) -> None:
    """Restore two dumps of a server's shop by turns, what was there kept aside.

    Either comes first: a child may be killed before its second one.
    """
    place = place_of(location)
    assert isinstance(place, ShopServer)
    for number in count():
        say("begun")
        to = Path(folder) / f"{os.getpid()}-{number}.aside.dump"

        def keep(to: Path = to) -> None:
            with snapshot.snapshot(place) as moment:
                dump.dump(moment, to)

        look = dump_restore.look_at(Path((one, other)[(os.getpid() + number) % 2]), place)
        dump_restore.restore(look, place, keep)
        say("done")


def put_back(shop: str, one: str, other: str) -> None:
    """Restore two backups by turns."""
    for number in count():
        say("begun")
        look = restore.look_at(Path((one, other)[number % 2]), Path(shop))
        restore.restore(look, Path(shop), Path(f"{shop}.{os.getpid()}-{number}.aside"))
        say("done")


def move_over(source: str, target: str) -> None:
    """Move a shop to an empty place."""
    say("begun")
    move.move(source, target)
    say("done")


def migrate(location: str, home: str) -> None:
    """Open a shop of an earlier revision as the program does: backed up, then brought up."""
    say("begun")
    assembly.open_store(assembly.Place(location, Path(home))).close()
    say("done")


WORK: Mapping[str, Callable[..., None]] = MappingProxyType(
    {
        "take": take_readings,
        "record": record,
        "gather": gather,
        "backup": back_up,
        "import": take_in,
        "restore": put_back,
        "restore-dump": put_back_dump,
        "move": move_over,
        "migrate": migrate,
    }
)


def main(work: str, *arguments: str) -> None:
    """Fork a child for every line that comes."""
    if work == "import":
        read_once(arguments[-1])
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
