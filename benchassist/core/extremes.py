"""Rows of a log joined to fewer rows: the lowest and highest of each group, gaps kept.

A row is a time, a low and a high. nan is a gap: what follows is not joined to what came before.
+inf in high is an overload, in low too where nothing but overloads was seen.
"""

import numpy as np

from benchassist.core.samples import Column

Rows = tuple[Column, Column, Column]
"""Times in seconds (rising), lows, highs; of one length."""


def joined(rows: Rows, starts: "np.ndarray[tuple[int], np.dtype[np.intp]]") -> Rows:
    """One row a group; group i runs from row `starts[i]` to the next start, the last to the end.

    `starts` rises and begins with 0. A group's time is its first row's. A gap inside a group that
    goes on after it is left out; one at its end becomes a row of its own, at the gap's time.
    """
    t_s, low, high = rows
    if not len(starts):
        return rows
    lows = np.fmin.reduceat(low, starts)
    highs = np.fmax.reduceat(high, starts)
    times = t_s[starts]
    ends = np.append(starts[1:], len(t_s)) - 1
    broken = np.isnan(high[ends]) & ~np.isnan(highs)
    if not broken.any():
        return times, lows, highs
    places = np.flatnonzero(broken) + 1
    return (
        np.insert(times, places, t_s[ends[broken]]),
        np.insert(lows, places, np.nan),
        np.insert(highs, places, np.nan),
    )
