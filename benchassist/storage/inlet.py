"""Where the readings of a run come in: in memory, in order, bounded, without waiting for a disk."""

import threading
from array import array
from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import inf, isfinite, nan
from typing import Final

from benchassist.core.reading import Reading
from benchassist.core.run import RunGap
from benchassist.storage.dial import HOLDS, Dial, Function, Key, dial_of, key_of

BLOCK: Final = 8192
"""Samples that are written in one transaction at most."""

ROOM: Final = 600_000
"""Samples kept in memory while the shop is out of reach: ten minutes at 1 kHz, 12 MB."""

DIALS: Final = 4096
"""Settings of meters told apart in one run; further ones lose their resolution and range."""

LONGEST_S: Final = 1e9
"""Seconds that can be kept: thirty years."""


@dataclass(slots=True)
class Block:
    """Samples as they came, whatever their channel; the value of an overload is nan."""

    t_s: "array[float]" = field(default_factory=lambda: array("d"))
    value: "array[float]" = field(default_factory=lambda: array("d"))
    dial: "array[int]" = field(default_factory=lambda: array("H"))

    def __len__(self) -> int:
        """How many samples."""
        return len(self.t_s)


@dataclass(frozen=True, slots=True)
class Portion:
    """What is to be written next: samples, gaps, the dials that were not there before.

    `upto` counts everything that came in, up to and with this.
    """

    block: Block
    gaps: tuple[RunGap, ...]
    dials: tuple[Dial, ...]
    upto: int


@dataclass(slots=True)
class Lane:
    """A channel: where its seconds begin, and where it stands."""

    origin: float
    last_s: float = -inf
    """Time never goes back within a channel."""
    function: Function | None = None
    """What it measures, told by its first reading that was not held."""
    kept_s: float | None = None
    """When its last reading found room, while later ones find none; None while they do."""


class Inlet:
    """Any thread puts in, one takes out. Its lock is held for a few steps, never over a write."""

    def __init__(self, origins: Mapping[str, float]) -> None:
        self._lock = threading.Lock()
        self._origins = dict(origins)
        self._lanes: dict[str, Lane] = {}
        self._dials: list[Dial] = []
        self._numbers: dict[Key, int] = {}
        self._blocks: deque[Block] = deque([Block()])
        self._gaps: list[RunGap] = []
        self._came = self._in_memory = self._dials_taken = 0
        self._ended = False

    @property
    def came(self) -> int:
        """How much came in so far, samples and gaps."""
        return self._came

    @property
    def ended(self) -> bool:
        """Whether nothing more comes in."""
        return self._ended

    @property
    def spills(self) -> bool:
        """Whether readings are being lost because memory is full."""
        return self._in_memory >= ROOM

    @property
    def is_behind(self) -> bool:
        """Whether more waits than one transaction writes."""
        return len(self._blocks) > 1

    def put(self, reading: Reading) -> None:
        """Take in a reading; what comes after the end is left out."""
        key = key_of(reading)
        with self._lock:
            if self._ended:
                return
            lane = self._lanes.get(reading.channel) or self._new_lane(reading.channel)
            t_s, value = reading.t_s - lane.origin, reading.value
            if not (-LONGEST_S < t_s < LONGEST_S and (value is None or isfinite(value))):
                self._spoil(reading.channel, lane)
                return
            if self._in_memory >= ROOM:
                if lane.kept_s is None:
                    lane.kept_s = lane.last_s if isfinite(lane.last_s) else t_s
                lane.last_s = max(t_s, lane.last_s)
                return
            lane.last_s = t_s = max(t_s, lane.last_s)
            if lane.kept_s is not None:
                self._end_spill(reading.channel, lane)
            number = self._numbers.get(key)
            if number is None:
                number = self._number(key, reading, lane)
            block = self._blocks[-1]
            if len(block.t_s) >= BLOCK:
                block = Block()
                self._blocks.append(block)
            block.t_s.append(t_s)
            block.value.append(nan if value is None else value)
            block.dial.append(number)
            self._came += 1
            self._in_memory += 1

    def gap(self, gap: RunGap) -> None:
        """Take in that samples are missing."""
        start_s = max(-LONGEST_S, min(gap.start_s, LONGEST_S))
        end_s = max(start_s, min(gap.end_s, LONGEST_S))
        with self._lock:
            if not self._ended:
                self._keep(replace(gap, start_s=start_s, end_s=end_s))

    def end(self) -> None:
        """Nothing more comes in."""
        with self._lock:
            if not self._ended:
                for channel, lane in self._lanes.items():
                    if lane.kept_s is not None:
                        self._end_spill(channel, lane)
                self._ended = True

    def take(self) -> Portion | None:
        """Take out what comes next, None if there is nothing. It stays in memory until `free`."""
        with self._lock:
            if not self._gaps and not self._blocks[0]:
                return None
            block = self._blocks.popleft()
            if not self._blocks:
                self._blocks.append(Block())
            gaps, self._gaps = tuple(self._gaps), []
            dials = tuple(self._dials[self._dials_taken :])
            self._dials_taken = len(self._dials)
            upto = self._came - sum(map(len, self._blocks))
            return Portion(block, gaps, dials, upto)

    def free(self, portion: Portion) -> None:
        """A portion is on disk: its room is free again."""
        with self._lock:
            self._in_memory -= len(portion.block)

    def _new_lane(self, channel: str) -> Lane:
        lane = self._lanes[channel] = Lane(self._origins.get(channel, 0.0))
        return lane

    def _number(self, key: Key, reading: Reading, lane: Lane) -> int:
        """The number of the dial of a reading, a new one where none is like it."""
        if lane.function is None and not reading.flags & HOLDS:
            lane.function = reading.quantity, reading.mode
        dial = dial_of(reading, lane.function, plain=len(self._dials) >= DIALS)
        if len(self._dials) >= DIALS:
            key = key_of(dial.reading(0.0, 0.0))
        if key not in self._numbers:
            self._numbers[key] = len(self._dials)
            self._dials.append(dial)
        return self._numbers[key]

    def _spoil(self, channel: str, lane: Lane) -> None:
        """What is no number, or comes at no time, is kept as something that is missing."""
        moment = lane.last_s if isfinite(lane.last_s) else 0.0
        self._keep(RunGap(channel=channel, start_s=moment, end_s=moment, reason="garbage"))

    def _end_spill(self, channel: str, lane: Lane) -> None:
        start_s, lane.kept_s = lane.kept_s, None
        if start_s is not None:
            self._keep(
                RunGap(channel=channel, start_s=start_s, end_s=lane.last_s, reason="overflow")
            )

    def _keep(self, gap: RunGap) -> None:
        self._gaps.append(gap)
        self._came += 1
