"""A customer's personal data is erased: in one transaction, by the writer's thread.

Of the machines named, customer and phone are blanked in the machine and in every visit; in words
that people typed on their visits every part of the name and the number is blotted out, elsewhere
the whole name and the number. Entries keep their ids, their order, their times, and everything that
was measured and judged. Then what is unused in the storage is made anew, so that nothing of the old
text is left in it.
"""

import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from gettext import gettext as _
from typing import Any, Final

from sqlalchemy import Connection, delete, select, text, update
from sqlalchemy.exc import DBAPIError

from benchassist.core.entry import Entry, Machine, PhotoAdded
from benchassist.core.holding import Erased
from benchassist.core.personal import blotted_entry, blotted_header, blotted_words
from benchassist.core.trace import Traces
from benchassist.core.visit import VisitHeader
from benchassist.errors import NotFoundError, StoreError
from benchassist.storage import query, schema, search
from benchassist.storage.codec import decode_entry, from_text
from benchassist.storage.frozen import Thaw, freeze
from benchassist.storage.personal import owners_of, traces_of_all, visits_elsewhere, visits_of
from benchassist.storage.row import beside_row, entry_row, machine_row

TRIES: Final = 3
PAUSE_S: Final = 0.5

CHECKPOINT_S: Final = 5.0
"""How long other programs' reading is waited for, so that the log can be emptied."""

TABLES: Final = ("machine", "visit", "entry", "part_mark", "photo", "search_place", "search_tail")
"""What a server is told to clear of old rows."""


class Eraser:
    """A chore of the writer's thread; `wait` for what came of it."""

    def __init__(self, machine_ids: Sequence[str], now: datetime, *, photos: bool) -> None:
        """`now` is when they are erased; `photos`: also the photos of their visits."""
        self._machine_ids = tuple(dict.fromkeys(machine_ids))
        self._now = now
        self._photos = photos
        self._erased: Erased | None = None
        self._failure = ""
        self._tries = 0
        self._ended = threading.Event()
        self.due_s = 0.0

    @property
    def is_done(self) -> bool:
        """Whether it is erased, or given up."""
        return self._ended.is_set()

    def wait(self) -> Erased:
        """Return what was erased. Raises StoreError where nothing could be."""
        self._ended.wait()
        if self._erased is None:
            raise StoreError(self._failure)
        return self._erased

    def work(self, connection: Connection) -> None:
        """Erase, then tidy up. Raises DBAPIError, NotFoundError."""
        with _overwriting(connection), connection.begin():
            erased = self._erase(connection)
        self._erased = replace(erased, lingers=_tidied(connection))
        self._ended.set()

    def failed(self, why: str) -> None:
        """It is tried again a few times; then it is left as it was."""
        self._tries += 1
        self.due_s = time.monotonic() + PAUSE_S
        if self._tries >= TRIES:
            self._give_up(why)

    def close(self) -> None:
        """The shop closes: what is not begun is left."""
        if not self.is_done:
            self._give_up(_("the shop was closed"))

    def _give_up(self, why: str) -> None:
        self._failure = why
        self._ended.set()

    def _erase(self, connection: Connection) -> Erased:
        thaw, machines = Thaw(), [_machine(connection, i) for i in self._machine_ids]
        owners = [owners_of(connection, machine) for machine in machines]
        visits = words = 0
        digests = set[str]()
        for machine, owner in zip(machines, owners, strict=True):
            for header, entries in [*visits_of(connection, thaw, machine.id)]:
                visits += 1
                words += _blot_visit(connection, header, owner.traces)
                for entry in entries:
                    words += self._blot_entry(connection, entry, owner.traces)
                    if isinstance(entry, PhotoAdded):
                        digests.add(entry.digest)
            self._blank(connection, machine, owner.traces)
        everyone = traces_of_all(owners)
        words += _blot_elsewhere(connection, thaw, frozenset(self._machine_ids), everyone)
        gone, shared = self._drop_photos(connection, digests)
        return Erased(
            tags=tuple(machine.tag for machine in machines),
            visits=visits,
            words=words,
            photos=gone,
            shared=shared,
        )

    def _blank(self, connection: Connection, machine: Machine, traces: Traces) -> None:
        nobody = replace(machine, customer="", phone="", unit=traces.blot(machine.unit))
        m = schema.machine.c
        row = machine_row(nobody) | {"erased_at": self._now}
        connection.execute(update(schema.machine).where(m.id == machine.id).values(row))
        search.index_again(connection, machine.id)

    def _blot_entry(self, connection: Connection, entry: Entry, traces: Traces) -> bool:
        """Whether words of an entry were personal."""
        kept = blotted_entry(entry, traces)
        if self._photos and isinstance(kept, PhotoAdded):
            kept = replace(kept, caption="")
        return _write_entry(connection, entry, kept)

    def _drop_photos(
        self, connection: Connection, digests: set[str]
    ) -> tuple[tuple[str, ...], int]:
        """Forget the photos that no other machine's visit has; their digests, and how many stay."""
        if not self._photos or not digests:
            return (), 0
        e, v = schema.entry.c, schema.visit.c
        asked = (
            select(e.body)
            .join(schema.visit, v.id == e.visit_id)
            .where(e.kind == "photo_added", v.machine_id.not_in(self._machine_ids))
        )
        others = (decode_entry(from_text(body)) for body in connection.scalars(asked))
        shared = digests & {e.digest for e in others if isinstance(e, PhotoAdded)}
        gone = sorted(digests - shared)
        for digest in gone:
            connection.execute(delete(schema.photo).where(schema.photo.c.digest == digest))
        return tuple(gone), len(shared)


def _machine(connection: Connection, machine_id: str) -> Machine:
    found = query.machine(connection, machine_id)
    if found is None:
        raise NotFoundError(_("no machine '{id}' on file").format(id=machine_id))
    return found


def _blot_visit(connection: Connection, header: VisitHeader, traces: Traces) -> bool:
    """Whether words of the interview were personal."""
    kept = blotted_header(header, traces)
    _write_header(connection, header, kept)
    return kept.interview != header.interview


def _blot_elsewhere(
    connection: Connection, thaw: Thaw, machine_ids: frozenset[str], traces: Traces
) -> int:
    """How many entries and interviews of other machines named them."""
    words = 0
    for header, entries in [*visits_elsewhere(connection, thaw, machine_ids, traces)]:
        kept = blotted_words(header, traces, whole=True)
        words += _write_header(connection, header, kept)
        for entry in entries:
            words += _write_entry(connection, entry, blotted_entry(entry, traces, whole=True))
        if kept != header:
            search.index_again(connection, header.machine.id)
    return words


def _write_header(connection: Connection, before: VisitHeader, kept: VisitHeader) -> bool:
    if kept == before:
        return False
    columns: dict[str, Any] = {
        "header": freeze(kept)[0]["header"],
        "words": kept.interview.words,
    }
    v = schema.visit.c
    connection.execute(update(schema.visit).where(v.id == kept.id).values(columns))
    return True


def _write_entry(connection: Connection, before: Entry, kept: Entry) -> bool:
    """Only what was said changes, in the entry and in the row beside it."""
    if kept == before:
        return False
    e = schema.entry.c
    connection.execute(
        update(schema.entry).where(e.id == kept.stamp.id).values(body=entry_row(kept)["body"])
    )
    if (beside := beside_row(kept)) is not None:
        table, row = beside
        connection.execute(update(table).where(table.c.entry_id == kept.stamp.id).values(row))
    return True


def _tidied(connection: Connection) -> str:
    """Leave nothing of what was overwritten; where that cannot be done, why, in one line."""
    try:
        if connection.dialect.name == "sqlite":
            return _rewritten(connection)
        with connection.engine.connect() as other:
            alone = other.execution_options(isolation_level="AUTOCOMMIT")
            for table in TABLES:
                alone.execute(text(f"VACUUM {table}"))
    except DBAPIError as error:
        return _("unused parts of the shop may still hold the text ({why}): erase again").format(
            why=" ".join(str(error.orig).split())
        )
    return ""


def _rewritten(connection: Connection) -> str:
    """The file is written anew from what is in it, and its log emptied."""
    try:
        _raw(connection).execute("VACUUM")
        until_s = time.monotonic() + CHECKPOINT_S
        while _raw(connection).execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]:
            if time.monotonic() >= until_s:
                return _(
                    "another program is reading the shop file: its log is emptied when that closes"
                )
            time.sleep(0.05)
    except _raw_error(connection) as error:
        return _("unused parts of the shop may still hold the text ({why}): erase again").format(
            why=error
        )
    return ""


@contextmanager
def _overwriting(connection: Connection) -> Iterator[None]:
    """What a file's rows were before is overwritten at once, should the rest not be reached."""
    if connection.dialect.name != "sqlite":
        yield
        return
    (before,) = _raw(connection).execute("PRAGMA secure_delete").fetchone()
    _raw(connection).execute("PRAGMA secure_delete = ON")
    try:
        yield
    finally:
        _raw(connection).execute(f"PRAGMA secure_delete = {int(before)}")


def _raw(connection: Connection) -> Any:  # noqa: ANN401 - the driver's own
    """The driver's connection: what is asked of it here cannot stand in a transaction."""
    return connection.connection.driver_connection


def _raw_error(connection: Connection) -> type[Exception]:
    error: type[Exception] = connection.dialect.loaded_dbapi.Error
    return error
