"""What one transaction writes: a machine, a visit, or entries that follow on what is there.

Writing the same thing twice keeps it once, so a write whose answer was lost may be repeated.
"""

from collections.abc import Callable
from gettext import gettext as _

from sqlalchemy import Connection, Table, func, select, update
from sqlalchemy.exc import IntegrityError

from benchassist.core.entry import Closed, Entry, Machine, Reopened
from benchassist.core.photo import Photo
from benchassist.core.visit import VisitHeader
from benchassist.errors import StoreError
from benchassist.storage import schema, search
from benchassist.storage.addition import insert_into
from benchassist.storage.frozen import HEADER_COLUMNS, keep
from benchassist.storage.photo_query import photo_row
from benchassist.storage.row import Row, beside_row, entry_row, machine_row, visit_rows

Work = VisitHeader | Machine | Photo | tuple[Entry, ...]


Fence = Callable[[Connection, str], None]
"""Raises StoreError where a visit may not be written in, within the transaction that writes."""


def visits_of(work: Work) -> tuple[str, ...]:
    """The visits a submission belongs to."""
    match work:
        case VisitHeader():
            return (work.id,)
        case Machine() | Photo():
            return ()
        case _:
            return tuple(dict.fromkeys(entry.stamp.visit_id for entry in work))


class HoleError(StoreError):
    """An entry came whose forerunner in the visit is not stored."""


class NumberUsedError(StoreError):
    """A new visit has the slip number of another."""


class Ledger:
    """Knows how far each visit of this process is written. For the writer's thread alone."""

    def __init__(self, dialect_name: str, fence: Fence | None = None) -> None:
        self._fence = fence
        self._add = {
            table: insert_into(table, dialect_name)
            .on_conflict_do_nothing(index_elements=list(table.primary_key))
            .execution_options(preserve_rowcount=True)
            for table in (
                schema.machine,
                schema.visit,
                schema.entry,
                schema.taken,
                schema.part_mark,
                schema.photo,
            )
        }
        changed = insert_into(schema.machine, dialect_name)
        self._set_machine = changed.on_conflict_do_update(
            index_elements=[schema.machine.c.id],
            set_={
                c.name: changed.excluded[c.name]
                for c in schema.machine.c
                if c.name not in {"id", "erased_at"}
            },
        )
        self._last: dict[str, int] = {}

    def write(self, connection: Connection, work: Work) -> None:
        """Write and commit, or leave nothing written.

        Raises StoreError for what may not be kept, DBAPIError for what the database could not do.
        """
        match work:
            case VisitHeader():
                self._write_visit(connection, work)
            case Machine():
                row = machine_row(work)
                with connection.begin():
                    connection.execute(self._set_machine, row)
                    search.index_machine(connection, work)
            case Photo():
                with connection.begin():
                    connection.execute(self._add[schema.photo], photo_row(work))
            case _:
                self._write_entries(connection, work)

    def _write_visit(self, connection: Connection, header: VisitHeader) -> None:
        machine, (visit, texts) = machine_row(header.machine), visit_rows(header)
        try:
            with connection.begin():
                if connection.execute(self._add[schema.machine], machine).rowcount:
                    search.index_machine(connection, header.machine)
                keep(connection, texts)
                if connection.execute(self._add[schema.visit], visit).rowcount:
                    told = header.interview
                    search.index_visit(connection, header.machine.id, told.complaint, told.words)
                else:
                    _require_same(
                        connection, schema.visit, visit, *(c.name for c in HEADER_COLUMNS)
                    )
        except IntegrityError:
            raise NumberUsedError(
                _("slip number {number} is already used: open the visit with a new one").format(
                    number=header.slip_number
                )
            ) from None

    def _write_entries(self, connection: Connection, entries: tuple[Entry, ...]) -> None:
        rows = [(e, entry_row(e)) for e in entries]
        last = dict[str, int]()
        try:
            with connection.begin():
                if self._fence is not None:
                    for visit_id in dict.fromkeys(row["visit_id"] for _entry, row in rows):
                        self._fence(connection, visit_id)
                for entry, row in rows:
                    visit_id, seq = row["visit_id"], row["seq"]
                    before = last.get(visit_id, self._last.get(visit_id, -1))
                    if seq != before + 1:
                        before = _last_seq(connection, visit_id)
                    if seq > before + 1:
                        raise HoleError(
                            _("entry {seq} came before entry {due} of its visit was stored").format(
                                seq=seq, due=before + 1
                            )
                        )
                    if connection.execute(self._add[schema.entry], row).rowcount:
                        self._add_beside(connection, entry)
                    else:
                        _require_same(connection, schema.entry, row, "body")
                    last[visit_id] = max(before, seq)
        except IntegrityError as error:
            if "foreign key" in str(error.orig).lower():
                raise HoleError(_("the visit itself is not stored yet")) from None
            raise StoreError(
                _("the visit was written to from another window: leave it and open it again")
            ) from None
        self._last.update(last)

    def _add_beside(self, connection: Connection, entry: Entry) -> None:
        """What is asked across visits, beside an entry that was added just now."""
        if (beside := beside_row(entry)) is not None:
            table, row = beside
            connection.execute(self._add[table], row)
        elif isinstance(entry, Closed | Reopened):
            note_door(connection, entry)


def note_door(connection: Connection, entry: Closed | Reopened) -> None:
    """Keep with the visit whether it is closed."""
    v = schema.visit.c
    closed_at = entry.stamp.at if isinstance(entry, Closed) else None
    connection.execute(
        update(schema.visit).where(v.id == entry.stamp.visit_id).values(closed_at=closed_at)
    )


def _last_seq(connection: Connection, visit_id: str) -> int:
    entry = schema.entry.c
    last = connection.scalar(select(func.max(entry.seq)).where(entry.visit_id == visit_id))
    return int(last or 0)


def _require_same(connection: Connection, table: Table, row: Row, *columns: str) -> None:
    """What stands under the same id must be the same thing."""
    asked = select(*(table.c[column] for column in columns)).where(table.c.id == row["id"])
    there = connection.execute(asked).first()
    if there is None or tuple(there) != tuple(row[column] for column in columns):
        raise StoreError(
            _("the record {id} is stored already and says something else: it never changes").format(
                id=row["id"]
            )
        )
