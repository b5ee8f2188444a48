"""A whole shop of twenty years, and what it costs more than a tenth of it; takes minutes.

Drawing it takes two to five of them the first time; it is kept in the temporary folder.
"""

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing
from functools import partial
from pathlib import Path
from time import perf_counter

from benchassist.storage.backup import back_up
from benchassist.storage.integrity import fault
from tests.benchmarks.bench_first_paint import window
from tests.benchmarks.bench_shop import told
from tests.benchmarks.figure import Aim, Figure, side_by_side
from tests.benchmarks.shop_plan import FULL, TENTH
from tests.benchmarks.shop_times import ShopTimes, at, measured, shop_files, shops_on_server

GROWTH = 2.0
UNAFFECTED = 1.1
WINDOWS = 9


def figures() -> Iterator[Figure]:
    """Both databases at both sizes, then the file's backup, its look-through and the window."""
    for name, shops in (("SQLite", shop_files), ("PostgreSQL", shops_on_server)):
        with shops(TENTH, FULL) as locations:
            tenth, full = measured(locations)
        yield from told(name, full)
        yield from grown(name, tenth, full)
    with shop_files(FULL) as (location,):
        path = Path(location)
        yield backup_of(path)
        yield look_through(path)
        yield from window_with(path)


def grown(database: str, tenth: ShopTimes, full: ShopTimes) -> Iterator[Figure]:
    """What ten times as much costs more."""
    for name, before, after, percent in (
        ("machine file, p95", tenth.machine_file.ours, full.machine_file.ours, 95),
        ("machine file, median", tenth.machine_file.ours, full.machine_file.ours, 50),
        ("a visit opened", tenth.visit.ours, full.visit.ours, 50),
        ("open visits", tenth.open_visits.ours, full.open_visits.ours, 50),
        ("next slip number", tenth.slip.ours, full.slip.ours, 50),
        ("counter", tenth.counter, full.counter, 50),
        ("start to the counter", tenth.start, full.start, 50),
    ):
        small, large = at(percent, before), at(percent, after)
        yield Figure(
            name=f"{name}, a tenth to full, {database}",
            ours=large,
            baseline=small,
            ratio=large / small,
            aim=Aim(GROWTH),
            note=f"{TENTH.visits:,} to {FULL.visits:,} visits",
        )


def window_with(path: Path) -> Iterator[Figure]:
    """The program's window with the full shop as its file, against one with nothing in it."""
    homes = path.with_name("home with all"), path.with_name("home with nothing")
    for home in homes:
        (home / "benchassist").mkdir(parents=True)
    path.rename(homes[0] / "benchassist" / "shop.sqlite")
    for what in ("", "--ready"):
        for home in homes:
            window(what, home)
        found = side_by_side(
            partial(window, what, homes[0]), partial(window, what, homes[1]), WINDOWS
        )
        yield Figure(
            name="counter ready, the full shop" if what else "first paint, the full shop",
            ours=found.ours,
            baseline=found.baseline,
            ratio=found.ratio,
            aim=Aim(UNAFFECTED),
            note="from the start of the process; against the same with an empty shop",
        )


def backup_of(path: Path) -> Figure:
    """A backup with its verification, told as it goes, against SQLite's own copy alone."""
    told_at, steps = list[float](), list[tuple[int, int]]()

    def progress(done: int, pages: int) -> None:
        told_at.append(perf_counter())
        steps.append((done, pages))

    plain = path.with_name("plain.sqlite")
    start = perf_counter()
    with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(plain)) as target:
        source.backup(target, pages=512)
    plainly = perf_counter() - start
    plain.unlink()
    start = perf_counter()
    made = back_up(path, path.with_name("backup.sqlite"), progress)
    ours = perf_counter() - start
    quietest = max(b - a for a, b in zip([start, *told_at], told_at, strict=False))
    if steps[-1][0] != steps[-1][1] or made.visits != FULL.visits:
        raise RuntimeError("the backup did not tell its end, or holds something else")
    made.file.unlink()
    return Figure(
        name="backup of the full shop, verified",
        ours=ours,
        baseline=plainly,
        ratio=ours / plainly,
        note=f"{made.bytes / 1e6:,.0f} MB, told {len(steps)} times, {quietest:.2g} s apart at "
        "most; against a copy that nobody verifies",
    )


def look_through(path: Path) -> Figure:
    """The check at start, and what a reader beside it waits at most."""
    waits, ended = list[float](), threading.Event()

    def ask() -> None:
        with closing(sqlite3.connect(path)) as connection:
            while len(waits) < 3 or not ended.is_set():
                start = perf_counter()
                connection.execute("SELECT count(*) FROM visit WHERE closed_at IS NULL").fetchall()
                waits.append(perf_counter() - start)
                ended.wait(0.02)

    beside = threading.Thread(target=ask)
    beside.start()
    start = perf_counter()
    found = fault(path, quick=True)
    took = perf_counter() - start
    ended.set()
    beside.join()
    if found is not None:
        raise RuntimeError(found)
    return Figure(
        name="check at start of the full shop",
        ours=took,
        note=f"in a thread of its own; a question beside it: median {at(50, waits) * 1e3:.2g} ms, "
        f"p95 {at(95, waits) * 1e3:.2g} ms",
    )
