"""When a drawn shop's machines came, with what, and how many readings were taken then."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final

import numpy as np
from numpy.typing import NDArray

Whole = NDArray[np.int64]

FIRST_DAY: Final = datetime(2005, 1, 3, tzinfo=UTC)
YEARS: Final = 20
STILL_OPEN: Final = 12
"""The last visits are on the bench."""

WEIGHTS: Final = {"A": 46, "B": 12, "C": 10, "D": 12, "E": 6, "F": 4, "unknown": 10}
"""How common the engine classes are, in percent."""

COMPLAINTS: Final = {
    "quits_hot": 16,
    "no_start": 16,
    "hard_start": 10,
    "surges": 12,
    "misfires_under_load": 10,
    "no_idle_down": 4,
    "no_shut_off": 3,
    "backfires": 5,
    "service": 24,
}
"""How common the complaints are, in percent."""

WITH_RUN: Final = frozenset({"quits_hot", "misfires_under_load", "surges", "backfires", "service"})
"""Complaints whose procedure logs a heat or an engine run on every engine class."""

OFTEN: Final = (0.01, 24, 37)
"""A share of the machines that comes so many times: hired out, or a contractor's."""
NOW_AND_THEN: Final = (0.07, 8, 15)
SELDOM: Final = (2, 7)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopSize:
    """How much is in a shop."""

    name: str
    machines: int
    visits: int
    readings: int
    runs: int


FULL: Final = ShopSize(name="full", machines=12_000, visits=50_000, readings=1_000_000, runs=2_000)
TENTH: Final = ShopSize(name="tenth", machines=1_200, visits=5_000, readings=100_000, runs=200)
SMALL: Final = ShopSize(name="small", machines=12, visits=80, readings=1_600, runs=8)
"""For tests."""


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """Columns over all visits in the order in which they were opened, from number 0.

    `opened_s` are seconds after FIRST_DAY, `run` counts the runs (-1: a visit without one).
    `engine_class` is by machine.
    """

    machine: Whole
    opened_s: Whole
    complaint: tuple[str, ...]
    readings: Whole
    run: Whole
    engine_class: tuple[str, ...]

    def opened_at(self, number: int) -> datetime:
        """When a visit was opened."""
        return FIRST_DAY + timedelta(seconds=int(self.opened_s[number]))

    def of_machine(self) -> list[Whole]:
        """The numbers of each machine's visits, in order."""
        order = np.argsort(self.machine, kind="stable")
        counts = np.bincount(self.machine, minlength=len(self.engine_class))
        return np.split(order, np.cumsum(counts)[:-1])

    def is_open(self, number: int) -> bool:
        """Whether a visit is still on the bench."""
        return number >= len(self.machine) - STILL_OPEN


def plan(size: ShopSize, seed: int) -> Plan:
    """Return a shop's plan; the same seed gives the same plan."""
    chance = np.random.default_rng((seed, size.visits))
    machine = np.repeat(np.arange(size.machines), _times(chance, size))
    opened = _moments(chance, machine, size.machines)
    order = np.argsort(opened, kind="stable")
    names, weights = list(COMPLAINTS), np.array(list(COMPLAINTS.values()), float)
    complaint = tuple(names[i] for i in chance.choice(len(names), size.visits, p=weights / 100.0))
    run = np.full(size.visits, -1)
    able = np.flatnonzero([name in WITH_RUN for name in complaint])
    run[np.sort(chance.choice(able, size.runs, replace=False))] = np.arange(size.runs)
    classes, shares = list(WEIGHTS), np.array(list(WEIGHTS.values()), float)
    return Plan(
        machine=machine[order],
        opened_s=opened[order],
        complaint=complaint,
        readings=_spread(chance, size),
        run=run,
        engine_class=tuple(
            classes[i] for i in chance.choice(len(classes), size.machines, p=shares / 100.0)
        ),
    )


def _times(chance: np.random.Generator, size: ShopSize) -> Whole:
    """How often each machine comes, all visits together."""
    times = chance.integers(*SELDOM, size.machines)
    start = 0
    for share, least, most in (OFTEN, NOW_AND_THEN):
        count = max(1, round(share * size.machines))
        times[start : start + count] = chance.integers(least, most, count)
        start += count
    # Made up at the machines that seldom come, one visit a machine and round.
    seldom = np.arange(start, size.machines)
    while (missing := size.visits - int(times.sum())) != 0:
        able = seldom if missing > 0 else seldom[times[seldom] > 1]
        chosen = chance.permutation(able)[: abs(missing)]
        times[chosen] += np.sign(missing)
    return chance.permutation(times)


def _moments(chance: np.random.Generator, machine: Whole, machines: int) -> Whole:
    """When each visit is opened, in working hours; a machine's visits lie days apart."""
    days = YEARS * 365
    first = chance.integers(0, days - 400, machines)
    # What comes often is worked hard: its visits fall into the years after its first one.
    day = first[machine] + (chance.random(len(machine)) * (days - first[machine])).astype(np.int64)
    order = np.lexsort((day, machine))
    day = day[order]
    for _ in range(8):
        same = machine[order][1:] == machine[order][:-1]
        day[1:][same & (day[1:] - day[:-1] < 4)] += 5
        resort = np.lexsort((day, machine[order]))
        day = day[resort]
    seconds = chance.integers(8 * 3600, 17 * 3600, len(machine))
    return np.asarray(day * 86_400 + seconds)


def _spread(chance: np.random.Generator, size: ShopSize) -> Whole:
    """How many readings each visit takes, all together as many as there are to be."""
    mean = size.readings / size.visits
    counts = np.clip(np.rint(chance.normal(mean, mean / 4.0, size.visits)), 8, 2.0 * mean)
    counts = counts.astype(np.int64)
    while (missing := size.readings - int(counts.sum())) != 0:
        chosen = chance.choice(size.visits, min(abs(missing), size.visits), replace=False)
        counts[chosen] += np.sign(missing)
    return counts
