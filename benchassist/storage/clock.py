"""The clocks that leases go by."""

import time
from datetime import UTC, datetime

from sqlalchemy import Connection, func, select


def now_of(connection: Connection) -> datetime:
    """The time by the database's own clock; a shop file has this computer's."""
    if connection.dialect.name == "sqlite":
        return datetime.now(UTC)
    now: datetime = connection.execute(select(func.clock_timestamp())).scalar_one()
    return now.astimezone(UTC)


def moment() -> float:
    """Seconds that never go back; where the system can tell, they pass in sleep as well."""
    asleep_too = getattr(time, "CLOCK_BOOTTIME", None)
    return time.monotonic() if asleep_too is None else time.clock_gettime(asleep_too)
