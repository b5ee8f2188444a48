"""What is on disk of a run, told to a work again in the order in which it happened."""

from collections.abc import Sequence
from itertools import pairwise
from math import isfinite

import numpy as np

from benchassist.core.entry import RunMarked
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.run import RunGap
from benchassist.core.samples import Samples
from benchassist.errors import NotFoundError
from benchassist.services.needs import RunStore
from benchassist.services.runs.work import RunWork
from benchassist.units import display_unit

CHANNELS = ("B", "A")
"""In each stretch the thermometer is told before what it is the temperature of."""
LEAST_HOLE = 5.0
"""Seconds without a sample that are a hole whatever the meter's pace."""
HOLE_PERIODS = 8.0


def play_back(
    work: RunWork, store: RunStore | None, run_id: str, marks: Sequence[RunMarked]
) -> float:
    """Feed a work with a run on disk; returns the second at which the run last gave a sign."""
    columns, gaps = on_disk(store, run_id)
    for channel, samples in columns.items():
        gaps += [g for g in holes(channel, samples) if not _covered(g, gaps)]
    turns: list[tuple[float, int, RunMarked | RunGap]] = [(m.t_s, 1, m) for m in marks]
    turns = sorted([*turns, *((g.end_s, 0, g) for g in gaps)], key=lambda turn: turn[:2])
    edges = [float("-inf"), *(t for t, _kind, _what in turns), float("inf")]
    for (start_s, end_s), turn in zip(pairwise(edges), [*turns, None], strict=True):
        for channel, samples in columns.items():
            part = between(samples, start_s, end_s)
            if len(part):
                work.take_block(channel, part)
        what = turn[2] if turn is not None else None
        if isinstance(what, RunMarked):
            work.mark(what)
        elif what is not None:
            work.gap(what)
    ends = [float(s.t_s[-1]) for s in columns.values() if len(s)]
    return max([0.0, *ends, *(m.t_s for m in marks)])


def on_disk(store: RunStore | None, run_id: str) -> tuple[dict[str, Samples], list[RunGap]]:
    """The samples of a run by channel and its gaps; nothing where it left nothing."""
    if store is None:
        return {}, []
    columns = {}
    for channel in CHANNELS:
        try:
            samples = store.run_samples(run_id, channel, start_s=0.0)
        except NotFoundError:
            continue
        if len(samples):
            columns[channel] = samples
    try:
        gaps = list(store.run_gaps(run_id))
    except NotFoundError:
        gaps = []
    return columns, gaps


def between(samples: Samples, start_s: float, end_s: float) -> Samples:
    """The samples later than `start_s` and not later than `end_s`."""
    first, last = np.searchsorted(samples.t_s, (start_s, end_s), side="right")
    part = slice(first, last)
    return Samples(samples.t_s[part], samples.value[part], samples.resolution[part])


def holes(channel: str, samples: Samples) -> list[RunGap]:
    """Where samples are missing for far longer than the meter's own pace."""
    steps = np.diff(samples.t_s)
    if not len(steps):
        return []
    least = max(LEAST_HOLE, HOLE_PERIODS * float(np.median(steps)))
    return [
        RunGap(
            channel=channel,
            start_s=float(samples.t_s[i]),
            end_s=float(samples.t_s[i + 1]),
            reason="lost",
        )
        for i in np.flatnonzero(steps > least)
    ]


def _covered(hole: RunGap, gaps: Sequence[RunGap]) -> bool:
    """Whether a hole is known already, with its reason."""
    return any(
        g.channel == hole.channel and g.start_s < hole.end_s and g.end_s > hole.start_s
        for g in gaps
    )


def reading_of(samples: Samples, place: int) -> Reading:
    """A sample of channel A, in ohms, as the reading it was, as far as that was kept."""
    value, resolution = float(samples.value[place]), float(samples.resolution[place])
    overload = not isfinite(value)
    return Reading(
        t_s=float(samples.t_s[place]),
        channel="A",
        quantity=Quantity.RESISTANCE,
        value=None if overload else value,
        resolution=resolution if isfinite(resolution) else None,
        overload=overload,
        exponent=0 if overload else display_unit(value, Quantity.RESISTANCE).exponent,
    )
