"""A shop on a server, with a journal on this computer for the time in which the server is away.

Reads go to the server, and while it is away to the journal, which has what was in hand. They are
the store's own, one by one, so that each is asked of the right place without knowing of it.
"""

import hashlib
import logging
import re
from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from functools import partial, wraps
from gettext import gettext as _
from inspect import getmembers, isfunction
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, func, select
from sqlalchemy.exc import DBAPIError

from benchassist.core.away import Away
from benchassist.core.entry import Entry
from benchassist.core.visit import VisitHeader
from benchassist.errors import NotFoundError, StoreError
from benchassist.storage import schema
from benchassist.storage.asker import Asker
from benchassist.storage.delivery import Delivery, Outcome
from benchassist.storage.engine import open_engines, prompt_engines, trouble
from benchassist.storage.head import guard
from benchassist.storage.journal import Journal, JournalInUseError
from benchassist.storage.passing import may_pass, refusal
from benchassist.storage.place import ShopFile, ShopServer
from benchassist.storage.revision import server_revision
from benchassist.storage.served_benches import ServedBenches
from benchassist.storage.stock import Stock
from benchassist.storage.store import SqlStore
from benchassist.storage.watch import Watch

POLLED: Final = frozenset(
    {
        "briefs",
        "closed_since",
        "find",
        "parts_fitted",
        "photo_log",
        "under_work",
        "visits",
    }
)
"""What a page asks for again and again: the last answer will do for a moment."""

log = logging.getLogger(__name__)

MORE_THAN_READS: Final = frozenset(
    {
        *("submit", "submit_visit", "submit_machine", "submit_photo", "acknowledgements", "wait"),
        *("record", "take_in", "erase", "hold", "close", "next_slip_number"),
        *("visit", "highest_serial", "machine_count"),  # written out
    }
)

READS: Final = tuple(
    name
    for name, _method in getmembers(SqlStore, isfunction)
    if not name.startswith("_") and name not in MORE_THAN_READS
)
"""Every method of the store that asks and does nothing else."""


def journal_path(folder: Path, place: ShopServer) -> Path:
    """Where the journal of a server lies."""
    name = re.sub(r"[^a-z0-9]+", "-", place.name.casefold()).strip("-")[:40]
    address = re.sub(r"//[^@/]*@", "//", place.url)  # whoever asks, it is the same shop
    return folder / f"{name}-{hashlib.sha256(address.encode()).hexdigest()[:12]}.sqlite"


class ServedStore(SqlStore):
    """Opens also while the server is away, where it was open from here before.

    Raises ShopFileError for a server that cannot be used, StoreError where another window of this
    program has the journal.
    """

    def __init__(self, place: ShopServer, folder: Path) -> None:
        why = why_away(place, folder)
        if not why:
            open_engines(place, read_only=False).dispose()
        self._journal = Journal(journal_path(folder, place))
        try:
            if why:
                self._journal.begin(Away(since=datetime.now(UTC), why=why), {})
        except BaseException:
            self._journal.close()
            raise
        self._set_up(place, prompt_engines(place), self._journal)
        self._outcome = Outcome()
        self.writing.redirect = self._outcome.redirect
        self._delivery: Delivery | None = None
        self._probe = prompt_engines(place)
        assert self._probe.writer is not None  # noqa: S101 - not for reading only
        guard(self._probe.writer)
        self.stock = Stock(self._engines.reader, self._leases, self._journal)
        self._is_open = False
        self.watch = Watch(
            self._probe.writer,
            lost=self.writing.lose,
            back=self._answered,
        )
        self._asker = Asker(self.watch, lambda: self._journal.away is not None)
        self._benches = ServedBenches(self, self._journal, self._outcome)
        self._is_open = True

    def close(self) -> None:
        """What is kept here and not delivered stays in the journal."""
        self.watch.close()
        self._asker.close()
        super().close()
        self._probe.dispose()
        self._journal.close()

    def visit(self, visit_id: str) -> tuple[VisitHeader, tuple[Entry, ...]]:
        """A visit by id, or by slip number; one on this bench is kept in hand. NotFoundError."""
        header, entries = self._asker.ask(partial(super().visit, visit_id))
        if self._journal.away is None and header.id in self._leases.held:
            self._journal.hand.keep(header, entries)
        return header, entries

    def highest_serial(self, letter: str) -> int:
        """The highest serial of a letter, as far as it was ever known here."""
        serial = self._asker.ask(partial(super().highest_serial, letter), ("serial", letter))
        if self._journal.away is not None:
            return max(serial, self._journal.highest_serial(letter))
        self._journal.serials[letter] = serial
        return serial

    def machine_count(self) -> int:
        """Machines on file, as far as they were ever known here."""
        count = self._asker.ask(super().machine_count, ("machine_count",))
        if self._journal.away is not None:
            return self._journal.machines + count
        self._journal.machines = count
        return count

    def kept_token(self, visit_id: str, *, new: bool) -> int:
        """The token under which a visit of the journal was held; 0 for a new one.

        Raises StoreError for one that cannot be gone on with while the server is away.
        """
        v, lease, e = schema.visit.c, schema.lease.c, schema.entry.c
        with self._reading() as here:
            is_there = here.scalar(select(v.id).where(v.id == visit_id)) is not None
            token = here.scalar(select(lease.token).where(lease.visit_id == visit_id)) or 0
            asked = select(e.body).where(e.visit_id == visit_id, e.kind.in_(RUN_DOORS))
            last = here.execute(asked.add_columns(e.kind).order_by(e.seq.desc()).limit(1)).first()
        if not is_there and not new:
            raise StoreError(
                _("the server is away: only visits that were on this bench can be gone on with")
            )
        if last is not None and last.kind == "run_started":
            self._refuse_begun(last.body)
        return token

    def _refuse_begun(self, body: str) -> None:
        """A run that was on when the program ended can be told only where all of it is here."""
        from benchassist.core.entry import RunStarted
        from benchassist.storage.codec import decode_entry, from_text

        start = decode_entry(from_text(body))
        if isinstance(start, RunStarted) and start.meter and start.run_id not in self._recorded:
            self._refuse_part(start.run_id, missing=True)

    def _refuse_part(self, run_id: str, *, missing: bool = False) -> None:
        """Raise NotFoundError for a run whose beginning is on the server.

        `missing`: one of which nothing is here as well.
        """
        dial, tail = schema.run_dial.c, schema.run_tail.c
        with self._reading() as here:
            channels = set(here.scalars(select(dial.channel).where(dial.run_id == run_id)))
            lowest = (
                select(tail.channel, func.min(tail.number))
                .where(tail.run_id == run_id)
                .group_by(tail.channel)
            )
            first = {row[0]: row[1] for row in here.execute(lowest)}
        if any(first.get(channel) != 1 for channel in channels) or (missing and not channels):
            raise NotFoundError(
                _("this run began on the server: it can be looked at when the server is back")
            )

    def ask(self, read: Callable[..., Any], *given: Any, **named: Any) -> Any:  # noqa: ANN401 - whatever the read says
        """Ask as the window may; see `Asker`."""
        name = read.__name__
        is_run = name.startswith("run_") and given[0] not in self._recorded
        if is_run and self._journal.away is not None:
            self._refuse_part(given[0])
        key: Hashable = (name, given, tuple(sorted(named.items()))) if name in POLLED else None
        if name == "closed_since":  # a moment that moves on
            key = (name,)
        return self._asker.ask(partial(read, self, *given, **named), key)

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        """A connection to the server; to the journal while the server is away."""
        away = self._journal.away is not None
        engine = self._journal.engines.reader if away else self._engines.reader
        try:
            with engine.begin() as connection:
                yield connection
        except DBAPIError as error:
            if away:
                raise trouble(ShopFile(self._journal.path), error) from None
            self.watch.doubt()
            raise self._unread(error) from None

    def _is_kept(self, _run_id: str) -> bool:
        """Asked of nobody: the writer finds out."""
        return False

    def _answered(self) -> None:
        """The server is there, in the watch's thread."""
        self._deliver()
        if self._is_open and self.stock.is_due():
            self._asker.later(self.stock.take)

    def _deliver(self) -> None:
        """The server is there: bring it what is kept here, if there is anything."""
        going_on = self._delivery is not None and not self._delivery.is_done
        if self._journal.away is not None and not going_on:
            self._delivery = Delivery(self._journal, self._leases, self._outcome)
            self.writing.take_on(self._delivery)


def open_served(place: ShopServer, folder: Path) -> SqlStore:
    """Return the shop with its journal; without one where another window of this home has it."""
    try:
        return ServedStore(place, folder)
    except JournalInUseError as error:
        log.warning("%s", error)
        store = SqlStore(place.url)
        store.remark = str(error)
        return store


RUN_DOORS: Final = ("run_started", "run_ended")


def _through_the_asker(read: Callable[..., Any]) -> Callable[..., Any]:
    @wraps(read)
    def asked(store: ServedStore, *given: Any, **named: Any) -> Any:  # noqa: ANN401 - the same
        return store.ask(read, *given, **named)

    return asked


for _name in READS:
    setattr(ServedStore, _name, _through_the_asker(getattr(SqlStore, _name)))


def why_away(place: ShopServer, folder: Path) -> str:
    """Why the server cannot be reached, empty where it can.

    Raises ShopFileError for one that cannot be used, or was never open from here.
    """
    known = journal_path(folder, place).exists()
    engines = prompt_engines(place)
    try:
        server_revision(engines.reader)
    except DBAPIError as error:
        if not known or refusal(error) or not may_pass(error):
            raise trouble(place, error, opening=True) from None
        return str(trouble(place, error))
    finally:
        engines.dispose()
    return ""
