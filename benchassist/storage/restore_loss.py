"""What a shop has that a backup has not: gone from the shop once the backup stands in its place."""

import sqlite3
from array import array
from collections.abc import Iterable
from contextlib import closing
from dataclasses import dataclass

import numpy as np
from sqlalchemy import select

from benchassist.storage import schema
from benchassist.storage.dump_file import rows_in, said_of
from benchassist.storage.dump_restore import ServerExchange
from benchassist.storage.place import ShopServer
from benchassist.storage.restore import Exchange
from benchassist.storage.shop_file import connect, refusal
from benchassist.storage.snapshot import snapshot

PORTION = 10_000
"""Rows in memory at a time."""


@dataclass(frozen=True, slots=True)
class Loss:
    """Slip numbers of the visits that are not in the backup, and entries of those that are."""

    visits: tuple[str, ...] = ()
    entries: int = 0


def loss_of(exchange: Exchange) -> Loss:
    """Return what restoring would take from the shop; a damaged one cannot be asked.

    Raises ShopFileError where either file cannot be read.
    """
    if exchange.present is None:
        return Loss()
    try:
        with closing(connect(exchange.present.file, read_only=True)) as present:
            backup = f"{exchange.backup.file.absolute().as_uri()}?mode=ro"
            present.execute("ATTACH ? AS backup", (backup,))
            visits = present.execute(
                "SELECT slip_number FROM main.visit "
                "WHERE id NOT IN (SELECT id FROM backup.visit) ORDER BY opened_at"
            ).fetchall()
            (entries,) = present.execute(
                "SELECT count(*) FROM main.entry WHERE id NOT IN (SELECT id FROM backup.entry) "
                "AND visit_id IN (SELECT id FROM backup.visit)"
            ).fetchone()
    except sqlite3.Error as error:
        raise refusal(exchange.present.file, error) from None
    return Loss(tuple(str(number) for (number,) in visits), int(entries))


def served_loss_of(exchange: ServerExchange, server: ShopServer) -> Loss:
    """Return as `loss_of`, of a dump and a server's shop. Raises ShopFileError, InputError."""
    if exchange.present is None:
        return Loss()
    file, v, e = exchange.backup.file, schema.visit.c, schema.entry.c
    with said_of(file):
        with rows_in(file, schema.visit.name) as rows:
            visits = {visit_id for (visit_id,) in rows.of(v.id.name)}
        with rows_in(file, schema.entry.name) as rows:
            known = _marks(entry_id for (entry_id,) in rows.of(e.id.name))
    with snapshot(server) as moment:
        asked = select(v.id, v.slip_number).order_by(v.opened_at)
        gone = [row.slip_number for row in moment.connection.execute(asked) if row.id not in visits]
        present = moment.connection.execute(
            select(e.id, e.visit_id).execution_options(yield_per=PORTION)
        )
        here = _marks(row.id for row in present if row.visit_id in visits)
    return Loss(tuple(gone), int(np.count_nonzero(~np.isin(here, known))))


def _marks(ids: Iterable[str | None]) -> "np.ndarray[tuple[int], np.dtype[np.int64]]":
    """Eight bytes for each id, so that those of a large shop are told apart in little memory."""
    return np.frombuffer(array("q", map(hash, ids)), np.int64)
