"""The leases of a shop: which bench works on which visit, and that nobody else writes in it.

A lease lasts `LASTS` from when its holder was last heard of, by the server's clock; in a shop file
by this computer's. A clock that was set back makes no lease eternal: none is believed for longer
than it lasts, counted by a clock that never goes back, and whose program is known to have ended has
none. The row stays when a lease ends: its token rises with every new holder and never comes again.

A new holder waits for what the one before is just committing, and nothing of that one's comes
after: each write of entries holds the row of the lease, and is refused where its token is another.
"""

import threading
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from gettext import gettext as _
from typing import Any, Final

from sqlalchemy import Connection, Row, select, update

from benchassist.core.lease import Granted, Lease, TakeUp
from benchassist.errors import StoreError
from benchassist.storage import schema
from benchassist.storage.addition import add_rows
from benchassist.storage.clock import moment, now_of
from benchassist.storage.presence import Alive, Presence, look_for

LASTS: Final = timedelta(seconds=60)
RENEW_S: Final = 15.0

LONG_AGO: Final = datetime(1970, 1, 1, tzinfo=UTC)
"""When a lease that was given back has run out: before whatever a clock may be set to."""


class TakenOverError(StoreError):
    """Another bench has taken a visit over meanwhile: what was to be written is not kept in it."""


@dataclass(slots=True)
class Held:
    """A lease of this program's."""

    token: int
    heard_at: float
    """When its holder was last heard of, by `moment`."""
    lost_to: str = ""
    """The bench that has taken it over; empty while it is our own."""

    @property
    def is_sure(self) -> bool:
        """Whether it cannot have run out, as long as nobody sets a clock."""
        return not self.lost_to and moment() - self.heard_at < LASTS.total_seconds()


class Leases:
    """What this program holds and sees of leases. Rows are written in the writer's thread alone."""

    def __init__(self) -> None:
        self.bench = ""
        """What this bench is called."""
        self._lock = threading.Lock()
        self._presence: Presence | None = None
        self._held: dict[str, Held] = {}
        self._known: dict[str, int] = {}
        """The token under which a visit was last held or written here."""
        self._seen: dict[str, tuple[int, datetime, float]] = {}
        self._seized: dict[str, int] = {}

    @property
    def holder(self) -> str:
        """What this program is known by."""
        if self._presence is None:
            self._presence = Presence()
        return self._presence.id

    @property
    def held(self) -> Mapping[str, Held]:
        """What is held now, as it stands."""
        with self._lock:
            return {visit_id: replace(held) for visit_id, held in self._held.items()}

    @property
    def known(self) -> Mapping[str, int]:
        """The token under which each visit was last held or written here."""
        with self._lock:
            return dict(self._known)

    def close(self) -> None:
        """The program ends."""
        if self._presence is not None:
            self._presence.close()

    # --- in the writer's thread -----------------------------------------------------------------

    def take(self, connection: Connection, visit_id: str) -> TakeUp:
        """Ask for a visit. Raises DBAPIError."""
        with connection.begin():
            return self.take_within(connection, visit_id)

    def take_within(self, connection: Connection, visit_id: str) -> TakeUp:
        """As `take`, in the caller's transaction."""
        row, now = self._locked(connection, visit_id), now_of(connection)
        mine = self._is_own(row)
        if not mine and (lease := self._as_lease(row, now)) is not None:
            return lease
        token = row.token if mine else row.token + 1
        since = row.since if mine and row.expires_at > now else now
        self._put(connection, visit_id, token=token, since=since, expires_at=now + LASTS)
        with self._lock:
            stale = self._known.get(visit_id) != token
            self._held[visit_id], self._known[visit_id] = Held(token, moment()), token
        return Granted(stale)

    def renew(self, connection: Connection) -> None:
        """Say that this program is still there; see which visits were taken over. DBAPIError."""
        lease = schema.lease.c
        held = {visit_id: one for visit_id, one in self.held.items() if not one.lost_to}
        if not held:
            return
        with connection.begin():
            now = now_of(connection)
            for visit_id, one in sorted(held.items()):
                mine = (lease.visit_id == visit_id, lease.token == one.token)
                connection.execute(update(schema.lease).where(*mine).values(expires_at=now + LASTS))
            asked = select(lease.visit_id, lease.token, lease.bench)
            rows = connection.execute(asked.where(lease.visit_id.in_(held))).all()
        for row in rows:
            if row.token == held[row.visit_id].token:
                self._was_heard(row.visit_id)
            else:
                self._was_taken(row.visit_id, row.bench)

    def give_back(self, connection: Connection, tokens: Mapping[str, int]) -> None:
        """Visits were put down: whoever asks next has them. Raises DBAPIError."""
        lease = schema.lease.c
        with connection.begin():
            for visit_id, token in sorted(tokens.items()):
                connection.execute(
                    update(schema.lease)
                    .where(lease.visit_id == visit_id, lease.token == token)
                    .values(expires_at=LONG_AGO)
                )

    def fence(self, connection: Connection, visit_id: str) -> None:
        """Refuse to write in a visit that is another bench's, within the transaction that writes.

        Raises TakenOverError where it was ours, StoreError where it never was. Who has no lease
        and finds the visit free takes it for this one transaction.
        """
        lease = schema.lease
        asked = select(lease).where(lease.c.visit_id == visit_id).with_for_update()
        row = connection.execute(asked).first()
        with self._lock:
            held = self._held.get(visit_id)
        if held is not None:
            if row is None or row.token != held.token:
                self._was_taken(visit_id, row.bench if row is not None else "")
                raise TakenOverError(taken_over(self.held[visit_id].lost_to))
            return
        if row is None:
            return
        now = now_of(connection)
        if not self._is_own(row) and (other := self._as_lease(row, now)) is not None:
            raise StoreError(
                _("the visit is on bench {bench}: it is written here once it is left there").format(
                    bench=other.bench
                )
            )
        self._put(connection, visit_id, token=row.token + 1, since=now, expires_at=LONG_AGO)

    def let_go(self, visit_ids: Iterable[str]) -> dict[str, int]:
        """Hold visits no more; returns their tokens, to give them back. From any thread."""
        with self._lock:
            held = {v: self._held.pop(v) for v in visit_ids if v in self._held}
        return {visit_id: one.token for visit_id, one in held.items() if not one.lost_to}

    # --- a server that was lost and is back -------------------------------------------------------

    def assume(self, visit_id: str, token: int) -> Granted:
        """Hold a visit while nobody can be asked: what comes of it shows when it is delivered."""
        with self._lock:
            stale = self._known.get(visit_id) != token
            self._held[visit_id], self._known[visit_id] = Held(token, moment()), token
        return Granted(stale)

    def whose(self, connection: Connection, visit_id: str, token: int) -> tuple[bool, bool]:
        """Whether nobody else has had a visit since it was held under a token; whether it is free.

        Its row is nobody else's until the commit of the caller's transaction.
        """
        row, now = self._locked(connection, visit_id), now_of(connection)
        is_free = self._is_own(row) or self._as_lease(row, now) is None
        return token > 0 and row.token == token, is_free

    def seize(self, connection: Connection, visit_id: str) -> None:
        """Take a visit that is ours or free, within the caller's transaction; `adopt` follows it.

        It stays ours only where it is held.
        """
        row, now = self._locked(connection, visit_id), now_of(connection)
        with self._lock:
            held = self._held.get(visit_id)
        expires_at = LONG_AGO if held is None else now + LASTS
        token = row.token + 1
        self._put(connection, visit_id, token=token, since=now, expires_at=expires_at)
        with self._lock:
            self._seized[visit_id] = token

    def adopt(self, visit_id: str) -> None:
        """What was seized is committed: it is written under its new token from now on."""
        with self._lock:
            token = self._seized.pop(visit_id)
            self._known[visit_id] = token
            if visit_id in self._held:
                self._held[visit_id] = Held(token, moment())

    def lose(self, visit_id: str) -> None:
        """Another bench has a visit by now."""
        self._was_taken(visit_id, "")

    # --- from any thread ------------------------------------------------------------------------

    def look(self, connection: Connection) -> tuple[Lease, ...]:
        """What is under work elsewhere. Raises DBAPIError."""
        lease = schema.lease
        now = now_of(connection)
        rows = connection.execute(select(lease).where(lease.c.expires_at > now)).all()
        found = (self._as_lease(row, now) for row in rows if not self._is_own(row))
        return tuple(one for one in found if one is not None)

    # --- within ---------------------------------------------------------------------------------

    def _locked(self, connection: Connection, visit_id: str) -> Row[Any]:
        """The row of a visit, made where it is not there, and nobody else's until the commit."""
        lease = schema.lease
        add_rows(connection, lease, [nobodys(visit_id)])
        asked = select(lease).where(lease.c.visit_id == visit_id).with_for_update()
        return connection.execute(asked).one()

    def _is_own(self, row: Row[Any]) -> bool:
        return self._presence is not None and row.holder == self._presence.id

    def _put(self, connection: Connection, visit_id: str, **values: object) -> None:
        own, lease = {"bench": self.bench, "holder": self.holder}, schema.lease
        asked = update(lease).where(lease.c.visit_id == visit_id)
        connection.execute(asked.values(**own, **values))

    def _was_heard(self, visit_id: str) -> None:
        with self._lock:
            if visit_id in self._held:
                self._held[visit_id].heard_at = moment()

    def _was_taken(self, visit_id: str, bench: str) -> None:
        with self._lock:
            if visit_id in self._held:
                self._held[visit_id].lost_to = bench or "?"

    def _as_lease(self, row: Row[Any], now: datetime) -> Lease | None:
        """Another's lease, None where it has run out."""
        alive = look_for(row.holder)
        left = 0.0 if alive is Alive.GONE else self._left(row, now)
        if left <= 0.0:
            return None
        return Lease(
            visit_id=row.visit_id,
            bench=row.bench,
            since=row.since,
            free_in=left,
            here=alive is Alive.HERE,
        )

    def _left(self, row: Row[Any], now: datetime) -> float:
        """Seconds a lease is in force, whatever was done to the clock since it was written."""
        longest, present = LASTS.total_seconds(), moment()
        left: float = min((row.expires_at - now).total_seconds(), longest)
        with self._lock:
            token, expires_at, first = self._seen.get(row.visit_id, (0, LONG_AGO, present))
            if (token, expires_at) != (row.token, row.expires_at):
                first = present
                self._seen[row.visit_id] = (row.token, row.expires_at, present)
        return min(left, longest - (present - first))


def nobodys(visit_id: str, token: int = 0) -> dict[str, object]:
    """The row of a visit that no bench has."""
    return {
        "visit_id": visit_id,
        "bench": "",
        "holder": "",
        "token": token,
        "since": LONG_AGO,
        "expires_at": LONG_AGO,
    }


def taken_over(bench: str) -> str:
    """What is said of a visit that another bench has."""
    return _(
        "bench {bench} has taken this visit over: what stands in pencil is not kept, leave it here"
    ).format(bench=bench)
