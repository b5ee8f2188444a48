"""A server's shop, dumped by the server's own program and read back whole.

The program is asked for a moment that is seen here as well, so that what it wrote can be counted.
"""

import re
import shutil
from collections.abc import Mapping
from gettext import gettext as _
from pathlib import Path
from typing import Final

from benchassist.storage import schema
from benchassist.storage.backup import Along, Backup, Progress, part_of
from benchassist.storage.dump_file import extents_of
from benchassist.storage.room import require_room, size_of
from benchassist.storage.server_program import DumpError, Program, Told, address_of, program
from benchassist.storage.snapshot import Snapshot
from benchassist.storage.whole_file import finished

DUMPED: Final = 0.8
"""Of the work, how much is done when the dump is written: the rest reads it back."""

PACKED: Final = frozenset({"photo", "run_bins", "run_chunk", "run_tail"})
PACKED_ROOM: Final = 1.2
ROOM: Final = 0.4
"""What a dump may take of its tables: those with packed bytes in them, and all others, which came
to a tenth in a drawn shop of 500 visits."""

AT_TABLE: Final = re.compile(r'dumping contents of table "(?:[^"]*\.)?([^".]+)"')


def can_dump() -> bool:
    """Return whether this computer has the server's programs that dump and read a dump."""
    return None not in (shutil.which("pg_dump"), shutil.which("pg_restore"))


def room_for_dump(moment: Snapshot) -> int:
    """Return how many bytes a dump may take."""
    return round(
        sum(
            size * (PACKED_ROOM if name in PACKED else ROOM)
            for name, size in moment.table_bytes().items()
        )
    )


def dump(
    moment: Snapshot, to: Path, progress: Progress | None = None, *, along: Along | None = None
) -> Backup:
    """Have the server's own program dump a shop, and what it wrote read and counted.

    Raises DumpError, InputError for a name that cannot be used, NoRoomError. What was begun is gone
    then.
    """
    dumper, _reader = program("pg_dump"), program("pg_restore")
    address, secret = address_of(moment.server)
    tables = moment.table_bytes()
    with finished(to) as fresh:
        require_room((fresh.parent, room_for_dump(moment)))
        command = [
            *(dumper, "--format=custom", "--verbose", "--no-password", "--lock-wait-timeout=5s"),
            *(f"--snapshot={moment.id}", f"--file={fresh}", f"--dbname={address}"),
        ]
        with Program(command, secret) as dumping:
            told = _telling(part_of(progress, 0.0, DUMPED), tables, dumping)
            dumping.wait(told, lambda: size_of(fresh))
        _read_back(fresh, moment.visits, sum(tables.values()), part_of(progress, DUMPED, 1.0))
        if along is not None:
            along(moment.photos)
        size = fresh.stat().st_size
    return Backup(file=to, bytes=size, visits=moment.visits, dumped=True)


def _telling(progress: Progress, tables: Mapping[str, int], dumping: Program) -> Told:
    """Tells by the tables that are done: they are dumped one after the other."""
    whole = max(1, sum(tables.values()))

    def told() -> None:
        begun = [found[1] for found in map(AT_TABLE.search, [*dumping.said]) if found]
        done = sum(tables.get(name, 0) for name in begun[:-1])
        progress(done, whole)

    return told


def _read_back(fresh: Path, visits: int, size: int, progress: Progress) -> None:
    """Have a dump of so many bytes unpacked to its end, and its visits counted. DumpError."""
    extents = extents_of(fresh, lambda read: progress(read, size))
    if schema.visit.name not in extents or extents[schema.visit.name].rows != visits:
        raise DumpError(_("the backup does not hold what the shop does: make it again"))
    progress(1, 1)
