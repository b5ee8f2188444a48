"""The samples of a run that are in the journal, brought behind those that are on the server.

Rows of the tail have their numbers from the recorder, so each is kept once; what was gathered on
the server into a chunk meanwhile is not brought again.
"""

from math import inf
from typing import Final

import numpy as np
from sqlalchemy import Connection, Engine, Table, func, select

from benchassist.storage import schema
from benchassist.storage.addition import add_rows
from benchassist.storage.chunk import TAIL, TICKS_PER_SECOND
from benchassist.storage.row import Row

ROWS: Final = 500
"""Rows of the tail in one transaction."""


class RunDelivery:
    """One run's, some rows at a time."""

    def __init__(self, journal: Engine, run_id: str) -> None:
        self._journal = journal
        self._run_id = run_id
        self._at = ("", 0)
        """Channel and number of the last row that was brought."""
        self._begun = False

    def work(self, server: Connection) -> bool:
        """Bring some rows; whether all are there. Raises DBAPIError."""
        with self._journal.begin() as here, server.begin():
            if not self._begun:
                for table in (schema.run, schema.run_dial):
                    add_rows(server, table, self._rows(here, table))
            rows = self._next(here)
            gathered = self._gathered(server)
            fresh = [row for row in rows if _last_s(row) > gathered.get(row["channel"], -inf)]
            add_rows(server, schema.run_tail, fresh)
            if not rows:
                add_rows(server, schema.run_gap, self._rows(here, schema.run_gap), change="end_s")
        self._begun = True
        if rows:
            self._at = rows[-1]["channel"], rows[-1]["number"]
        return not rows

    def _rows(self, here: Connection, table: Table) -> list[Row]:
        key = table.c.id if table is schema.run else table.c.run_id
        found = here.execute(select(table).where(key == self._run_id)).mappings()
        return [dict(row) for row in found]

    def _next(self, here: Connection) -> list[Row]:
        tail = schema.run_tail
        channel, number = self._at
        asked = (
            select(tail)
            .where(
                tail.c.run_id == self._run_id,
                (tail.c.channel > channel)
                | ((tail.c.channel == channel) & (tail.c.number > number)),
            )
            .order_by(tail.c.channel, tail.c.number)
            .limit(ROWS)
        )
        return [dict(row) for row in here.execute(asked).mappings()]

    def _gathered(self, server: Connection) -> dict[str, float]:
        """How far each channel is in chunks; nobody gathers before the commit."""
        run, chunk = schema.run.c, schema.run_chunk.c
        server.execute(select(run.id).where(run.id == self._run_id).with_for_update())
        ends = select(chunk.channel, func.max(chunk.end_s)).where(chunk.run_id == self._run_id)
        return {row[0]: row[1] for row in server.execute(ends.group_by(chunk.channel))}


def _last_s(row: Row) -> float:
    """When the last sample of a row of the tail came."""
    return float(np.frombuffer(row["body"], TAIL)["tick"][-1]) / TICKS_PER_SECOND
