"""Whether a database's error is one that passes by itself."""

import sqlite3
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Final

from sqlalchemy.exc import DBAPIError

from benchassist.core.away import Away
from benchassist.errors import BenchError
from benchassist.storage.head import OtherRevisionError

Loss = DBAPIError | OtherRevisionError
"""Why a server is there no more, or not for this program."""

PASSING_SIGNS: Final = (
    *("starting up", "shutting down", "in recovery", "terminating"),
    *("too many", "connection slots"),
)
"""In what a server says while it lets nobody in for a while. It has no code for that yet."""


def refusal(error: DBAPIError) -> str:
    """The words of a server that was reached and let nobody in; empty where that may pass."""
    _before, mark, said = str(error.orig or error).rpartition("FATAL:")
    words = next(iter(said.strip().splitlines()), "") if mark else ""
    return "" if any(sign in words for sign in PASSING_SIGNS) else words


def away_for(error: Loss, explain: Callable[[Loss], BenchError]) -> Away:
    """What is known of a server that is lost by an error, from now on."""
    why, outdated = str(explain(error)), False
    if isinstance(error, OtherRevisionError):
        said, outdated = "" if error.newer else why, error.newer
    else:
        said = refusal(error)
    return Away(since=datetime.now(UTC), why=why, said=said, outdated=outdated)


def may_pass(error: Loss) -> bool:
    """Whether the same write may succeed a moment later: a lock, or a server that went away."""
    if isinstance(error, OtherRevisionError):
        return False
    code = getattr(error.orig, "sqlite_errorcode", None)
    if code is not None:
        return code & 0xFF in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
    state = getattr(error.orig, "sqlstate", None)
    # No state: the server did not answer at all. 08 connection, 40 rolled back, 57P shutting
    # down or starting, 53 too many connections or a full disk, 55P03 lock not free (PostgreSQL,
    # appendix A).
    return (
        error.connection_invalidated
        or state is None
        or state[:2] in ("08", "40", "53")
        or state[:3] == "57P"
        or state == "55P03"
    )
