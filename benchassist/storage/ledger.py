"""What one transaction writes: a machine, a visit, or entries that follow on what is there.

Writing the same thing twice keeps it once, so a write whose answer was lost may be repeated.
"""

from gettext import gettext as _

from sqlalchemy import Connection, Table, func, select
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.exc import IntegrityError

from benchassist.core.entry import Entry, Machine, Taken
from benchassist.core.visit import VisitHeader
from benchassist.errors import StoreError
from benchassist.storage import schema
from benchassist.storage.row import Row, entry_row, machine_row, taken_row, visit_row

Work = VisitHeader | Machine | tuple[Entry, ...]


class HoleError(StoreError):
    """An entry came whose forerunner in the visit is not stored."""


class Ledger:
    """Knows how far each visit of this process is written. For the writer's thread alone."""

    def __init__(self, dialect_name: str) -> None:
        # Both databases say ON CONFLICT in the same words.
        insert = sqlite.insert if dialect_name == "sqlite" else postgresql.insert
        once = {
            table: insert(table)
            .on_conflict_do_nothing(index_elements=list(table.primary_key))
            .execution_options(preserve_rowcount=True)
            for table in (schema.machine, schema.visit, schema.entry, schema.taken)
        }
        self._add_machine, self._add_visit = once[schema.machine], once[schema.visit]
        self._add_entry, self._add_taken = once[schema.entry], once[schema.taken]
        changed = insert(schema.machine)
        self._set_machine = changed.on_conflict_do_update(
            index_elements=[schema.machine.c.id],
            set_={c.name: changed.excluded[c.name] for c in schema.machine.c if c.name != "id"},
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
            case _:
                self._write_entries(connection, work)

    def _write_visit(self, connection: Connection, header: VisitHeader) -> None:
        machine, visit = machine_row(header.machine), visit_row(header)
        try:
            with connection.begin():
                connection.execute(self._add_machine, machine)
                if not connection.execute(self._add_visit, visit).rowcount:
                    _require_same(connection, schema.visit, visit, "header")
        except IntegrityError:
            raise StoreError(
                _("slip number {number} is already used: open the visit with a new one").format(
                    number=header.slip_number
                )
            ) from None

    def _write_entries(self, connection: Connection, entries: tuple[Entry, ...]) -> None:
        rows = [(entry_row(e), taken_row(e) if isinstance(e, Taken) else None) for e in entries]
        last = dict[str, int]()
        try:
            with connection.begin():
                for row, taken in rows:
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
                    if connection.execute(self._add_entry, row).rowcount:
                        if taken is not None:
                            connection.execute(self._add_taken, taken)
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


def _last_seq(connection: Connection, visit_id: str) -> int:
    entry = schema.entry.c
    last = connection.scalar(select(func.max(entry.seq)).where(entry.visit_id == visit_id))
    return int(last or 0)


def _require_same(connection: Connection, table: Table, row: Row, column: str) -> None:
    """What stands under the same id must be the same thing."""
    there = connection.scalar(select(table.c[column]).where(table.c.id == row["id"]))
    if there != row[column]:
        raise StoreError(
            _("the record {id} is stored already and says something else: it never changes").format(
                id=row["id"]
            )
        )
