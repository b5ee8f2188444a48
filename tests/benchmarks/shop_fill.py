"""A drawn shop written at once into a file or a server: no submission, no commit a reading.

Visits stand in the order in which they were opened, as a shop's do. A file once
drawn is kept in the system's temporary folder until what it is drawn with changes.
"""

import hashlib
import multiprocessing
import os
import sqlite3
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing
from dataclasses import fields
from functools import cache
from heapq import merge
from multiprocessing.connection import Connection as Pipe
from pathlib import Path
from typing import Any, Final

import numpy as np
import psycopg
from sqlalchemy import Boolean

from benchassist.core.entry import Machine
from benchassist.storage import open_store, schema
from benchassist.storage.search_words import Field, ends_of, places_of, words_of
from tests.benchmarks.shop_draw import SEED, DrawnVisit, Shop
from tests.benchmarks.shop_ledger import Clerk, Rows, add, columns_of
from tests.benchmarks.shop_plan import SMALL, ShopSize, plan

BATCH: Final = 200
"""Visits handed over at once."""
WORTH_A_PROCESS: Final = 1000
"""Visits from which on they are drawn by several processes."""


def visits_in_order(shop: Shop, part: int = 0, parts: int = 1) -> Iterator[tuple[int, DrawnVisit]]:
    """The visits of every `parts`th machine, in the order in which they were opened."""
    machines = shop.plan.machine
    histories = {m: shop.history(m) for m in range(part, shop.size.machines, parts)}
    for number in np.flatnonzero(machines % parts == part).tolist():
        yield number, next(histories[int(machines[number])])


def _draw(size: ShopSize, seed: int, part: tuple[int, int], to: Pipe) -> None:
    """Draw in a process of its own; an empty batch is the end."""
    clerk, batch = Clerk(), list[tuple[int, Rows]]()
    for number, visit in visits_in_order(Shop(size, seed), *part):
        batch.append((number, clerk.rows(visit)))
        if len(batch) == BATCH:
            to.send(batch)
            batch = []
    to.send(batch)
    to.send([])
    to.close()


def _received(pipe: Pipe) -> Iterator[tuple[int, Rows]]:
    while batch := pipe.recv():
        yield from batch


def all_rows(size: ShopSize, seed: int) -> Iterator[Rows]:
    """The rows of every visit, in order, drawn by as many processes as there are processors."""
    if size.visits < WORTH_A_PROCESS:
        clerk = Clerk()
        for _number, visit in visits_in_order(Shop(size, seed)):
            yield clerk.rows(visit)
        return
    parts = min(4, os.cpu_count() or 1)
    context = multiprocessing.get_context("spawn")
    ends = [context.Pipe(duplex=False) for _ in range(parts)]
    workers = [
        context.Process(target=_draw, args=(size, seed, (part, parts), send), daemon=True)
        for part, (_receive, send) in enumerate(ends)
    ]
    for worker in workers:
        worker.start()
    for _receive, send in ends:
        send.close()
    streams = [_received(receive) for receive, _send in ends]
    for _number, rows in merge(*streams, key=lambda told: told[0]):
        yield rows
    for worker in workers:
        worker.join()


def fill_file(path: Path, size: ShopSize, seed: int = SEED) -> None:
    """Write a drawn shop into a new shop file."""
    open_store(path).close()
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA journal_mode = OFF")
        connection.execute("PRAGMA synchronous = OFF")
        connection.execute("PRAGMA cache_size = -600000")
        connection.execute("BEGIN")
        for rows in all_rows(size, seed):
            for table, values in rows.items():
                connection.executemany(_insert(table), values)
        _index(connection)
        connection.execute("COMMIT")
        connection.execute("PRAGMA journal_mode = WAL")


@cache
def _insert(table: str) -> str:
    names = columns_of(table)
    # Processes that draw apart tell the same text of a procedure each.
    doubled = " OR IGNORE" if table == "frozen" else ""
    places = ", ".join("?" * len(names))
    return f"INSERT{doubled} INTO {table} ({', '.join(names)}) VALUES ({places})"


def _index(connection: sqlite3.Connection) -> None:
    """What the counter searches, as `storage.search` keeps it."""
    names = [field.name for field in fields(Machine)]
    places = set[tuple[str, str, int]]()
    for row in connection.execute(f"SELECT {', '.join(names)} FROM machine"):  # noqa: S608 - our own names
        machine = Machine(**dict(zip(names, row, strict=True)))
        places |= {(word, machine.id, int(field)) for word, field in places_of(machine)}
    said = connection.execute("SELECT machine_id, complaint, words FROM visit")
    for machine_id, *texts in said.fetchall():
        places |= {(word, machine_id, int(Field.SAID)) for t in texts for word in words_of(t)}
    rows: Rows = {}
    for word, machine_id, field in sorted(places):
        place = {"word": word, "machine_id": machine_id, "field": field}
        add(rows, "search_place", place)
    for word in sorted({word for word, _machine_id, _field in places}):
        for tail in ends_of(word):
            add(rows, "search_tail", {"tail": tail, "word": word})
    for table, values in rows.items():
        connection.executemany(_insert(table), values)


def fill_server(url: str, drawn: Path) -> None:
    """Copy a drawn shop file to an empty database, as a shop that was at work there would be."""
    open_store(url).close()
    address = url.replace("postgresql+psycopg://", "postgresql://", 1)
    with (
        closing(sqlite3.connect(f"{drawn.as_uri()}?mode=ro", uri=True)) as source,
        psycopg.connect(address) as target,
    ):
        for table in schema.metadata.sorted_tables:
            _copy_table(source, target, table.name)
        target.commit()
        target.autocommit = True
        target.execute("VACUUM ANALYZE")


def _copy_table(
    source: sqlite3.Connection, target: "psycopg.Connection[tuple[Any, ...]]", table: str
) -> None:
    columns = schema.metadata.tables[table].columns
    names = ", ".join(f'"{column.name}"' for column in columns)
    flags = [i for i, column in enumerate(columns) if isinstance(column.type, Boolean)]
    rows = source.execute(f"SELECT {names} FROM {table}")  # noqa: S608 - our own names
    with target.cursor().copy(f"COPY {table} ({names}) FROM STDIN".encode()) as copy:
        for row in rows:
            if flags:
                values = list(row)
                for i in flags:
                    values[i] = None if row[i] is None else bool(row[i])
                copy.write_row(values)
            else:
                copy.write_row(row)


@cache
def drawn_file(size: ShopSize, seed: int = SEED) -> Path:
    """A drawn shop's file, for reading only: it is shared by the figures of many runs."""
    folder = Path(tempfile.gettempdir())
    name = f"benchassist-{size.name}-{seed}"
    path = folder / f"{name}-{schema.HEAD}-{_mark(size, seed)}.sqlite"
    if not path.exists():
        for old in folder.glob(f"{name}-*"):
            old.unlink()
        fresh = path.with_suffix(f".{os.getpid()}.new")
        _tell(f"drawing a shop of {size.visits:,} visits; it is kept in {folder}")
        fill_file(fresh, size, seed)
        fresh.rename(path)
        for beside in folder.glob(f"{fresh.name}-*"):
            beside.unlink()
    return path


def _mark(size: ShopSize, seed: int) -> str:
    """Changes with whatever is drawn and however it is kept: tells a small shop and the plan."""
    digest = hashlib.sha256()
    with tempfile.TemporaryDirectory(prefix="bench-shop-mark-") as folder:
        path = Path(folder) / "shop.sqlite"
        fill_file(path, SMALL, seed)
        with closing(sqlite3.connect(path)) as connection:
            for statement in connection.iterdump():
                digest.update(statement.encode())
    drawn = plan(size, seed)
    for column in (drawn.machine, drawn.opened_s, drawn.readings, drawn.run):
        digest.update(column.tobytes())
    digest.update(repr((drawn.complaint, drawn.engine_class)).encode())
    return digest.hexdigest()[:10]


def _tell(text: str) -> None:
    print(text, file=sys.stderr, flush=True)
