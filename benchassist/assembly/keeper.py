"""A shop is looked after while the program is open: looked through, and backed up once a day."""

from __future__ import annotations

import logging
import sqlite3
import threading
from contextlib import ExitStack, suppress
from gettext import gettext as _
from pathlib import Path
from typing import TYPE_CHECKING, Final

from benchassist.assembly import Place, SystemClock
from benchassist.assembly.keeping import back_up, back_up_moment, save, server_of, shelf_of
from benchassist.errors import BenchError, ShopFileError

if TYPE_CHECKING:
    from collections.abc import Callable

    from benchassist.services.shop import Shop
    from benchassist.storage.store import SqlStore

FIRST_LOOK_S: Final = 0.1
"""How long opening waits to hear whether the file is whole: a small one is known by then."""

SETTLING_S: Final = 30.0
"""After a start, before a server is asked for anything on that account."""

LOOK_EVERY_S: Final = 3600.0
"""Between two looks whether a backup is due."""

LATER_S: Final = 600.0
"""Until the next look where a backup is due and could not be made, or another bench is at it."""

BREATH_S: Final = 0.002
"""A pause between two pieces of work."""

log = logging.getLogger(__name__)


class Keeper:
    """Looks a shop file through after the program has started; backs any shop up once a day.

    In a thread of its own; `close` ends it in the middle of whatever it does. Of the benches of a
    server each keeps backups of its own, one bench at a time.
    """

    def __init__(self, place: Place, shop: Shop, *, settling_s: float = SETTLING_S) -> None:
        self._place = place
        self._shop = shop
        self._settling_s = settling_s if place.on_server else 0.0
        self._ended = threading.Event()
        self._holding = threading.Lock()
        self._held: list[Callable[[], None]] = []
        """What ends the work that is under way."""
        self._found, self._looked = threading.Event(), threading.Event()
        """Damage was found; the first look is over, whatever came of it."""
        self._rested = threading.Event()
        """There is nothing to do until the next look."""
        self._told: set[type[BenchError]] = set()
        self._line = ""
        """What was told, and what it was about, until a backup is made."""
        self._thread = threading.Thread(target=self._run, name="shop keeper", daemon=True)
        self._thread.start()

    @property
    def found_damage(self) -> bool:
        """Whether the shop file was found to be damaged."""
        return self._found.is_set()

    @property
    def has_looked(self) -> bool:
        """Whether the shop file was looked through."""
        return self._looked.is_set()

    def first_look(self) -> None:
        """Wait a moment for what it finds, so that a small shop's damage is known from the start.

        A large shop is opened meanwhile; once damage is found, what is saved of it is waited for. A
        server looks after its own.
        """
        if self._place.on_server or not self._thread.is_alive():
            return
        if not self._looked.wait(FIRST_LOOK_S) and self._found.is_set():
            self._looked.wait()

    def close(self) -> None:
        """Stop. May be called twice."""
        with self._holding:
            self._ended.set()
            held = self._held[:]
        for end in held:
            with suppress(sqlite3.Error):  # it may be closed by now
                end()
        if self._thread.is_alive():
            self._thread.join()

    def _run(self) -> None:
        pause_s: float | None = self._settling_s
        while pause_s is not None and not self._ended.wait(pause_s):
            try:
                pause_s = self._look_after()
            except EndedError:
                return
            except BenchError as error:
                pause_s = LATER_S
                if not self._ended.is_set():
                    self._tell(error)
            except Exception:
                log.exception("the keeper failed")
                pause_s = None
            finally:
                self._held.clear()
                self._looked.set()
                self._rested.set()

    def _look_after(self) -> float | None:
        """Do what is due; seconds until the next look, None where there is none."""
        shelf, now = shelf_of(self._place), SystemClock().now()
        if self._place.on_server:
            return self._back_up_server() if shelf.is_due(now) else LOOK_EVERY_S
        is_due = shelf.is_due(now)
        if (is_due or not self.has_looked) and not self._is_whole():
            return None
        self._looked.set()
        if is_due:
            back_up(self._place, None, self._go_on)
            self._made()
        return LOOK_EVERY_S

    def _back_up_server(self) -> float:
        from benchassist.storage.snapshot import snapshot

        if self._store.benches.away is not None:
            return LATER_S
        with ExitStack() as stack:
            try:
                moment = stack.enter_context(snapshot(server_of(self._place), self._hold_on))
            except ShopFileError as error:
                # The bench says by itself that its server is away.
                log.info("the shop could not be backed up yet: %s", error)
                return LATER_S
            if not moment.is_alone:
                log.info("another bench is backing the shop up")
                return LATER_S
            back_up_moment(self._place, moment, None, self._go_on)
        self._made()
        return LOOK_EVERY_S

    def _is_whole(self) -> bool:
        """Whether nothing is wrong with the shop file; from then on it is only read, else."""
        from benchassist.storage.integrity import damaged, fault

        path = Path(self._place.shop)
        found = fault(path, quick=True, hold=lambda file: self._hold_on(file.interrupt))
        self._go_on(0, 0)
        if found is None:
            return True
        self._found.set()
        log.warning("%s", damaged(path, found))
        self._read_only(
            _("{file} is damaged and from now on only read: restore a backup").format(
                file=path.name
            )
        )
        return False

    def _read_only(self, why: str) -> None:
        """Write no more into a damaged file; what can be saved of it is shown."""
        self._store.hold(why)
        self._shop.counter.tell(why)
        try:
            made = save(self._place)
        except BenchError as error:
            log.warning("nothing could be saved of the shop file: %s", error)
            return
        log.warning("%s; it is in %s", made.lost, made.file)
        self._store.hold(why, instead=made.file)

    @property
    def _store(self) -> SqlStore:
        from benchassist.storage.store import SqlStore

        store = self._shop.store
        assert isinstance(store, SqlStore)  # noqa: S101 - as `open_shop` made it
        return store

    def _hold_on(self, end: Callable[[], None]) -> None:
        """Something is under way that is waited for: closing ends it with this."""
        with self._holding:
            self._held.append(end)
        self._go_on(0, 0)

    def _go_on(self, _done: int, _whole: int) -> None:
        # The window has its turn between two pieces of work.
        if self._ended.wait(BREATH_S):
            raise EndedError

    def _tell(self, error: BenchError) -> None:
        """Once, until a backup is made; a trouble of another kind is told as well."""
        log.warning("the shop was not backed up: %s", error)
        if type(error) not in self._told:
            self._told.add(type(error))
            self._line = _("The shop was not backed up today: {why}").format(why=error)
            self._shop.counter.tell(self._line)

    def _made(self) -> None:
        """A backup is there: what was told is so no more."""
        self._told.clear()
        self._shop.counter.untell(self._line)


class EndedError(Exception):
    """The program ends in the middle of a backup."""
