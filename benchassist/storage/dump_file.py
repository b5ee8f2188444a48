"""What is in a dump of a server's shop, read without a server and never all in memory.

The server's own program unpacks it into PostgreSQL's text format: for each table a line that names
its columns, a line a row, and a line that ends it.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from gettext import gettext as _
from pathlib import Path
from typing import Final

from benchassist.errors import InputError, NotAShopError, ShopFileError
from benchassist.storage import schema
from benchassist.storage.head import REVISION_TABLE
from benchassist.storage.integrity import Contents
from benchassist.storage.revision import refuse_other_revisions
from benchassist.storage.server_program import DumpError, Program, program
from benchassist.storage.whole_file import begins_as_dump, begins_as_shop

BEGINS: Final = re.compile(rb'COPY (?:.*\.)?"?([^". ]+)"? \(([^)]*)\) FROM stdin;\r?\n?')
ENDS: Final = re.compile(rb"\\\.\r?\n?")
WRITTEN_IN: Final = re.compile(rb"SET client_encoding = '(\w+)';")

TOLD_EVERY: Final = 1 << 22
"""Bytes after which it is told how far the reading is."""

REVISION, OPENED_AT = "version_num", "opened_at"

FIRST_TABLES: Final = frozenset({REVISION_TABLE, "machine", "visit", "entry", "taken"})
"""Those that a shop of any revision has."""

NEWER: Final = "unsupported version"
"""In what the reader says of a dump by a later program than itself."""

Told = Callable[[int], None]
"""Is told how many bytes have been unpacked; what it raises ends it."""


class NoTableError(DumpError):
    """A dump does not hold a table."""


@dataclass(slots=True)
class Extent:
    """How much a dump holds of a table."""

    rows: int = 0
    bytes: int = 0


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows of a table, each a line as it is written there.

    `encoding` is the server's name of that of its letters.
    """

    columns: tuple[str, ...]
    encoding: str
    lines: Iterator[bytes]

    def of(self, *names: str) -> Iterator[tuple[str | None, ...]]:
        """The values of some columns that hold no letters beyond ASCII. Raises ValueError."""
        at = [self.columns.index(name) for name in names]
        for line in self.lines:
            fields = line.rstrip(b"\r\n").split(b"\t")
            yield tuple(None if fields[i] == rb"\N" else fields[i].decode("ascii") for i in at)


@dataclass(frozen=True, slots=True)
class DumpFile:
    """A whole dump of a shop: what it holds, and how much of each table."""

    contents: Contents
    extents: Mapping[str, Extent] = field(repr=False)


def look_into(path: Path, told: Told | None = None) -> DumpFile:
    """Return what a sound dump holds, of a shop of this program or of an earlier one.

    Raises ShopFileError in one line for a file that is none, is damaged, cut short, or newer than
    the program; InputError where it cannot be read on this computer.
    """
    if not begins_as_dump(path):
        _refuse_other(path)
    with said_of(path):
        extents = extents_of(path, told)
        if not extents.keys() >= FIRST_TABLES:
            raise NotAShopError(
                _("{file} is a dump of another program's database: choose one of a shop").format(
                    file=path
                )
            )
        with rows_in(path, REVISION_TABLE) as rows:
            revisions = [str(revision) for (revision,) in rows.of(REVISION)]
        if len(revisions) != 1:
            raise ValueError(REVISION)
        refuse_other_revisions(str(path), revisions[0], read_only=False)
        with rows_in(path, schema.visit.name) as rows:
            opened = [datetime.fromisoformat(at) for (at,) in rows.of(OPENED_AT) if at is not None]
        contents = Contents(
            file=path,
            revision=revisions[0],
            bytes=path.stat().st_size,
            visits=extents[schema.visit.name].rows,
            newest=max(opened).astimezone(UTC) if opened else None,
        )
        return DumpFile(contents, extents)


@contextmanager
def said_of(path: Path) -> Iterator[None]:
    """What goes wrong while a dump is read is told of its file."""
    try:
        yield
    except DumpError as error:
        if NEWER in str(error):
            raise InputError(
                _(
                    "{file} was made by a newer pg_dump than this computer's pg_restore can read: "
                    "install the newer PostgreSQL client here, then restore again"
                ).format(file=path)
            ) from None
        raise _damaged(path, str(error)) from None
    except (ValueError, IndexError) as error:  # a line that is none of the server's
        raise _damaged(path, str(error)) from None
    except OSError as error:
        raise _damaged(path, error.strerror or str(error)) from None


def reader() -> str:
    """Return the program that reads a dump. Raises InputError where it is not here."""
    try:
        return program("pg_restore")
    except DumpError as error:
        raise InputError(
            _("{why}, which reads a dump: install the PostgreSQL client, then try again").format(
                why=error
            )
        ) from None


def extents_of(path: Path, told: Told | None = None) -> dict[str, Extent]:
    """Have a dump unpacked to its end; returns how much it holds of each table.

    Raises DumpError where that cannot be done, or for two tables of one name.
    """
    extents, inside, read, due = dict[str, Extent](), None, 0, TOLD_EVERY
    with Program([reader(), "--data-only", "--file=-", str(path)], {}, reads=True) as reading:
        for line in reading.lines():
            read += len(line)
            if told is not None and read >= due:
                told(read)
                due = read + TOLD_EVERY
            if inside is None:
                if found := BEGINS.fullmatch(line):
                    name = found[1].decode()
                    if name in extents:
                        raise DumpError(_("it has two tables {table}").format(table=name))
                    inside = extents[name] = Extent()
            elif ENDS.fullmatch(line):
                inside = None
            else:
                inside.rows += 1
                inside.bytes += len(line)
        reading.wait()
    return extents


@contextmanager
def rows_in(path: Path, table: str) -> Iterator[Rows]:
    """The rows of a table, read as they are asked for, all of them; one must be there.

    Raises DumpError where the dump cannot be read, NoTableError where it is not in it.
    """
    command = [reader(), "--data-only", f"--table={table}", "--file=-", str(path)]
    with Program(command, {}, reads=True) as reading:
        lines, encoding, columns = reading.lines(), "UTF8", None
        for line in lines:
            if found := WRITTEN_IN.match(line):
                encoding = found[1].decode()
            elif found := BEGINS.fullmatch(line):
                columns = tuple(name.strip(' "') for name in found[2].decode().split(","))
                break
        if columns is None:
            reading.wait()
            raise NoTableError(_("it has no table {table}").format(table=table))
        yield Rows(columns, encoding, _until_its_end(lines))
        for _line in lines:
            pass
        reading.wait()


def _until_its_end(lines: Iterator[bytes]) -> Iterator[bytes]:
    for line in lines:
        if ENDS.fullmatch(line):
            return
        yield line
    raise DumpError(_("it ends in the middle of a table"))


def photos_in(path: Path) -> frozenset[str]:
    """Return the digests of the photos that a dump names; an early one has none.

    Raises ShopFileError where it cannot be read.
    """
    with said_of(path):
        try:
            with rows_in(path, schema.photo.name) as rows:
                return frozenset(str(digest) for (digest,) in rows.of(schema.photo.c.digest.name))
        except NoTableError:
            return frozenset()


def _refuse_other(path: Path) -> None:
    if begins_as_shop(path):
        raise InputError(
            _(
                "the shop is on a server: move {file} to an empty database there, with the command "
                "benchassist move"
            ).format(file=path)
        )
    if not path.exists():
        raise NotAShopError(_("{file}: no such file; name a dump of the shop").format(file=path))
    raise NotAShopError(
        _("{file} is no dump of a server's shop: choose one that benchassist backup made").format(
            file=path
        )
    )


def _damaged(path: Path, why: str) -> ShopFileError:
    return ShopFileError(
        _("the dump {file} is damaged or cannot be read ({why}): choose another backup").format(
            file=path, why=why
        )
    )
