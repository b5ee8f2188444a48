"""What can still be read of a damaged shop file, as a new one that is sound.

The new file is made at the revision of the damaged one, takes its rows in, and is brought up. In it
a visit ends where its entries no longer follow each other, and what belongs to nothing is left out:
headers and entries are the truth, everything else is told again from them.
"""

import sqlite3
from collections.abc import Iterable
from contextlib import closing
from dataclasses import dataclass, field
from gettext import gettext as _
from pathlib import Path
from typing import Final

from sqlalchemy import (
    Connection,
    Engine,
    String,
    and_,
    bindparam,
    delete,
    func,
    insert,
    inspect,
    not_,
    or_,
    select,
    update,
)
from sqlalchemy.exc import DBAPIError

from benchassist.core.entry import Closed, Entry, Reopened
from benchassist.core.visit import Visit
from benchassist.errors import BenchError
from benchassist.storage import open_store, schema, search
from benchassist.storage.backup import Backup
from benchassist.storage.codec import decode_entry, from_text
from benchassist.storage.debris import Debris, revision_of
from benchassist.storage.engine import fresh_file_engine, unchecked
from benchassist.storage.frozen import HEADER_COLUMNS, Thaw, digest_of
from benchassist.storage.integrity import faults_of
from benchassist.storage.ledger import note_door
from benchassist.storage.revision import bring_up, make_tables_of, refuse_other_revisions
from benchassist.storage.row import Row, beside_row, entry_row, machine_row, visit_columns
from benchassist.storage.shop_file import connect, refusal
from benchassist.storage.whole_file import finished

TOLD_AGAIN: Final = frozenset({"taken", "part_mark", "search_place", "search_tail"})
"""Tables that are made from the others."""

LEFT: Final = frozenset({"lease", "alembic_version"})
"""Tables that are not moved: nobody is at work in the new file."""

OF_RUNS: Final = ("run_dial", "run_tail", "run_chunk", "run_bins", "run_gap")


@dataclass(slots=True)
class Loss:
    """What could not be saved, as far as it is known."""

    visits: set[str] = field(default_factory=set)
    """Their ids."""
    places: int = 0
    entries: int = 0
    runs: int = 0

    def line(self, path: Path) -> str:
        """One line for the technician."""
        return _(
            "the shop file {file} is damaged: what can be read is saved; not saved: {visits} "
            "visits, {entries} entries, {runs} runs and what stood at {places} places"
        ).format(
            file=path,
            visits=len(self.visits),
            entries=self.entries,
            runs=self.runs,
            places=self.places,
        )


def salvage(path: Path, to: Path, elsewhere: Iterable[Path] = ()) -> Backup:
    """Save what can be read of a damaged shop file in a new one; only reads the damaged one.

    A procedure that cannot be read is looked for in the files `elsewhere`, backups of the shop:
    many visits go by one. Raises InputError for a name that cannot be used, ShopFileError where
    nothing can be read, or the file is newer than the program.
    """
    loss = Loss()
    with finished(to) as fresh:
        engine = fresh_file_engine(fresh)
        try:
            revision = _gather(path, engine, loss)
            bring_up(engine, revision)
            with unchecked(engine) as target:
                _mend_frozen(target, elsewhere, loss)
                _leave_out_machines(target, loss)
                _mend_visits(target, loss)
                _leave_out_orphans(target, loss)
                search.rebuild(target)
            _leave_out_runs(fresh, engine, loss)
        except sqlite3.Error as error:
            raise refusal(path, error) from None
        except DBAPIError as error:
            raise refusal(path, error.orig or error) from None
        finally:
            engine.dispose()
        with closing(sqlite3.connect(fresh, isolation_level=None)) as made:
            made.execute("PRAGMA journal_mode = DELETE")
            if found := faults_of(made):
                raise refusal(path, sqlite3.DatabaseError(found[0]))
            (visits,) = made.execute("SELECT count(*) FROM visit").fetchone()
        size = fresh.stat().st_size
    return Backup(file=to, bytes=size, visits=int(visits), lost=loss.line(path))


def _gather(path: Path, engine: Engine, loss: Loss) -> str:
    """Move what can be read into tables of the damaged file's revision, which is returned."""
    with closing(connect(path, read_only=True)) as source, unchecked(engine) as target:
        revision = revision_of(source)
        refuse_other_revisions(str(path), revision, read_only=False)
        make_tables_of(revision, target)
        debris = Debris(source)
        tables = set(inspect(target).get_table_names()) - TOLD_AGAIN - LEFT
        for table in sorted(tables):
            debris.move(target, table)
        loss.places += debris.places
    return revision


def _mend_frozen(target: Connection, elsewhere: Iterable[Path], loss: Loss) -> None:
    """Every text is the one its digest says; a visit can do without causes that are lost."""
    f, v = schema.frozen.c, schema.visit.c
    for digest in target.scalars(select(f.digest)).all():
        body = target.scalar(select(f.body).where(f.digest == digest))
        if not isinstance(body, str) or digest_of(body) != digest:
            target.execute(delete(schema.frozen).where(f.digest == digest))
    for column in (v.procedure_digest, v.causes_digest):
        known = select(f.digest)
        asked = select(column).distinct().where(column.not_in(known))
        for digest in target.scalars(asked).all():
            if (body := _found(digest, elsewhere)) is not None:
                target.execute(insert(schema.frozen), {"digest": digest, "body": body})
            elif column is v.causes_digest:
                loss.places += 1
                lost = update(schema.visit).where(column == digest)
                target.execute(lost.values(causes_digest=None))


def _found(digest: str, elsewhere: Iterable[Path]) -> str | None:
    """A text from another file, whatever else is wrong with that."""
    for file in elsewhere:
        try:
            with closing(connect(file, read_only=True)) as other:
                asked = "SELECT body FROM frozen WHERE digest = ?"
                row = other.execute(asked, (digest,)).fetchone()
        except sqlite3.Error:
            continue
        if row is not None and isinstance(row[0], str) and digest_of(row[0]) == digest:
            return row[0]
    return None


def _leave_out_machines(target: Connection, loss: Loss) -> None:
    """Those with a column that is none of a machine's: its visits' headers tell it again."""
    m = schema.machine.c
    texts = [column for column in m if isinstance(column.type, String)]
    no_time = and_(m.erased_at.is_not(None), func.julianday(m.erased_at).is_(None))
    odd = or_(no_time, *(func.typeof(column) != "text" for column in texts))
    loss.places += target.execute(delete(schema.machine).where(odd)).rowcount


def _mend_visits(target: Connection, loss: Loss) -> None:
    """Every visit is as its header says, its machine is there, and its entries follow."""
    v, thaw = schema.visit.c, Thaw()
    for visit_id in target.scalars(select(v.id)).all():
        visit = _visit(target, visit_id, thaw)
        if visit is None:
            loss.visits.add(visit_id)
            target.execute(delete(schema.visit).where(v.id == visit_id))
            continue
        owner = insert(schema.machine).prefix_with("OR IGNORE")
        target.execute(owner, machine_row(visit.header.machine))
        loss.entries += _mend_entries(target, visit)


def _visit(target: Connection, visit_id: str, thaw: Thaw) -> Visit | None:
    """A visit without its entries, its columns told again; None where its header is lost."""
    v = schema.visit.c
    try:
        asked = select(*HEADER_COLUMNS).where(v.id == visit_id)
        visit = Visit(thaw.header(target, target.execute(asked).one()))
    except (BenchError, IndexError):
        return None
    columns = visit_columns(visit.header)
    if columns["id"] != visit_id:
        return None
    told = update(schema.visit).prefix_with("OR IGNORE").where(v.id == visit_id)
    return visit if target.execute(told.values(columns | {"closed_at": None})).rowcount else None


def _mend_entries(target: Connection, visit: Visit) -> int:
    """End a visit before its first entry that does not follow; how many are gone."""
    e, rows = schema.entry.c, list[Row]()
    here = e.visit_id == visit.header.id
    for entry_id, body in target.execute(select(e.id, e.body).where(here).order_by(e.seq)).all():
        entry = _entry(body)
        if entry is None or entry.stamp.id != entry_id or not _follows(visit, entry):
            break
        rows.append(entry_row(entry) | {"own": entry_id, "body": body})
        if isinstance(entry, Closed | Reopened):
            note_door(target, entry)
        elif (beside := beside_row(entry)) is not None:
            target.execute(insert(beside[0]).prefix_with("OR IGNORE"), beside[1])
    if rows:
        target.execute(update(schema.entry).where(e.id == bindparam("own")), rows)
    cut = delete(schema.entry).where(here, not_(e.seq.between(1, visit.next_seq - 1)))
    return target.execute(cut).rowcount


def _entry(body: str) -> Entry | None:
    try:
        return decode_entry(from_text(body))
    except BenchError:
        return None


def _follows(visit: Visit, entry: Entry) -> bool:
    try:
        visit.apply(entry)
    except BenchError:
        return False
    return True


def _leave_out_orphans(target: Connection, loss: Loss) -> None:
    """Entries of a visit whose row is lost tell that there was one."""
    e, v, run = schema.entry.c, schema.visit.c, schema.run.c
    orphan = e.visit_id.not_in(select(v.id))
    loss.visits |= set(target.scalars(select(e.visit_id).where(orphan).distinct()))
    loss.entries += target.execute(delete(schema.entry).where(orphan)).rowcount
    for name in OF_RUNS:
        table = schema.metadata.tables[name]
        target.execute(delete(table).where(table.c.run_id.not_in(select(run.id))))


def _leave_out_runs(fresh: Path, engine: Engine, loss: Loss) -> None:
    """A run whose samples cannot be read is left out; its finding stands in the visit."""
    unsound = list[str]()
    with open_store(fresh, read_only=True) as store, engine.connect() as connection:
        for run_id in connection.scalars(select(schema.run.c.id)).all():
            try:
                store.run_record(run_id)
            except (BenchError, IndexError, ValueError):
                unsound.append(run_id)
    with engine.begin() as connection:
        for run_id in unsound:
            loss.runs += 1
            for name in (*OF_RUNS, "run"):
                table = schema.metadata.tables[name]
                key = table.c.id if name == "run" else table.c.run_id
                connection.execute(delete(table).where(key == run_id))
