"""A server's shop, dumped by the server's own program and read back whole.

The program is asked for a moment that is seen here as well, so that what it wrote can be counted.
"""

import os
import re
import shutil
import subprocess
import threading
import time
from collections.abc import Callable, Mapping
from gettext import gettext as _
from pathlib import Path
from typing import IO, Final, Self
from urllib.parse import unquote, urlsplit, urlunsplit

from benchassist.errors import BenchError
from benchassist.storage.backup import Along, Backup, Progress, part_of
from benchassist.storage.place import ShopServer
from benchassist.storage.room import require_room, size_of
from benchassist.storage.snapshot import Snapshot
from benchassist.storage.whole_file import finished

ASKED_EVERY_S: Final = 0.1
"""Between two looks at a program at work."""

SILENCE_S: Final = 120.0
"""How long a program may write and say nothing before its server counts as lost."""

DUMPED: Final = 0.8
"""Of the work, how much is done when the dump is written: the rest reads it back."""

PACKED: Final = frozenset({"photo", "run_bins", "run_chunk", "run_tail"})
PACKED_ROOM: Final = 1.2
ROOM: Final = 0.4
"""What a dump may take of its tables: those with packed bytes in them, and all others, which came
to a tenth in a drawn shop of 500 visits."""

AT_TABLE: Final = re.compile(r'dumping contents of table "(?:[^"]*\.)?([^".]+)"')

Told = Callable[[], None]
"""Is called while a program works; what it raises ends it."""


class DumpError(BenchError):
    """The server's own program is not here, or could not do it; the shop can still be copied."""


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
    program, reader = shutil.which("pg_dump"), shutil.which("pg_restore")
    if program is None or reader is None:
        raise DumpError(_("pg_dump is not on this computer"))
    address, secret = _address_of(moment.server)
    tables = moment.table_bytes()
    with finished(to) as fresh:
        require_room((fresh.parent, room_for_dump(moment)))
        command = [
            *(program, "--format=custom", "--verbose", "--no-password", "--lock-wait-timeout=5s"),
            *(f"--snapshot={moment.id}", f"--file={fresh}", f"--dbname={address}"),
        ]
        with _Program(command, secret) as dumping:
            told = _telling(part_of(progress, 0.0, DUMPED), tables, dumping)
            dumping.wait(told, lambda: size_of(fresh))
        _read_back(reader, fresh, moment.visits, part_of(progress, DUMPED, 1.0))
        if along is not None:
            along(moment.photos)
        size = fresh.stat().st_size
    return Backup(file=to, bytes=size, visits=moment.visits, dumped=True)


def _telling(progress: Progress, tables: Mapping[str, int], dumping: "_Program") -> Told:
    """Tells by the tables that are done: they are dumped one after the other."""
    whole = max(1, sum(tables.values()))

    def told() -> None:
        begun = [found[1] for found in map(AT_TABLE.search, [*dumping.said]) if found]
        done = sum(tables.get(name, 0) for name in begun[:-1])
        progress(done, whole)

    return told


def _read_back(reader: str, fresh: Path, visits: int, progress: Progress) -> None:
    """Have a dump unpacked to its end, and its visits counted. Raises DumpError."""
    with _Program([reader, f"--file={os.devnull}", str(fresh)], {}) as reading:
        reading.wait(lambda: progress(0, 1))
    command = [reader, "--data-only", "--table=visit", "--file=-", str(fresh)]
    with _Program(command, {}, counts=True) as counting:
        counting.wait(lambda: progress(counting.rows, visits))
    if counting.rows != visits:
        raise DumpError(_("the backup does not hold what the shop does: make it again"))
    progress(1, 1)


class _Program:
    """One of the server's own programs at work; it does not outlive this."""

    def __init__(self, command: list[str], secret: dict[str, str], *, counts: bool = False) -> None:
        self.said: list[str] = []
        self.rows = 0
        """Of the one table that is written to its output."""
        self._name = Path(command[0]).name
        self._process = subprocess.Popen(
            command,
            # Its words are looked at here; nobody else reads them.
            env=os.environ | secret | {"LC_ALL": "C", "PGCONNECT_TIMEOUT": "5"},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE if counts else subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
        )
        self._listening = [
            threading.Thread(target=listen, args=(pipe,), name=self._name, daemon=True)
            for listen, pipe in (
                (self._hear, self._process.stderr),
                (self._count, self._process.stdout),
            )
            if pipe is not None
        ]
        for thread in self._listening:
            thread.start()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_error: object) -> None:
        self._process.kill()
        self._process.wait()
        for thread in self._listening:
            thread.join()

    def wait(self, told: Told, moves: Callable[[], int] | None = None) -> None:
        """Wait for its end, of one that needs a server only while `moves` is another number.

        Raises DumpError.
        """
        before, since_s = (0, 0), time.monotonic()
        while not self._has_ended():
            told()
            now = (0 if moves is None else moves(), len(self.said))
            if moves is None or now != before:
                before, since_s = now, time.monotonic()
            elif time.monotonic() - since_s > SILENCE_S:
                raise DumpError(_("{program} got no answer").format(program=self._name))
        for thread in self._listening:
            thread.join()
        if self._process.returncode:
            wrong = [line for line in self.said if "error:" in line] or self.said[-1:]
            said = wrong[0] if wrong else _("it does not say why")
            raise DumpError(_("{program} failed: {said}").format(program=self._name, said=said))

    def _has_ended(self) -> bool:
        try:
            self._process.wait(ASKED_EVERY_S)
        except subprocess.TimeoutExpired:
            return False
        return True

    def _hear(self, pipe: IO[bytes]) -> None:
        with pipe:
            for line in pipe:
                self.said.append(line.decode("utf-8", "replace").strip())

    def _count(self, pipe: IO[bytes]) -> None:
        """A row a line, between the line that begins a table and the one that ends it."""
        inside = False
        with pipe:
            for line in pipe:
                if line.rstrip() == b"\\.":
                    inside = False
                elif inside:
                    self.rows += 1
                elif line.startswith(b"COPY "):
                    inside = True


def _address_of(server: ShopServer) -> tuple[str, dict[str, str]]:
    """The address as the server's programs take it; the password goes where no list shows it."""
    parts = urlsplit(server.url)
    user, at, host = parts.netloc.rpartition("@")
    name, _colon, password = user.partition(":")
    address = urlunsplit(parts._replace(scheme="postgresql", netloc=f"{name}{at}{host}"))
    return address, {"PGPASSWORD": unquote(password)} if password else {}
