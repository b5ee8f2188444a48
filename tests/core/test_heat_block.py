"""A log fed in blocks is found the same as one fed sample by sample."""

from itertools import pairwise
from math import inf, nan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchassist.core.heat_run import HeatRun
from benchassist.core.run import HeatedPart
from benchassist.core.run_finding import HeatEvent, HeatFinding
from benchassist.core.samples import Column, Samples
from tests.benchmarks.heat_log import METERS, Fault, HeatLog, heat_log


def one_by_one(
    part: HeatedPart, samples: Samples, celsius: Column
) -> tuple[list[HeatEvent], HeatFinding]:
    """What is told, and found at the end, of single samples."""
    run, told = HeatRun(part, cold_celsius=21.0), []
    columns = (samples.t_s, samples.value, samples.resolution, celsius)
    for t_s, value, resolution, warm in zip(*(c.tolist() for c in columns), strict=True):
        ohms = None if value == inf else value
        told += run.feed(t_s, ohms, resolution, None if warm != warm else warm)  # noqa: PLR0124  nan
    return told, run.finding()


def in_blocks(
    part: HeatedPart, samples: Samples, celsius: Column, cuts: list[float]
) -> tuple[list[HeatEvent], HeatFinding]:
    """The same of blocks, cut at some shares of the log."""
    run, told = HeatRun(part, cold_celsius=21.0), []
    places = sorted({0, len(samples), *(int(cut * len(samples)) for cut in cuts)})
    for start, end in pairwise(places):
        block = Samples(
            samples.t_s[start:end], samples.value[start:end], samples.resolution[start:end]
        )
        told += run.feed_block(block, celsius[start:end])
    return told, run.finding()


def thinned(celsius: Column, every: int) -> Column:
    """A temperature now and then; none at all for 0."""
    kept = np.full(len(celsius), nan)
    if every:
        kept[::every] = celsius[::every]
    return kept


def troubled(log: HeatLog, seed: int, bursts: int) -> Samples:
    """The log with bursts of bad contact: values that jump, overloads among them."""
    rng = np.random.default_rng(seed)
    value = log.samples.value.copy()
    for _ in range(bursts):
        start, length = int(rng.integers(0, len(value) - 60)), int(rng.integers(1, 50))
        burst = value[start : start + length] * rng.uniform(0.5, 3.0, length)
        burst[rng.random(length) < 0.3] = inf
        value[start : start + length] = burst
    return Samples(log.samples.t_s, value, log.samples.resolution)


@settings(max_examples=60, deadline=None)
@given(
    seed=st.integers(0, 10_000),
    meter=st.sampled_from(METERS),
    fault=st.sampled_from(Fault),
    step=st.sampled_from((0.02, 0.05, 0.3, 4.0)),
    faster=st.sampled_from((6.0, 30.0)),
    part=st.sampled_from((HeatedPart.WINDING, HeatedPart.CAP, HeatedPart.PATH)),
    every=st.sampled_from((0, 1, 3, 100)),
    bursts=st.integers(0, 8),
    cuts=st.lists(st.floats(0.0, 1.0), max_size=5),
)
def test_blocks_and_single_samples_find_the_same(  # noqa: PLR0917  Hypothesis names them
    seed: int,
    meter: int,
    fault: Fault,
    step: float,
    faster: float,
    part: HeatedPart,
    every: int,
    bursts: int,
    cuts: list[float],
) -> None:
    """Whatever the log and wherever it is cut, every event told and the finding are equal."""
    log = heat_log(seed, meter, fault, step=step, faster=faster)
    samples, celsius = troubled(log, seed, bursts), thinned(log.celsius, every)
    assert in_blocks(part, samples, celsius, cuts) == one_by_one(part, samples, celsius)


def test_a_long_quiet_log_is_found_the_same() -> None:
    """A log at life's pace, most of it taken in as whole stretches."""
    log = heat_log(4, METERS[2], Fault.OPEN)
    whole = in_blocks(HeatedPart.WINDING, log.samples, log.celsius, [])
    assert whole == one_by_one(HeatedPart.WINDING, log.samples, log.celsius)
    assert whole[1].reproduced


def test_no_samples_are_no_run() -> None:
    """An empty block changes nothing."""
    run = HeatRun(HeatedPart.WINDING)
    assert run.feed_block(Samples.none(), np.empty(0)) == ()
    assert run.finding() == HeatRun(HeatedPart.WINDING).finding()


def junk(rng: np.random.Generator) -> tuple[Samples, Column]:
    """Columns no meter would send: times that stand or go back, no numbers, wild temperatures."""
    count = int(rng.integers(0, 400))
    steps = rng.choice((0.0, 0.1, 0.2, 5.0, 100.0, -1.0), count, p=(0.1, 0.5, 0.2, 0.1, 0.05, 0.05))
    value = rng.choice((0.0, 0.3, 7000.0, -5.0)) + rng.normal(0.0, rng.choice((0.0, 50.0)), count)
    bad = rng.random(count) < rng.choice((0.0, 0.05, 0.6))
    value[bad] = rng.choice((inf, nan, -inf, 0.0))
    celsius = rng.choice((20.0, 90.0, nan, inf, -300.0, 1e6, 25.3), count)
    return Samples(np.cumsum(steps), value, rng.choice((nan, 0.1, 10.0, 0.0), count)), celsius


@pytest.mark.parametrize("seed", range(60))
def test_junk_is_taken_in_without_an_error(seed: int) -> None:
    """Whatever comes, nothing is raised, and blocks and single samples agree."""
    rng = np.random.default_rng(seed)
    samples, celsius = junk(rng)
    part = tuple(HeatedPart)[seed % 4]
    cuts = rng.random(3).tolist()
    assert in_blocks(part, samples, celsius, cuts) == one_by_one(part, samples, celsius)
