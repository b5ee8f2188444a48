"""The counter's box, letter by letter, in a shop of twenty years and in one of a tenth of it.

Beside each search its own statements are sent plainly through the database's driver.
"""

import sqlite3
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from random import Random
from statistics import median, quantiles
from typing import Any

import psycopg
from sqlalchemy import Connection, Engine, event, insert, text

from benchassist.core.entry import Machine
from benchassist.storage import open_store, schema, search
from benchassist.storage.engine import open_engines
from benchassist.storage.place import place_of
from benchassist.storage.row import machine_row
from benchassist.storage.search_close import close_words, tolerance
from benchassist.storage.search_find import find
from tests.benchmarks import shop_words
from tests.benchmarks.figure import Aim, Figure, one
from tests.benchmarks.shop_draw import Shop
from tests.benchmarks.shop_plan import FULL, TENTH, ShopSize
from tests.postgres import serving

SEARCHES = 80
TIMES = 3
"""Each keystroke is asked so often, and the middle time counts: other programs work beside."""
MISSPELT = 500
SHOWN = 3
PORTION = 2000
LIMIT_S = 0.05

Statement = tuple[str, object]
Driver = Any
"""A driver's own connection: sqlite3's or psycopg's."""


@dataclass(frozen=True, slots=True)
class Times:
    """What each keystroke took in seconds, ours and the driver's."""

    ours: list[float]
    plain: list[float]
    recognised: float
    """The share of misspelt names that are."""

    def ratio(self, percent: int) -> float:
        """Ours to the driver's."""
        return at(percent, self.ours) / at(percent, self.plain)


def at(percent: int, times: list[float]) -> float:
    """The time that so many in a hundred do not pass."""
    return quantiles(times, n=100)[percent - 1]


def figures() -> Iterator[Figure]:
    """Search on both databases at both sizes."""
    yield from on("SQLite", _sqlite_places, _sqlite_plain)
    with serving() as server:

        def places(name: str) -> str:
            server.execute(f"CREATE DATABASE shop_{name}")
            return server.url(f"shop_{name}")

        yield from on("PostgreSQL", lambda _folder, name: places(name), _postgres_plain)


def on(
    name: str,
    where: Callable[[Path, str], str],
    plain: Callable[[str], Driver],
) -> Iterator[Figure]:
    """The figures of one database."""
    with tempfile.TemporaryDirectory(prefix="bench-search-") as folder:
        tenth = measured(where(Path(folder), "tenth"), TENTH, plain)
        full = measured(where(Path(folder), "full"), FULL, plain)
    count = len(full.ours)
    yield Figure(
        name=f"search as you type, p95, {name}",
        ours=at(95, full.ours),
        baseline=at(95, full.plain),
        ratio=full.ratio(95),
        aim=Aim(LIMIT_S, on="ours"),
        note=f"12,000 machines, {count} keystrokes; against its statements plainly",
    )
    yield Figure(
        name=f"search against plain SQL, p95, {name}",
        ours=at(95, full.ours),
        baseline=at(95, full.plain),
        ratio=full.ratio(95),
        aim=Aim(1.5),
        note=f"at the median {full.ratio(50):.2f}",
    )
    yield Figure(
        name=f"search, a tenth to full, p95, {name}",
        ours=at(95, full.ours),
        baseline=at(95, tenth.ours),
        ratio=at(95, full.ours) / at(95, tenth.ours),
        aim=Aim(2.0),
        note=f"median {at(50, tenth.ours):.2g} to {at(50, full.ours):.2g} s",
    )
    yield Figure(
        name=f"misspelt names recognised, {name}",
        ours=full.recognised,
        aim=Aim(0.99, on="ours", at_least=True),
        unit="",
        note=f"{MISSPELT} of four letters or more with one error, in 12,000 machines",
    )


def recognised(engine: Engine, shop: Shop) -> float:
    """The share of names with one typing error that are taken for the name they are."""
    chance, found, asked = Random("misspelt"), 0, 0
    with engine.begin() as connection:
        while asked < MISSPELT:
            name = chance.choice(_machine(chance, shop).customer.lower().split())
            typed = shop_words.mistyped(chance, name)
            if tolerance(typed) and typed != name:
                asked += 1
                found += name in close_words(connection, typed, 1)
    return found / asked


def measured(location: str, size: ShopSize, plain: Callable[[str], Driver]) -> Times:
    """Draw a shop there and search in it."""
    shop = Shop(size)
    fill(location, shop)
    engines = open_engines(place_of(location), read_only=True)
    with closing(plain(location)) as connection:
        try:
            return timed(engines.reader, connection, shop)
        finally:
            engines.dispose()


def timed(engine: Engine, plain: Driver, shop: Shop) -> Times:
    """Every keystroke, and right after it what it asked, sent plainly."""
    keys = list(keystrokes(shop))
    sent: list[Statement] = []

    @event.listens_for(engine, "before_cursor_execute")
    def note(_c: Connection, _cursor: object, said: str, given: object, *_rest: object) -> None:
        sent.append((said, given))

    def ours(words: str) -> None:
        with engine.begin() as connection:
            find(connection, words, limit=SHOWN)

    def theirs() -> None:
        plain.execute("BEGIN")
        for statement, given in sent:
            plain.execute(statement, given).fetchall()
        plain.execute("COMMIT")

    times = Times([], [], recognised(engine, shop))
    for words in keys[:50]:
        ours(words)
    for words in keys:
        sent.clear()
        ours(words)
        told = [said for said in sent if said[0] != "BEGIN"]
        pairs = []
        for _ in range(TIMES):
            took = one(partial(ours, words), 1)
            sent[:] = told
            pairs.append((took, one(theirs, 1)))
        ours_took, theirs_took = zip(*pairs, strict=True)
        times.ours.append(median(ours_took))
        times.plain.append(median(theirs_took))
    return times


# --- shop ---------------------------------------------------------------------------------------


def fill(location: str, shop: Shop) -> None:
    """Write a shop's machines and visits, without entries, and what is searched."""
    open_store(location).close()
    engines = open_engines(place_of(location), read_only=False)
    assert engines.writer is not None
    machines = [shop.machine(number) for number in range(shop.size.machines)]
    with engines.writer.begin() as connection:
        connection.execute(insert(schema.frozen), {"digest": "0" * 64, "body": "{}"})
        connection.execute(insert(schema.machine), [machine_row(m) for m in machines])
        rows = list(visit_rows(shop, machines))
        for start in range(0, len(rows), PORTION):
            connection.execute(insert(schema.visit), rows[start : start + PORTION])
        search.rebuild(connection)
    with engines.writer.connect() as connection:
        if connection.dialect.name == "postgresql":
            connection.execution_options(isolation_level="AUTOCOMMIT").execute(
                text("VACUUM ANALYZE")
            )
    engines.dispose()


def visit_rows(shop: Shop, machines: Sequence[Machine]) -> Iterator[dict[str, Any]]:
    """The visits of a shop's plan."""
    chance = Random(f"visits of {shop.size.name}")
    for number, machine in enumerate(shop.plan.machine.tolist()):
        complaint = shop.plan.complaint[number]
        yield {
            "id": f"{number:036d}",
            "slip_number": f"{number + 1:04d}",
            "slip_letter": "",
            "slip_serial": number + 1,
            "machine_id": machines[machine].id,
            "opened_at": shop.plan.opened_at(number),
            "complaint": complaint.replace("_", " "),
            "words": shop_words.said(chance, complaint),
            "procedure_key": complaint,
            "engine_class": "",
            "steps": 1,
            "first_check": "cap",
            "header": "{}",
            "procedure_digest": "0" * 64,
            "closed_at": shop.plan.opened_at(number),
        }


def keystrokes(shop: Shop) -> Iterator[str]:
    """What stands in the box after each letter of the searches."""
    chance = Random("searches")
    for _ in range(SEARCHES):
        words = chance.choice(KINDS)(chance, shop)
        for end in range(1, len(words) + 1):
            yield words[:end]


def _machine(chance: Random, shop: Shop) -> Machine:
    return shop.machine(chance.randrange(shop.size.machines))


def _name(chance: Random, shop: Shop) -> str:
    return chance.choice(_machine(chance, shop).customer.lower().split())


def _whole_name(chance: Random, shop: Shop) -> str:
    return _machine(chance, shop).customer


def _misspelt(chance: Random, shop: Shop) -> str:
    return shop_words.mistyped(chance, _machine(chance, shop).customer.split()[-1].lower())


def _phone_tail(chance: Random, shop: Shop) -> str:
    return _machine(chance, shop).phone[-4:]


def _phone(chance: Random, shop: Shop) -> str:
    return _machine(chance, shop).phone


def _serial_piece(chance: Random, shop: Shop) -> str:
    serial = _machine(chance, shop).serial
    start = chance.randrange(len(serial) - 5)
    return serial[start : start + 5]


def _tag(chance: Random, shop: Shop) -> str:
    return _machine(chance, shop).tag


def _engine(chance: Random, shop: Shop) -> str:
    return _machine(chance, shop).engine


def _said(chance: Random, _shop: Shop) -> str:
    words = shop_words.said(chance, chance.choice(list(shop_words.SAYINGS)))
    return " ".join(words.split()[: chance.randrange(1, 4)])


def _unit(chance: Random, _shop: Shop) -> str:
    return chance.choice(shop_words.UNITS)


def _name_and_unit(chance: Random, shop: Shop) -> str:
    machine = _machine(chance, shop)
    return f"{machine.customer.split()[-1]} {machine.unit}"


KINDS = (
    _name,
    _whole_name,
    _misspelt,
    _phone_tail,
    _phone,
    _serial_piece,
    _tag,
    _engine,
    _said,
    _unit,
    _name_and_unit,
)


# --- databases ------------------------------------------------------------------------------------


def _sqlite_places(folder: Path, name: str) -> str:
    return str(folder / f"{name}.db")


def _sqlite_plain(location: str) -> Driver:
    return sqlite3.connect(location, isolation_level=None)


def _postgres_plain(location: str) -> Driver:
    plain = location.replace("postgresql+psycopg://", "postgresql://")
    return psycopg.connect(plain, autocommit=True)
