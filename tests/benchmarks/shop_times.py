"""What a drawn shop answers and how fast, and the same statements sent plainly beside it.

Plainly: the very SQL of an answer, through sqlite3 or psycopg over the same file or database, every
row fetched and nothing made of it. Two things are held against that: the statements as the program
sends them, through its pool and its transaction, the rows fetched; and the whole answer, which also
parses the JSON of entries and makes objects of it. For the latter the standard library parses the
same JSON in a second baseline.
"""

import json
import shutil
import sqlite3
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from random import Random
from statistics import median, quantiles
from typing import Any, Final, Self

import psycopg
from sqlalchemy import Connection, Executable, event

from benchassist.assembly import Place, open_shop
from benchassist.services.record.machine_reader import MachineReader
from benchassist.services.settings import Settings
from benchassist.services.shop import Shop
from benchassist.storage import open_store
from benchassist.storage.query import values_of
from tests.benchmarks.figure import one
from tests.benchmarks.shop_fill import drawn_file, fill_server
from tests.benchmarks.shop_plan import ShopSize
from tests.postgres import serving

ANSWERS: Final = 120
"""Of each kind. Machines are drawn by their visits: what comes often is looked up often."""
TURNS: Final = 5
"""Of each one's statements, in turns with the baselines: the middle time counts."""
LISTS: Final = 9
"""What goes through the whole shop is asked for that often, and its statements sent once each."""
STARTS: Final = 7
VIEWS: Final = 6
SEED: Final = 6
UNITS: Final = Settings().units

Asked = list[tuple[Executable, Any]]
Sent = list[tuple[str, Any]]
Driver = sqlite3.Connection | psycopg.Connection[tuple[Any, ...]]


@dataclass(frozen=True, slots=True)
class Times:
    """Seconds of each answer: the whole of it, and its statements as the program sends them.

    Beside it the same statements plainly, and plainly with their JSON parsed.
    """

    ours: list[float] = field(default_factory=list)
    sent: list[float] = field(default_factory=list)
    plain: list[float] = field(default_factory=list)
    parsed: list[float] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class ShopTimes:
    """All that was measured of one shop."""

    machine_file: Times
    history: Times
    open_visits: Times
    visit: Times
    slip: Times
    every_visit: Times
    counter: list[float]
    start: list[float]


def at(percent: int, times: Sequence[float]) -> float:
    """The time that so many in a hundred do not pass."""
    return quantiles(times, n=100, method="inclusive")[percent - 1]


@contextmanager
def shop_files(*sizes: ShopSize) -> Iterator[list[str]]:
    """Give copies of drawn shops' files, to be worked in."""
    with tempfile.TemporaryDirectory(prefix="bench-shop-") as folder:
        paths = [Path(folder) / f"{size.name}.sqlite" for size in sizes]
        for size, path in zip(sizes, paths, strict=True):
            shutil.copyfile(drawn_file(size), path)
        yield [str(path) for path in paths]


@contextmanager
def shops_on_server(*sizes: ShopSize) -> Iterator[list[str]]:
    """Give drawn shops on a private server."""
    with serving() as server:
        for size in sizes:
            server.execute(f"CREATE DATABASE {size.name}_shop")
            _tell(f"copying {size.visits:,} visits to a server")
            fill_server(server.url(f"{size.name}_shop"), drawn_file(size))
        yield [server.url(f"{size.name}_shop") for size in sizes]


def measured(locations: Sequence[str]) -> list[ShopTimes]:
    """Ask shops for everything, in turns, so that a drift of the machine meets all alike."""
    _tell(f"asking {', '.join(locations)}")
    with ExitStack() as stack:
        desks = [stack.enter_context(Desk(location)) for location in locations]
        names = ("machine_file", "history", "visit", "open_visits", "slip", "every_visit")
        times = [{name: Times() for name in names} for _desk in desks]
        for name in names:
            for number in range(LISTS if name == "every_visit" else ANSWERS):
                for desk, own in zip(desks, times, strict=True):
                    turns = 1 if name == "every_visit" else TURNS
                    desk.time(desk.answer(name, number), own[name], turns)
    begun = started(locations)
    return [
        ShopTimes(**own, counter=counter, start=start)
        for own, (counter, start) in zip(times, begun, strict=True)
    ]


def started(locations: Sequence[str]) -> list[tuple[list[float], list[float]]]:
    """Seconds of the counter's view, and from nothing open to the first one, of each shop."""
    found = [(list[float](), list[float]()) for _ in locations]
    with tempfile.TemporaryDirectory(prefix="bench-shop-home-") as home:
        for turn in range(1 + STARTS):
            for location, (counter, start) in zip(locations, found, strict=True):
                place, opened = Place(location, Path(home)), list[Shop]()
                took = one(partial(_open, place, opened), 1)
                with closing(opened[0]) as shop:
                    view = partial(shop.counter.view, "")
                    # The first one loads modules.
                    if turn:
                        start.append(took)
                        counter += [one(view, 1) for _ in range(VIEWS)]
    return found


def _open(place: Place, opened: list[Shop]) -> None:
    shop = open_shop(place)
    opened.append(shop)
    shop.counter.view("")


class Desk:
    """A shop that is asked, and the driver that its statements are sent through plainly."""

    def __init__(self, location: str) -> None:
        chance = Random(SEED)
        self._plain = plainly(location)
        self._store = open_store(location, read_only=True)
        self._engine = self._store._engines.reader
        owners = self._plain.execute("SELECT id, machine_id FROM visit").fetchall()
        self._machines = [machine for _visit, machine in chance.sample(owners, ANSWERS)]
        self._visits = [visit for visit, _machine in chance.sample(owners, ANSWERS)]

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_error: object) -> None:
        self._store.close()
        self._plain.close()

    def answer(self, name: str, number: int) -> Callable[[], object]:
        """What is asked for that often."""
        store, machine, visit = self._store, self._machines[number], self._visits[number]
        answers: dict[str, Callable[[], object]] = {
            "machine_file": lambda: MachineReader(machine, store=store, units=UNITS).read(),
            "history": partial(store.history, machine),
            "visit": partial(store.visit, visit),
            "open_visits": partial(store.visits, open_only=True),
            "slip": store.next_slip_number,
            "every_visit": store.visits,
        }
        return answers[name]

    def time(self, answer: Callable[[], object], times: Times, turns: int) -> None:
        """Time it, then its statements; what is read from disk or kept by the store is there.

        One time of a millisecond is the machine's as much as the program's: they take turns.
        """
        answer()
        asked, sent = self.statements(answer)
        times.ours.append(one(answer, 1))
        ways = (
            partial(self._ask, asked),
            partial(self._send, sent),
            partial(self._send, sent, parse=True),
        )
        took = zip(*([one(way, 1) for way in ways] for _ in range(turns)), strict=True)
        for kept, times_of_it in zip((times.sent, times.plain, times.parsed), took, strict=True):
            kept.append(median(times_of_it))

    def statements(self, answer: Callable[[], object]) -> tuple[Asked, Sent]:
        """What an answer asks for, and its SQL; nobody listens any more when it is timed."""
        asked, sent = Asked(), Sent()

        def note_asked(
            _c: Connection, said: Executable, many: object, given: object, _options: object
        ) -> None:
            asked.append((said, many or given))

        def note_sent(
            _c: object, _cursor: object, said: str, given: object, *_rest: object
        ) -> None:
            if said != "BEGIN":
                sent.append((said, given))

        listening: dict[str, Callable[..., None]] = {
            "before_execute": note_asked,
            "before_cursor_execute": note_sent,
        }
        for name, listener in listening.items():
            event.listen(self._engine, name, listener)
        answer()
        for name, listener in listening.items():
            event.remove(self._engine, name, listener)
        return asked, sent

    def _ask(self, asked: Asked) -> None:
        with self._engine.begin() as connection:
            for said, given in asked:
                found = connection.execute(said, given)
                # A single column is read as the store reads it, without a row around it.
                _rows = values_of(found) if len(found.keys()) == 1 else found.fetchall()

    def _send(self, sent: Sent, *, parse: bool = False) -> None:
        self._plain.execute("BEGIN")
        for said, given in sent:
            for row in self._plain.execute(said, given).fetchall():
                if parse:
                    for cell in row:
                        if type(cell) is str and cell[:1] == "{":
                            json.loads(cell)
        self._plain.execute("COMMIT")


def plainly(location: str) -> Driver:
    """The database's own driver, on the same file or server."""
    if "://" in location:
        address = location.replace("postgresql+psycopg://", "postgresql://", 1)
        return psycopg.connect(address, autocommit=True)
    return sqlite3.connect(location, isolation_level=None)


def _tell(text: str) -> None:
    print(text, file=sys.stderr, flush=True)
