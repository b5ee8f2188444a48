"""A server's shop in the hands of one bench: first nobody else writes in it, then nobody reads.

Who has it open is asked before anybody is made to wait, and again once nobody can come in: the
benches whose leases are in force, by name, and every other connection of this program's.
"""

import time
from gettext import gettext as _
from typing import Final

from sqlalchemy import Connection, inspect, text
from sqlalchemy.exc import DBAPIError

from benchassist.errors import ShopFileError
from benchassist.storage import schema
from benchassist.storage.engine import OUR_NAME
from benchassist.storage.head import REVISION_TABLE
from benchassist.storage.lease import Leases
from benchassist.storage.place import ShopServer
from benchassist.storage.revision import MAKING_LOCK

GONE_S: Final = 3.0
"""How long a connection that was closed just now may still be listed."""

STEP_S: Final = 0.05

LOCK_NOT_FREE: Final = "55P03"

FOR_LONG: Final = (
    "statement_timeout = 0",
    "idle_in_transaction_session_timeout = 0",
    "lock_timeout = '5s'",
    # A bench that was lost lets go within half a minute, not after the system's hours.
    "tcp_keepalives_idle = 10",
    "tcp_keepalives_interval = 5",
    "tcp_keepalives_count = 3",
)
"""Settings of a transaction that works for minutes, and waits for nobody for long."""

OTHERS: Final = text(
    "SELECT usename, host(client_addr) FROM pg_stat_activity "
    "WHERE datname = current_database() AND backend_type = 'client backend' "
    "AND pid <> pg_backend_pid() AND application_name IN (:ours, '') "
    "ORDER BY backend_start LIMIT 1"
)
"""Who is connected with this program's name, or without one as earlier ones were."""


def take_turn(connection: Connection, server: ShopServer) -> None:
    """Be the one that makes, migrates or restores the shop until the transaction ends.

    Raises ShopFileError where another bench is at it, DBAPIError.
    """
    for setting in FOR_LONG:
        connection.execute(text(f"SET LOCAL {setting}"))
    if not connection.scalar(text(f"SELECT pg_try_advisory_xact_lock({MAKING_LOCK})")):
        raise ShopFileError(
            _(
                "another bench is bringing the shop {name} up to date or restoring it: try again "
                "when that has ended"
            ).format(name=server.name)
        )


def shut(connection: Connection, server: ShopServer, *, for_readers: bool) -> None:
    """Let nobody write in the shop until the transaction ends; `for_readers`: nor read.

    Raises ShopFileError where a bench has it open, or somebody is at it. DBAPIError.
    """
    refuse_open(connection, server)
    mode = "ACCESS EXCLUSIVE" if for_readers else "EXCLUSIVE"
    names = ", ".join(f'"{name}"' for name in own_tables(connection))
    try:
        connection.execute(text(f"LOCK TABLE {names} IN {mode} MODE"))
    except DBAPIError as error:
        if getattr(error.orig, "sqlstate", None) != LOCK_NOT_FREE:
            raise
        raise ShopFileError(
            _(
                "the shop {name} is being backed up, or read by another program: restore again "
                "when that has ended"
            ).format(name=server.name)
        ) from None
    refuse_open(connection, server)


def own_tables(connection: Connection) -> list[str]:
    """The shop's tables that are there, in order of their names."""
    known = {*schema.metadata.tables, REVISION_TABLE}
    return sorted(known & set(inspect(connection).get_table_names()))


def refuse_open(connection: Connection, server: ShopServer) -> None:
    """Raise ShopFileError where a bench, or another program like this, has the shop open."""
    benches = _benches(connection)
    if len(benches) == 1:
        raise ShopFileError(
            _(
                "bench {bench} has the shop open: close the program there, then restore again"
            ).format(bench=benches[0])
        )
    if benches:
        raise ShopFileError(
            _(
                "benches {benches} have the shop open: close the program there, then restore again"
            ).format(benches=", ".join(benches))
        )
    until = time.monotonic() + GONE_S
    while (other := _other(connection)) is not None:
        if time.monotonic() >= until:
            raise ShopFileError(
                _(
                    "another program has the shop {name} open ({who}): close it there, then "
                    "restore again"
                ).format(name=server.name, who=other)
            )
        time.sleep(STEP_S)


def _benches(connection: Connection) -> list[str]:
    """Those whose leases are in force: each of an open program has one of its letter at least."""
    if not inspect(connection).has_table(schema.lease.name):
        return []
    return sorted({one.bench for one in Leases().look(connection) if one.bench})


def _other(connection: Connection) -> str | None:
    """Who else is connected, None where nobody is."""
    # What was asked before in the same transaction would be answered as it was then.
    connection.execute(text("SELECT pg_stat_clear_snapshot()"))
    found = connection.execute(OTHERS, {"ours": OUR_NAME}).first()
    if found is None:
        return None
    user, address = found
    return _("user {user}, {where}").format(user=user, where=address or _("on the server itself"))
