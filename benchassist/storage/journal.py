"""What a bench keeps on its own computer while the shop's server is away.

A shop file of the same tables, one for each server, in a folder of the home; what is written in it
is on disk as well as in any other. It begins with the visits in hand, each as far as it was known,
and with the token of the lease under which it was worked. It is emptied once the server has all.
"""

import logging
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime
from gettext import gettext as _
from pathlib import Path
from typing import Any, Final

from sqlalchemy import (
    Column,
    Connection,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    delete,
    func,
    insert,
    select,
)
from sqlalchemy.exc import DBAPIError

from benchassist.core.away import Away
from benchassist.core.entry import Machine
from benchassist.errors import BenchError, StoreError
from benchassist.storage import schema
from benchassist.storage.engine import Engines, open_engines, trouble
from benchassist.storage.hand import Hand
from benchassist.storage.integrity import fault
from benchassist.storage.lease import nobodys
from benchassist.storage.ledger import Ledger, Work
from benchassist.storage.place import ShopFile
from benchassist.storage.presence import locked_file
from benchassist.storage.schema import UtcDateTime
from benchassist.storage.whole_file import BESIDE

LINES: Final = Table(
    "journal_line",
    MetaData(),
    Column("number", Integer, primary_key=True),
    Column("kind", String(16), nullable=False),
    Column("what", Text, nullable=False),
    Column("value", Integer, nullable=False),
    Column("at", UtcDateTime),
)
"""What a shop file has no place for. `away`: since when and why; `said`: the server's words;
`taken`, `runs`, `entries`: how many were there then; `spare`: a visit that was never on this bench,
how many entries it had; `slip`: the highest serial known of a letter; `machines`: how many the
server was known to have; `machine`: one that was written since."""

log = logging.getLogger(__name__)


class JournalInUseError(StoreError):
    """Another window of this program, of the same home, has the journal."""


class Journal:
    """One server's. Written in the writer's thread alone; read from any.

    Raises JournalInUseError where another program of this home has it, StoreError where it cannot
    be kept.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self.hand = Hand()
        self.version = 0
        """Rises with everything that is written."""
        self.serials: dict[str, int] = {}
        """The highest slip number known of each letter."""
        self.machines = 0
        """How many machines the server was known to have."""
        self._lock_file = _locked(path)
        try:
            self.engines = _opened(path)
        except BaseException:
            self._lock_file.close()
            raise
        assert self.engines.writer is not None  # noqa: S101 - opened to write
        self._writer = self.engines.writer
        self._ledger = Ledger("sqlite")
        self._connection: Connection | None = None
        self._away: Away | None = None
        with self.engines.reader.begin() as connection:
            told = select(LINES.c.kind, LINES.c.what, LINES.c.value, LINES.c.at)
            lines = {line.kind: line for line in connection.execute(told)}
            if (begun := lines.get("away")) is not None:
                away = Away(since=begun.at, why=begun.what, said=lines["said"].what)
                self._away = self._counted(connection, away)
                if (counted := lines.get("machines")) is not None:
                    self.machines = counted.value

    @property
    def away(self) -> Away | None:
        """What is kept here, None while the server is there and has everything."""
        return self._away

    def close(self) -> None:
        """What is kept stays."""
        if self._connection is not None:
            self._connection.close()
        self.engines.dispose()
        self._lock_file.close()

    # --- in the writer's thread -------------------------------------------------------------------

    @property
    def connection(self) -> Connection:
        """The connection that writes here. Raises DBAPIError."""
        if self._connection is None:
            self._connection = self._writer.connect()
        return self._connection

    def begin(self, away: Away, tokens: Mapping[str, int]) -> bool:
        """The server is lost: what is in hand is put down here, with the tokens of its leases.

        Whether that is news. Raises BenchError where this computer cannot keep it either.
        """
        if (known := self._away) is not None:
            self._away = replace(
                known, outdated=known.outdated or away.outdated, said=away.said or known.said
            )
            return False
        try:
            self._clear()
            visits = self.hand.visits()
            for header, entries in visits:
                self._ledger.write(self.connection, header)
                if entries:
                    self._ledger.write(self.connection, entries)
            with self.connection.begin():
                for header, entries in visits:
                    token = tokens.get(header.id, 0)
                    self.connection.execute(insert(schema.lease), nobodys(header.id, token))
                    if not token:
                        self._note("spare", what=header.id, value=len(entries))
                self._note("machines", value=self.machines)
                for letter, serial in tuple(self.serials.items()):
                    self._note("slip", what=letter, value=serial)
                for kind, table in _COUNTED:
                    count = self.connection.scalar(select(func.count()).select_from(table))
                    self._note(kind, value=count or 0)
                self._note("said", what=away.said)
                self._note("away", what=away.why, at=away.since)
        except DBAPIError as error:
            raise self._trouble(error) from None
        self._away = away
        return True

    def write(self, work: Work) -> None:
        """Keep here what cannot go to the server. Raises BenchError."""
        try:
            if isinstance(work, Machine):
                with self.connection.begin():
                    self._note("machine", what=work.id)
            self._ledger.write(self.connection, work)
            self.hand.wrote(work)
            self.was_written()
        except DBAPIError as error:
            raise self._trouble(error) from None

    def was_written(self) -> None:
        """See how much is kept here now. Raises DBAPIError."""
        self.version += 1
        if self._away is not None:
            with self.connection.begin():
                self._away = self._counted(self.connection, self._away)

    def end(self) -> None:
        """The server has all of it: this is empty again."""
        self._away = None
        try:
            self._clear()
        except DBAPIError as error:
            log.warning("the journal could not be emptied: %s", error)

    def hang_up(self) -> None:
        """Let go of the connection; the next write makes another."""
        connection, self._connection = self._connection, None
        if connection is not None:
            connection.close()

    # --- what is in it ----------------------------------------------------------------------------

    def lines(self, kind: str) -> Sequence[Any]:
        """The lines of a kind, in order. Raises DBAPIError."""
        asked = select(LINES).where(LINES.c.kind == kind).order_by(LINES.c.number)
        with self.engines.reader.begin() as connection:
            return connection.execute(asked).all()

    def highest_serial(self, letter: str) -> int:
        """The highest slip number of a letter that the server was known to have."""
        return max((line.value for line in self.lines("slip") if line.what == letter), default=0)

    def _note(
        self, kind: str, *, what: str = "", value: int = 0, at: datetime | None = None
    ) -> None:
        row = {"kind": kind, "what": what, "value": value, "at": at}
        self.connection.execute(insert(LINES), row)

    def _counted(self, connection: Connection, away: Away) -> Away:
        """How much has come since the server was lost."""
        known = {
            line.kind: line.value
            for line in connection.execute(
                select(LINES.c.kind, LINES.c.value).where(LINES.c.kind.in_(dict(_COUNTED)))
            )
        }
        now = {
            kind: (connection.scalar(select(func.count()).select_from(table)) or 0)
            for kind, table in _COUNTED
        }
        readings, entries, runs = (now[kind] - known.get(kind, 0) for kind, _table in _COUNTED)
        return replace(away, readings=readings, entries=entries, runs=runs)

    def _clear(self) -> None:
        with self.connection.begin():
            for table in (*_emptied(), LINES):
                self.connection.execute(delete(table))
        self._ledger = Ledger("sqlite")

    def _trouble(self, error: DBAPIError) -> BenchError:
        self.hang_up()
        return trouble(ShopFile(self.path), error)


_COUNTED: Final = (("taken", schema.taken), ("entries", schema.entry), ("runs", schema.run))


def _emptied() -> Iterator[Table]:
    """Every table of a shop, each before those its rows belong to."""
    yield from reversed(schema.metadata.sorted_tables)


def _locked(path: Path) -> sqlite3.Connection:
    """Nobody else works on this journal while it is open."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        found = locked_file(path.with_suffix(".lock"))
    except (OSError, sqlite3.Error) as error:
        raise StoreError(
            _("{folder}: nothing can be kept there while the server is away ({why})").format(
                folder=path.parent, why=error
            )
        ) from None
    if found is None:
        raise JournalInUseError(
            _(
                "another window has this shop open: while the server is away, that one alone keeps "
                "readings on this computer"
            )
        )
    return found


def _opened(path: Path) -> Engines:
    """A damaged journal is set aside, never written over. Raises BenchError."""
    try:
        return _made(path)
    except BenchError as error:
        if not path.is_file() or fault(path) is None:
            raise
        aside = path.with_name(f"{path.stem}-damaged-{datetime.now(UTC):%Y%m%d-%H%M%S}.sqlite")
        log.warning("%s; it is kept as %s", error, aside)
        for tail in BESIDE:
            with suppress(FileNotFoundError):
                Path(f"{path}{tail}").rename(f"{aside}{tail}")
        return _made(path)


def _made(path: Path) -> Engines:
    engines = open_engines(ShopFile(path), read_only=False)
    assert engines.writer is not None  # noqa: S101 - opened to write
    try:
        with engines.writer.connect() as connection, connection.begin():
            LINES.create(connection, checkfirst=True)
    except DBAPIError as error:
        engines.dispose()
        raise trouble(ShopFile(path), error, opening=True) from None
    return engines
