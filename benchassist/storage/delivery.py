"""What is in the journal is brought to the server, each thing once, by the writer's thread.

Machines that were written, then visits in the order in which they were opened, each in one
transaction, then the samples of runs. What was never on this bench, and is as it was, is no news.
Everything has an id or a number under which it is kept once, so a delivery that was cut, or whose
answer was lost, is begun again from the start; the journal is emptied when the server has all of
it.

A visit is given on under its own id where nobody else has had it meanwhile, or nobody has it now
and what is there is the beginning of what is here. Where two benches worked it, what this one wrote
is kept beside it.
"""

import logging
import time
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from enum import Enum
from functools import partial
from typing import Final

from sqlalchemy import Connection, func, select

from benchassist.core.away import Away, Delivered
from benchassist.core.entry import Entry, PhotoAdded
from benchassist.core.visit import VisitHeader
from benchassist.storage import query, schema
from benchassist.storage.apart import Apart, apart_id
from benchassist.storage.arrival import ConflictError, take_in
from benchassist.storage.chore import Returning
from benchassist.storage.frozen import Thaw
from benchassist.storage.head import require_head
from benchassist.storage.journal import Journal
from benchassist.storage.lease import Leases
from benchassist.storage.ledger import Ledger, Work
from benchassist.storage.parcel import Parcel
from benchassist.storage.photo_query import photos
from benchassist.storage.run_delivery import RunDelivery

FIRST_PAUSE: Final = 1.0
LONGEST_PAUSE: Final = 15.0
"""Seconds between two tries."""

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Renamed:
    """How a visit that is under work here reads on the server."""

    slip_number: str
    apart_of: str = ""


class Fate(Enum):
    """What became of a visit that was in the journal."""

    GIVEN_ON = "given_on"
    """It stands on the server as it stands here."""
    NO_NEWS = "no_news"
    """Another bench has gone on with it, and this one wrote nothing meanwhile."""
    APART = "apart"
    """Both wrote in it: what is here is kept beside it."""


class Outcome:
    """What came of deliveries: read from any thread, written in the writer's."""

    def __init__(self) -> None:
        self.delivered: Delivered | None = None
        self.renamed: dict[str, Renamed] = {}
        """By the visit's id here."""
        self.aparts: dict[str, Apart] = {}
        """By the id of the visit they were parted from, while that is under work here."""

    def redirect(self, work: Work) -> Work:
        """Entries of a visit that is kept apart by now, as they stand there."""
        if not isinstance(work, tuple) or not work:
            return work
        apart = self.aparts.get(work[0].stamp.visit_id)
        return work if apart is None else apart.entries(work)


class Delivery(Returning):
    """A chore: a visit, or some samples, a piece."""

    def __init__(self, journal: Journal, leases: Leases, outcome: Outcome) -> None:
        self._journal = journal
        self._leases = leases
        self._outcome = outcome
        self._ledger = Ledger("postgresql")
        self._thaw = Thaw()
        self._left: deque[Callable[[Connection], bool]] | None = None
        self._upto = -1
        self._pause_s = FIRST_PAUSE
        self._apart: dict[str, str] = {}
        self._renumbered: dict[str, str] = {}
        self._tags: set[str] = set()
        self.due_s = 0.0
        self.is_done = False

    def failed(self, why: str) -> None:
        """From the start again, after a while."""
        log.info("what is kept here could not be delivered yet: %s", why)
        self._left = None
        self.due_s = time.monotonic() + self._pause_s
        self._pause_s = min(2.0 * self._pause_s, LONGEST_PAUSE)

    def close(self) -> None:
        """What is not delivered stays in the journal."""
        self.is_done = True

    def work(self, connection: Connection) -> None:
        """Deliver a piece; the last ones, what came meanwhile, at once. DBAPIError, BenchError."""
        away = self._journal.away
        if away is None:
            self.is_done = True
            return
        if self._left is None:
            with connection.begin():
                # It is there, and knows what is here: there may be nothing else to ask it.
                require_head(connection)
            self._left = self._pieces()
        if self._left:
            if self._left[0](connection):
                self._left.popleft()
            self.due_s = time.monotonic()
            return
        while self._upto != self._journal.version:
            for piece in self._pieces():
                while not piece(connection):
                    pass
        self._finish(away)

    def _finish(self, away: Away) -> None:
        apart, renumbered = (tuple(d.items()) for d in (self._apart, self._renumbered))
        away = self._journal.away or away
        self._outcome.delivered = Delivered(
            at=datetime.now(UTC),
            readings=away.readings,
            runs=away.runs,
            entries=away.entries,
            apart=apart,
            renumbered=renumbered,
            tags=tuple(sorted(self._tags)),
        )
        self._journal.end()
        self.is_done = True

    def _pieces(self) -> deque[Callable[[Connection], bool]]:
        """All there is to deliver, in order; each says whether it is done."""
        self._upto = self._journal.version
        reader = self._journal.engines.reader
        pieces = deque[Callable[[Connection], bool]]()
        for line in self._journal.lines("machine"):
            pieces.append(partial(self._machine, machine_id=line.what))
        v, r = schema.visit.c, schema.run.c
        spare = {line.what: line.value for line in self._journal.lines("spare")}
        held = self._leases.held
        with reader.begin() as here:
            visits = here.scalars(select(v.id).order_by(v.opened_at, v.slip_serial)).all()
            runs = here.scalars(select(r.id)).all()
            news = [i for i in visits if i in held or spare.get(i) != self._count(here, i)]
        pieces += [partial(self._visit, visit_id=visit_id) for visit_id in news]
        pieces += [RunDelivery(reader, run_id).work for run_id in runs]
        return pieces

    # --- machines ---------------------------------------------------------------------------------

    def _machine(self, server: Connection, machine_id: str) -> bool:
        with self._journal.engines.reader.begin() as here:
            machine = query.machine(here, machine_id)
        if machine is not None:
            self._ledger.write(server, machine)
            with server.begin():
                if len(query.machines_of_tag(server, machine.tag)) > 1:
                    self._tags.add(machine.tag)
        return True

    # --- visits -----------------------------------------------------------------------------------

    def _visit(self, server: Connection, visit_id: str) -> bool:
        lease = schema.lease.c
        with self._journal.engines.reader.begin() as here:
            header, entries = query.visit(here, visit_id, self._thaw)
            token = here.scalar(select(lease.token).where(lease.visit_id == visit_id)) or 0
            digests = [entry.digest for entry in entries if isinstance(entry, PhotoAdded)]
            kept = photos(here, digests) if digests else {}
        for photo in kept.values():
            self._ledger.write(server, photo)
        apart = Apart(visit_id, apart_id(visit_id, token))
        with server.begin():
            fate = Fate.APART
            if not self._is_there(server, apart.id):
                fate = self._given_on(server, header, entries, token)
            if fate is Fate.APART:
                if visit_id in self._leases.held:
                    self._leases.take_within(server, apart.id)
                parted = apart.header(header, self._leases.bench)
                take_in(server, Parcel.of(parted, apart.entries(entries)))
            number = self._number_of(server, apart.id if fate is Fate.APART else visit_id)
        self._tell(header, fate, number, apart)
        return True

    def _given_on(
        self, server: Connection, header: VisitHeader, entries: tuple[Entry, ...], token: int
    ) -> Fate:
        """Give a visit on under its own id, where no other bench has gone on with it."""
        is_ours, is_free = self._leases.whose(server, header.id, token)
        if not is_ours and (not is_free or self._count(server, header.id) > len(entries)):
            known = self._has_all(server, header.id, entries)
            return Fate.NO_NEWS if known else Fate.APART
        try:
            with server.begin_nested():
                self._leases.seize(server, header.id)
                take_in(server, Parcel.of(header, entries))
        except ConflictError:
            return Fate.APART
        return Fate.GIVEN_ON

    def _tell(self, header: VisitHeader, fate: Fate, number: str, apart: Apart) -> None:
        """What became of a visit, once that is committed."""
        visit_id, was = header.id, header.slip_number
        is_held = visit_id in self._leases.held
        match fate:
            case Fate.GIVEN_ON:
                self._leases.adopt(visit_id)
                if number != was:
                    self._renumbered[was] = number
                    self._rename(header, number)
            case Fate.NO_NEWS:
                self._leases.lose(visit_id)
            case Fate.APART:
                self._apart[was] = number
                self._leases.lose(visit_id)
                if is_held:
                    self._outcome.aparts[visit_id] = apart
                    self._rename(header, number, apart_of=visit_id)

    def _count(self, connection: Connection, visit_id: str) -> int:
        e = schema.entry.c
        return connection.scalar(select(func.count()).where(e.visit_id == visit_id)) or 0

    def _rename(self, header: VisitHeader, number: str, *, apart_of: str = "") -> None:
        self._outcome.renamed[header.id] = Renamed(number, apart_of)
        self._journal.hand.renamed(header.id, replace(header, slip_number=number))

    def _is_there(self, server: Connection, visit_id: str) -> bool:
        v = schema.visit.c
        return server.scalar(select(v.id).where(v.id == visit_id)) is not None

    def _number_of(self, server: Connection, visit_id: str) -> str:
        v = schema.visit.c
        return str(server.scalar(select(v.slip_number).where(v.id == visit_id)))

    def _has_all(self, server: Connection, visit_id: str, entries: Sequence[Entry]) -> bool:
        """Whether every entry of a visit is on the server already."""
        e = schema.entry.c
        ids = set(server.scalars(select(e.id).where(e.visit_id == visit_id)))
        return all(entry.stamp.id in ids for entry in entries)
