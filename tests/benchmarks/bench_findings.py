"""How well the shipped causes rank, and what the next best test saves against a fixed checklist.

Ranks and calibration over the invented case histories, each stage once. What is expected of them
was written before any weight; the weights were then set with the histories in sight, so this says
that the book is consistent with them, not how it does on others.

The drawn visits say what the order of tests is worth if the book is right: evidence is drawn from
its own likelihoods, independent given the cause. The checklist is the complaint's procedure in its
order, then what is stated by hand, then whatever takes an hour or more (heat runs, swaps). Both
orders may make the same tests; minutes are those of the book, the interview is free.
"""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from benchassist.core.cause import CauseBook
from benchassist.core.ranking import rank
from tests.benchmarks.figure import Aim, Figure
from tests.benchmarks.visit_draw import Table, Worked, draw, fixed, next_best, work
from tests.specbook.history import cases, cause_book, seen
from tests.specbook.shelf import COMPLAINTS, procedure

SEED = 20261125
VISITS = 1500
ENGINE = "A"
LONG = 60.0
BINS = (0.0, 0.2, 0.5, 0.8, 1.0)


def figures() -> Iterator[Figure]:
    """Ranks and calibration on the histories, then minutes on drawn visits of each complaint."""
    yield from of_histories()
    every: list[tuple[Worked, Worked]] = []
    for complaint in COMPLAINTS:
        book = cause_book(complaint, ENGINE)
        if not book.causes:
            continue
        pairs = worked(book)
        every += pairs
        yield minutes(complaint, pairs)
    yield minutes("all complaints", every, Aim(1.0))
    yield from of_all(every)


def of_all(every: list[tuple[Worked, Worked]]) -> Iterator[Figure]:
    """How many visits are settled, in what time, and whether rightly."""
    for least in (15.0, 30.0, 60.0):
        ours, baseline = (
            100.0 * float(np.mean([one.settled and one.minutes <= least for one in side]))
            for side in zip(*every, strict=True)
        )
        yield Figure(
            f"drawn visits: settled within {least:.0f} min",
            ours,
            baseline,
            ours / baseline,
            Aim(1.0, at_least=True),
            "%",
            f"of {len(every)}; baseline the checklist",
        )
    settled = [one for one, _other in every if one.settled]
    yield Figure(
        "drawn visits: settled at all",
        100.0 * len(settled) / len(every),
        unit="%",
        note="the rest ran out of tests below 90 %: nothing in band clears a part",
    )
    yield Figure(
        "drawn visits: right where settled",
        100.0 * sum(one.right for one in settled) / len(settled),
        unit="%",
        aim=Aim(90.0, on="ours", at_least=True),
        note="the first cause is the one drawn; 90 % and more is what its share says",
    )


def of_histories() -> Iterator[Figure]:
    """Mean rank of the true causes at the last stage, shares against how often they were right."""
    claims: list[tuple[float, bool]] = []
    places: list[int] = []
    firsts = stages = 0
    for case in cases():
        book = cause_book(case.complaint, case.engine_class)
        order: list[str] = []
        for stage in case.stages:
            ranking = rank(book, seen(book, stage.known))
            claims += [(one.share, one.cause in case.causes) for one in ranking.ranked]
            order = [one.cause for one in ranking.ranked]
            firsts += bool(case.causes) and order[0] in case.causes
            stages += bool(case.causes)
        places += [order.index(cause) + 1 for cause in case.causes]
    yield Figure(
        "histories: rank of the true cause at the end",
        float(np.mean(places)),
        unit="mean",
        note=f"{places.count(1)} of {len(places)} first, worst {max(places)}",
    )
    yield Figure(
        "histories: a true cause stands first",
        100.0 * firsts / stages,
        unit="%",
        note=f"{firsts} of {stages} stages, from the interview alone to the end",
    )
    for low, high in pairwise(BINS):
        inside = [(share, right) for share, right in claims if low < share <= high]
        if inside:
            yield Figure(
                f"histories: share {100 * low:.0f} to {100 * high:.0f} %, how often true",
                100.0 * float(np.mean([right for _share, right in inside])),
                100.0 * float(np.mean([share for share, _right in inside])),
                unit="%",
                note=f"{len(inside)} shares; baseline is their mean",
            )


def worked(book: CauseBook, visits: int = VISITS) -> list[tuple[Worked, Worked]]:
    """The same drawn visits in both orders."""
    table, rng = Table.of(book), np.random.default_rng(SEED)
    checklist = fixed(in_order(book))
    drawn = [draw(table, rng) for _ in range(visits)]
    return [(work(table, one, next_best), work(table, one, checklist)) for one in drawn]


def in_order(book: CauseBook) -> list[str]:
    """Evidence in the order of the procedure's checks and steps, then by hand, long ones last."""
    checks = procedure(book.complaint, ENGINE).checks
    steps = [
        source
        for check in checks
        for source in (
            [f"drill:{step.key}" for step in check.run.drill]
            if check.run is not None and check.run.drill
            else [f"{kind}:{check.key}" for kind in ("look", "reading", "run")]
        )
    ]
    place = {source: number for number, source in enumerate(steps)}
    ordered = sorted(
        book.evidence,
        key=lambda one: (one.minutes >= LONG, place.get(one.source, len(place))),
    )
    return [one.key for one in ordered]


def minutes(name: str, pairs: list[tuple[Worked, Worked]], aim: Aim | None = None) -> Figure:
    """Mean bench minutes to 90 %, over the visits that both orders settle."""
    both = [(one, other) for one, other in pairs if one.settled and other.settled]
    ours = float(np.mean([one.minutes for one, _other in both]))
    baseline = float(np.mean([other.minutes for _one, other in both]))
    tests = float(np.mean([one.tests for one, _other in both]))
    return Figure(
        f"minutes to 90 %: {name}",
        ours,
        baseline,
        ours / baseline,
        aim,
        "min",
        f"{len(both)} of {len(pairs)} drawn visits; baseline the checklist; {tests:.1f} tests",
    )
