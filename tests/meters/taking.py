"""Touches of the probes through a cable that flips bits, taken by the rule that takes by itself."""

import random
from dataclasses import dataclass, field, replace
from math import log

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.steady import Phase, Steadiness, SteadyDetector
from benchassist.core.steady_window import COUNTS, SHARE
from benchassist.meters.decoder import Decoder
from benchassist.meters.roster import family
from tests.meters.fault import WITH_PARITY
from tests.meters.sample import SAMPLES
from tests.meters.sender import SENDERS, Ohms, display, with_parity

PERIOD_S = 0.4
TWIN_S = 0.046
"""How long eleven bytes take at 2400 baud."""
LIFTED_BLOCKS = 4
PATIENCE_BLOCKS = 60


class Cable:
    """Flips one bit at random in one of so many bytes."""

    def __init__(self, source: random.Random, rate: float) -> None:
        self.flipped = 0
        self._source = source
        self._rate = rate
        self._until = self._next()

    def carry(self, block: bytes) -> bytes:
        """The block as it arrives."""
        if self._until >= len(block):
            self._until -= len(block)
            return block
        hurt = bytearray(block)
        while self._until < len(hurt):
            hurt[self._until] ^= 1 << self._source.randrange(8)
            self.flipped += 1
            self._until += 1 + self._next()
        self._until -= len(hurt)
        return bytes(hurt)

    def _next(self) -> int:
        """Whole bytes before the next flip: geometrically distributed."""
        return int(log(1.0 - self._source.random()) / log(1.0 - self._rate))


@dataclass(slots=True)
class Outcome:
    """What was taken in so many touches.

    `off` counts values that the meter did not show in that touch, `wrong` those farther from all it
    showed than the steady rule allows a reading to wander.
    """

    touches: int = 0
    taken: int = 0
    off: int = 0
    wrong: int = 0
    flipped: int = 0
    worst: list[tuple[float, float]] = field(default_factory=list)


class Bench:
    """One meter on one cable, and the detector behind it."""

    def __init__(self, variant: str, *, rate: float, seed: int) -> None:
        self._name = variant.removesuffix(WITH_PARITY)
        self._keeps_parity = variant.endswith(WITH_PARITY)
        self._source = random.Random(f"{seed} {variant}")
        self._cable = Cable(self._source, rate)
        self._decoder: Decoder = family(self._name).make_decoder("A")
        self._detector = SteadyDetector(Quantity.RESISTANCE)
        self._t_s = 0.0
        self._doubled = family(self._name).doubled
        overloads = [
            sample.block
            for sample in SAMPLES[self._name]
            if sample.shown.value is None and sample.shown.quantity is Quantity.RESISTANCE
        ]
        self._open = overloads[0] if overloads else b""
        self._part = display(self._name, 1000, 0)

    def touch(self, outcome: Outcome) -> None:
        """Touch one part until its reading is taken, then lift."""
        outcome.touches += 1
        part = self._other_part()
        showed: set[float] = set()
        for _block in range(PATIENCE_BLOCKS):
            # A meter's last digit wanders by one now and then.
            wander = self._source.choice((0, 0, 0, 0, -1, 1))
            sent = replace(part, counts=part.counts + wander)
            showed.add(float(sent.value))
            for standing in self._send(SENDERS[self._name](sent)):
                if standing.phase is Phase.STEADY and standing.reading is not None:
                    self._take(standing.reading, showed, outcome)
                    break
            else:
                continue
            break
        for _block in range(LIFTED_BLOCKS):
            self._send(self._open)
        outcome.flipped = self._cable.flipped

    def _other_part(self) -> Ohms:
        """A part that reads far enough from the one before to be seen as another touch."""
        before, found = self._part, self._part
        while abs(found.value - before.value) < max(found.value, before.value) / 4:
            found = display(self._name, self._source.randint(400, 3900), self._source.randrange(6))
        self._part = found
        return found

    def _take(self, reading: Reading, showed: set[float], outcome: Outcome) -> None:
        assert reading.value is not None
        outcome.taken += 1
        self._detector.taken(reading)
        if reading.value in showed:
            return
        outcome.off += 1
        nearest = min(showed, key=lambda value: abs(value - (reading.value or 0.0)))
        allowed = max(COUNTS * (reading.resolution or 0.0), SHARE * abs(nearest))
        if abs(reading.value - nearest) > allowed * (1.0 + 1e-9):
            outcome.wrong += 1
            outcome.worst.append((nearest, reading.value))

    def _send(self, block: bytes) -> list[Steadiness]:
        """One display, as often as the meter sends it; nothing is silence."""
        self._t_s += PERIOD_S
        if not block:
            return []
        block = with_parity(block) if self._keeps_parity else block
        times = (self._t_s, self._t_s + TWIN_S) if self._doubled else (self._t_s,)
        return [
            self._detector.feed(reading)
            for t_s in times
            for reading in self._decoder.feed(self._cable.carry(block), t_s)
        ]


def takings(variant: str, touches: int, *, rate: float = 1e-4, seed: int = 3) -> Outcome:
    """So many touches on a cable that flips a bit in one of 1 / `rate` bytes."""
    bench, outcome = Bench(variant, rate=rate, seed=seed), Outcome()
    for _touch in range(touches):
        bench.touch(outcome)
    return outcome
