"""Shops of earlier revisions, with rows in the words of the programs that wrote them.

`old_shops/0001.json` was written by the program as it was when it knew no causes and no runs,
`0002.json` by the last program before revision 0003, which had brought up the shop of the first and
gone on in it. Each holds every row of its tables, what that program exported of every visit
(`documents`), and its list of visits (`listed`).
"""

import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo
from pathlib import Path
from typing import Any, Final
from uuid import uuid4

import pytest
from alembic import command
from alembic.config import Config
from sqlalchemy import Connection, DateTime, Engine, LargeBinary, MetaData, Table, insert, text
from sqlalchemy.types import Boolean

from benchassist.core.entry import Entry, PartMarked, PhotoAdded, Stamp, Taken
from benchassist.core.visit import VisitHeader
from benchassist.storage import revision
from benchassist.storage.codec import encode_entry, to_text
from benchassist.storage.engine import open_engines
from benchassist.storage.exchange import read_export, read_runs
from benchassist.storage.place import place_of
from benchassist.storage.run_record import RunRecord
from benchassist.storage.shop_file import APPLICATION_ID

Plain = dict[str, Any]

OLD: Final = ("0001", "0002", "0003")
PORTION: Final = 100
"""Copies of a shop written at once."""

FOLDER: Final = Path(__file__).parent / "old_shops"
WRITTEN: Final = {"0001": "0001", "0002": "0002", "0003": "0002"}
"""The rows a shop is laid with: those of the last revision a program has written by itself."""


@dataclass(frozen=True, slots=True)
class Old:
    """What stands in a shop of an earlier revision."""

    documents: tuple[Plain, ...]
    listed: tuple[Plain, ...]
    visits: tuple[tuple[VisitHeader, tuple[Entry, ...]], ...]
    runs: tuple[RunRecord, ...]
    headers: Mapping[str, str]
    """As they were written, by the visit's id."""


@contextmanager
def bare_engine(location: str) -> Iterator[Engine]:
    """An engine on a database as it is, whatever its revision."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("benchassist.storage.engine.bring_up", lambda *_: None)
        patch.setattr("benchassist.storage.engine.refuse_other_revisions", lambda *_, **__: None)
        engines = open_engines(place_of(location), read_only=False)
    assert engines.writer is not None
    try:
        yield engines.writer
    finally:
        engines.dispose()


def migrated(engine: Engine, target: str) -> None:
    """Bring a database to a revision, up or down, by the migrations alone."""
    with engine.connect() as connection:
        if connection.dialect.name == "sqlite":
            # As the program does: a table is built anew.
            connection.connection.driver_connection.execute("PRAGMA foreign_keys = OFF")  # type: ignore[union-attr]
        with connection.begin():
            config = Config()
            config.set_main_option("script_location", str(revision.MIGRATIONS))
            config.attributes["connection"] = connection
            known = connection.execute(text(AT)).scalar() if _has_version(connection) else ""
            if target == "base" or target < (known or ""):
                command.downgrade(config, target)
            else:
                command.upgrade(config, target)


AT = "SELECT version_num FROM alembic_version"


def _has_version(connection: Connection) -> bool:
    return connection.dialect.has_table(connection, "alembic_version")


def revision_of(location: str) -> str:
    """The revision of a shop."""
    with bare_engine(location) as engine, engine.begin() as connection:
        return str(connection.execute(text(AT)).scalar_one())


def lay(location: str, at: str) -> Old:
    """Make a shop of a revision where there is none."""
    written = WRITTEN[at]
    told: Plain = json.loads((FOLDER / f"{written}.json").read_text(encoding="utf-8"))
    visits = [read_export(document)[0] for document in told["documents"]]
    laid = {
        name: [dict(zip(table["columns"], row, strict=True)) for row in table["rows"]]
        for name, table in told["tables"].items()
    }
    with bare_engine(location) as engine:
        migrated(engine, written)
        with engine.begin() as connection:
            if connection.dialect.name == "sqlite":
                connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
            for name, rows in laid.items():
                put(connection, name, rows)
        migrated(engine, at)
        if at == "0003":
            with engine.begin() as connection:
                visits[0] = _mark(connection, *visits[0])
    return Old(
        documents=tuple(told["documents"]),
        listed=tuple(told["listed"]),
        visits=tuple(visits),
        runs=tuple(run for document in told["documents"] for run in read_runs(document)),
        headers={row["id"]: row["header"] for row in laid["visit"]},
    )


def put(connection: Connection, name: str, rows: list[Plain]) -> None:
    """Write rows as SQLite kept them into a table, whatever the database and the revision."""
    table = Table(name, MetaData(), autoload_with=connection)
    for row in rows:
        for column in table.c:
            value = row.get(column.name)
            if value is None:
                continue
            match column.type:
                case DateTime():
                    row[column.name] = datetime.fromisoformat(value).replace(
                        tzinfo=_zone(connection)
                    )
                case LargeBinary() if isinstance(value, str):
                    row[column.name] = bytes.fromhex(value)
                case Boolean():
                    row[column.name] = bool(value)
                case _:
                    pass
    if rows:
        connection.execute(insert(table), rows)


def _zone(connection: Connection) -> tzinfo | None:
    return None if connection.dialect.name == "sqlite" else UTC


def _mark(
    connection: Connection, header: VisitHeader, entries: tuple[Entry, ...]
) -> tuple[VisitHeader, tuple[Entry, ...]]:
    """What only revision 0003 can hold: a mark, a photo, a lease, an erased machine."""
    seq = len(entries)
    at = entries[-1].stamp.at
    stamps = [Stamp(id=str(uuid4()), visit_id=header.id, seq=seq + n, at=at) for n in (1, 2)]
    target = next(e for e in entries if isinstance(e, Taken))
    marked = PartMarked(
        stamp=stamps[0], check_key=target.check_key, entry_id=target.stamp.id, reason="new"
    )
    photo = PhotoAdded(
        stamp=stamps[1], digest="0c" * 32, media="image/jpeg", width=640, height=480, caption="cap"
    )
    written = at.replace(tzinfo=None).isoformat(" ")
    for entry in (marked, photo):
        row = {
            "id": entry.stamp.id,
            "visit_id": header.id,
            "seq": entry.stamp.seq,
            "at": written,
            "kind": encode_entry(entry)["kind"],
            "check_key": entry.check_key,
            "strikes": None,
            "body": to_text(encode_entry(entry)),
        }
        put(connection, "entry", [row])
    mark = {
        "entry_id": marked.stamp.id,
        "visit_id": header.id,
        "target_id": target.stamp.id,
        "check_key": target.check_key,
        "good": True,
        "reason": "new",
    }
    put(connection, "part_mark", [mark])
    picture = {"digest": photo.digest, "media": photo.media, "size": 9, "thumbnail": "ffd8"}
    put(connection, "photo", [picture])
    lease = {
        "visit_id": header.id,
        "bench": "B",
        "holder": str(uuid4()),
        "token": 3,
        "since": written,
        "expires_at": written,
    }
    put(connection, "lease", [lease])
    connection.execute(
        text("UPDATE machine SET erased_at = :at WHERE id <> :id"),
        {"at": written if _zone(connection) is None else at, "id": header.machine.id},
    )
    return header, (*entries, marked, photo)


def lay_many(location: str, at: str, copies: int) -> None:
    """Make a shop of a revision where there is none, each of its visits so many times."""
    lay(location, WRITTEN[at])
    told: Plain = json.loads((FOLDER / f"{WRITTEN[at]}.json").read_text(encoding="utf-8"))
    laid = {
        name: [dict(zip(table["columns"], row, strict=True)) for row in table["rows"]]
        for name, table in told["tables"].items()
        if name in ("machine", "visit", "entry", "taken")
    }
    ids = {row["id"] for table in ("machine", "visit", "entry") for row in laid[table]}
    with bare_engine(location) as engine:
        with engine.begin() as connection:
            for start in range(1, copies, PORTION):
                some = range(start, min(start + PORTION, copies))
                for name, rows in laid.items():
                    put(connection, name, [_copy(row, n, ids) for n in some for row in rows])
        migrated(engine, at)


def _copy(row: Plain, number: int, ids: set[str]) -> Plain:
    copied = {name: _copied(value, number, ids) for name, value in row.items()}
    if "slip_number" in row:
        copied |= {"slip_number": f"{row['slip_number']}-{number}", "slip_serial": None}
    return copied


def _copied(value: object, number: int, ids: set[str]) -> object:
    """An id is another one in each copy, of the same length."""
    return f"{number:06x}{value[6:]}" if isinstance(value, str) and value in ids else value
