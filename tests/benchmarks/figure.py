"""A figure, what it is held against, and how a time is taken."""

import gc
import sys
from collections.abc import Callable
from dataclasses import dataclass
from itertools import chain
from statistics import median, quantiles
from time import perf_counter
from typing import Literal

# A middle half wider than this times its lower edge tells of a machine that was busy meanwhile.
RESTLESS = 1.5


@dataclass(frozen=True, slots=True)
class Aim:
    """What a figure should reach: a limit on our own value or on the ratio."""

    limit: float
    on: Literal["ours", "ratio"] = "ratio"
    at_least: bool = False

    def holds(self, value: float) -> bool:
        """Return whether the value reaches the limit."""
        return value >= self.limit if self.at_least else value <= self.limit

    def __str__(self) -> str:
        side = "at least" if self.at_least else "at most"
        return f"{self.on} {side} {self.limit:g}"


@dataclass(frozen=True, slots=True)
class Figure:
    """One line of the table: our value, a baseline's in the same run, and the aim.

    `ours` and `baseline` are in `unit`; `ratio` is ours to baseline unless the note says otherwise.
    """

    name: str
    ours: float
    baseline: float | None = None
    ratio: float | None = None
    aim: Aim | None = None
    unit: str = "s"
    note: str = ""

    @property
    def verdict(self) -> str:
        """Return whether the aim is reached, in words; empty without an aim."""
        if self.aim is None:
            return ""
        value = self.ours if self.aim.on == "ours" else self.ratio
        if value is None:
            return "not measured"
        return "holds" if self.aim.holds(value) else "falls short"


@dataclass(frozen=True, slots=True)
class SideBySide:
    """Two medians in seconds, taken in turns in one run, and ours to the baseline."""

    ours: float
    baseline: float

    @property
    def ratio(self) -> float:
        """Return ours divided by the baseline."""
        return self.ours / self.baseline


def median_time(call: Callable[[], object], repeat: int, *, inner: int = 1) -> float:
    """Return the median time of one call in seconds, over `repeat` rounds of `inner` calls."""
    return settled(getattr(call, "__name__", "call"), [one(call, inner) for _ in range(repeat)])


def side_by_side(
    ours: Callable[[], object], baseline: Callable[[], object], repeat: int, *, inner: int = 1
) -> SideBySide:
    """Return both medians, taken in turns so that a drift of the machine meets both alike."""
    pairs = [(one(ours, inner), one(baseline, inner)) for _ in range(repeat)]
    first, second = zip(*pairs, strict=True)
    return SideBySide(settled("ours", list(first)), settled("baseline", list(second)))


def one(call: Callable[[], object], inner: int) -> float:
    """Return the time of one call in seconds, the mean of `inner` in a row without collection."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        start = perf_counter()
        for _ in range(inner):
            call()
        return (perf_counter() - start) / inner
    finally:
        if collecting:
            gc.enable()


def settled(name: str, times: list[float]) -> float:
    """Return the median; say so on standard error where the times scatter too far to trust it."""
    if len(times) > 3:
        low, _, high = quantiles(times, n=4)
        if high > RESTLESS * low:
            print(
                f"{name}: the middle half of {len(times)} rounds spans "
                f"{low:.3g} to {high:.3g} s; the machine was busy, run this again",
                file=sys.stderr,
            )
    return median(times)


HEADINGS = ("figure", "ours", "baseline", "ratio", "unit", "aim", "", "note")


def table(figures: list[Figure]) -> str:
    """Return the figures as aligned lines under a heading."""
    rows = [HEADINGS, *map(row, figures)]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    aligned = (
        "  ".join(
            cell.rjust(width) if 1 <= place <= 3 else cell.ljust(width)
            for place, (cell, width) in enumerate(zip(cells, widths, strict=True))
        ).rstrip()
        for cells in rows
    )
    first = next(aligned)
    return "\n".join(chain((first, "-" * len(first)), aligned))


def row(figure: Figure) -> tuple[str, ...]:
    """Return the cells of one figure."""
    return (
        figure.name,
        number(figure.ours),
        number(figure.baseline),
        number(figure.ratio),
        figure.unit,
        str(figure.aim or ""),
        figure.verdict,
        figure.note,
    )


def number(value: float | None) -> str:
    """Return a value to four figures; empty where there is none."""
    return "" if value is None else f"{value:.4g}"
