"""The tokens of leases when one shop takes the place of another.

Each rises past every one that was ever given, whichever of the two shops it was in: a bench that
was away meanwhile is never taken for the one that has a visit, and what it kept is set against what
stands in the shop by now.
"""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from sqlalchemy import Connection, inspect, select

from benchassist.storage import schema
from benchassist.storage.addition import insert_into
from benchassist.storage.benches import LETTER
from benchassist.storage.lease import nobodys

STEP: Final = 1000
"""More often than a visit changes hands between a backup and its restore: of a shop that is lost
nobody can be asked how high its tokens were."""

PORTION: Final = 1000
"""Leases written at once."""


def leases_of(connection: Connection) -> Sequence[Mapping[str, Any]]:
    """Those of the present shop."""
    if not inspect(connection).has_table(schema.lease.name):
        return ()
    return [dict(row) for row in connection.execute(select(schema.lease)).mappings()]


def raise_tokens(connection: Connection, before: Sequence[Mapping[str, Any]]) -> None:
    """Have nobody hold a visit, and no token come again; letters stay with whose they are."""
    lease = schema.lease
    came = {row.visit_id: row.token for row in connection.execute(select(lease)).all()}
    put_down = {visit_id: nobodys(visit_id, token + STEP) for visit_id, token in came.items()}
    for row in before:
        visit_id, token = row["visit_id"], max(row["token"], came.get(row["visit_id"], 0))
        is_letter = visit_id.startswith(LETTER)
        put_down[visit_id] = (
            {**row, "token": token} if is_letter else nobodys(visit_id, token + STEP)
        )
    rows = list(put_down.values())
    put = insert_into(lease, "postgresql")
    changed = {c.name: put.excluded[c.name] for c in lease.c if not c.primary_key}
    put = put.on_conflict_do_update(index_elements=list(lease.primary_key), set_=changed)
    for start in range(0, len(rows), PORTION):
        connection.execute(put, rows[start : start + PORTION])
