"""Times of a log that stand still: a meter read four times a second, printed in whole seconds."""

from dataclasses import replace

import numpy as np

from benchassist.core.samples import Column, Samples
from benchassist.services.runs.file import RunFile


def evened(log: RunFile) -> RunFile:
    """The log with rows of one time spread evenly up to the next time, and how many those were.

    The order of the rows says more than their times: analyses that go by time would leave out all
    but the first of them. Where all rows have one time it stays as it is.
    """
    t_s = log.samples.t_s
    spread = even_times(t_s)
    if spread is t_s:
        return log
    samples = Samples(spread, log.samples.value, log.samples.resolution)
    return replace(log, samples=samples, spread=int(np.count_nonzero(spread != t_s)))


def even_times(t_s: Column) -> Column:
    """Rising times without two alike; never past the next one, nor further than times usually are.

    The same column where none are alike, or all are.
    """
    if len(t_s) < 2:
        return t_s
    firsts = np.flatnonzero(np.concatenate(([True], t_s[1:] > t_s[:-1])))
    if len(firsts) in {1, len(t_s)}:
        return t_s
    counts = np.diff(np.append(firsts, len(t_s)))
    steps = np.diff(t_s[firsts])
    usual = float(np.median(steps))
    room = np.minimum(np.append(steps, usual), usual)
    place = np.arange(len(t_s)) - np.repeat(firsts, counts)
    spread: Column = t_s + place * np.repeat(room / counts, counts)
    return spread
