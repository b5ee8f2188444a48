"""Machine file, counter and start-up in a tenth of a shop of twenty years, on both databases.

`twenty_years` measures the whole one and what it costs more.
"""

from collections.abc import Iterator

from tests.benchmarks.figure import Aim, Figure
from tests.benchmarks.shop_plan import TENTH
from tests.benchmarks.shop_times import ShopTimes, at, measured, shop_files, shops_on_server

FILE_S = 0.15
RATIO = 1.5


def figures() -> Iterator[Figure]:
    """Both databases."""
    for name, shops in (("SQLite", shop_files), ("PostgreSQL", shops_on_server)):
        with shops(TENTH) as locations:
            (times,) = measured(locations)
        yield from told(name, times)


def told(database: str, times: ShopTimes) -> Iterator[Figure]:
    """The figures of one shop."""
    file = times.machine_file
    yield Figure(
        name=f"machine file, p95, {database}",
        ours=at(95, file.ours),
        aim=Aim(FILE_S, on="ours"),
        note=f"median {at(50, file.ours) * 1e3:.3g} ms, longest {max(file.ours) * 1e3:.3g} ms; "
        "machines drawn by their visits, as they are looked up",
    )
    for name, one in (
        ("machine file", file),
        ("a machine's visits", times.history),
        ("a visit", times.visit),
        ("open visits", times.open_visits),
        ("next slip number", times.slip),
        ("every visit listed", times.every_visit),
    ):
        yield beside(f"{name}: its SQL, {database}", one.sent, one.plain, SENT)
    for name, one in (
        ("machine file", file),
        ("a machine's visits", times.history),
        ("a visit", times.visit),
        ("every visit listed", times.every_visit),
    ):
        yield beside(f"{name}: all of it, {database}", one.ours, one.parsed, PARSED)
    yield Figure(
        name=f"counter, {database}",
        ours=at(50, times.counter),
        note=f"nothing typed, open slips shown; p95 {at(95, times.counter) * 1e3:.3g} ms",
    )
    yield Figure(
        name=f"start to the counter, {database}",
        ours=at(50, times.start),
        note="shop opened and the first view made, modules loaded before",
    )


SENT = "as the program sends it, rows fetched; against the same through the driver alone"
PARSED = "objects and words made of it; against the driver alone and its JSON parsed"


def beside(name: str, ours: list[float], baseline: list[float], note: str) -> Figure:
    """What so many of a hundred answers do not pass, ours and a baseline's; the median noted."""
    late, plain, usual = at(95, ours), at(95, baseline), at(50, ours)
    return Figure(
        name=name,
        ours=late,
        baseline=plain,
        ratio=late / plain,
        aim=Aim(RATIO),
        note=f"p95; {note}; median {usual * 1e3:.2g} ms, {usual / at(50, baseline):.2f}",
    )
