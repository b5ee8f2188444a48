"""A channel of a run as its writer sees it: the tail that grows, the gap that is open."""

from dataclasses import replace

import numpy as np

from benchassist.core.run import RunGap
from benchassist.storage.chunk import TICKS_PER_SECOND, Chunk
from benchassist.storage.dial import Dial

GATHER_AT = 16384
"""Samples that are gathered into a chunk as soon as they are there."""

GATHER_SLOW = 4096, 1024
"""So many are, once they take up so many rows: a slow meter's tail stays quick to read."""

REASONS = ("", "hold", "function")


class Track:
    """For the writer's thread alone."""

    def __init__(self, channel: str) -> None:
        self.channel = channel
        self.rows = self.samples = 0
        """In the tail, not gathered yet."""
        self._number = 0
        self._last_s: float | None = None
        self._gap: RunGap | None = None

    def number(self) -> int:
        """Return the number of the next row of the tail."""
        self._number += 1
        return self._number

    def is_ripe(self, *, ended: bool) -> bool:
        """Whether its tail is to be gathered now."""
        least, rows = GATHER_SLOW
        return (
            self.samples >= GATHER_AT
            or (self.samples >= least and self.rows >= rows)
            or (ended and self.samples > 0)
        )

    @property
    def is_long(self) -> bool:
        """Whether its tail is so long that gathering goes before writing."""
        return self.samples >= 2 * GATHER_AT

    def was_gathered(self, samples: int) -> None:
        """So many of its tail are in a chunk; 0: there was no tail, another program took it."""
        self.samples = max(0, self.samples - samples) if samples else 0
        self.rows = self.rows if self.samples else 0

    def missing(self, chunk: Chunk, dials: list[Dial]) -> tuple[bool, list[RunGap]]:
        """Go on with the samples that came next.

        Returns the gaps that grew, ended or began, and whether the first was open before. A gap
        begins at the last sample that counts and ends at the next one.
        """
        reasons = np.array([REASONS.index(d.missing) for d in dials])[chunk.dial]
        grows, found = self._gap is not None, list[RunGap]()
        starts = np.flatnonzero(np.diff(reasons, prepend=-1)).tolist()
        for start, end in zip(starts, [*starts[1:], len(chunk)], strict=True):
            first, last = (float(chunk.tick[i]) / TICKS_PER_SECOND for i in (start, end - 1))
            reason = REASONS[reasons[start]]
            since = first if self._last_s is None else self._last_s
            if self._gap is not None:
                ends = self._gap.reason != reason
                since = first if ends else self._gap.start_s
                if ends:
                    found.append(replace(self._gap, end_s=first))
            self._gap = (
                RunGap(channel=self.channel, start_s=since, end_s=last, reason=reason)
                if reason
                else None
            )
            self._last_s = last
        if self._gap is not None:
            found.append(self._gap)
        return grows, found
