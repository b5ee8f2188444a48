"""Many bytes through one decoder, and what came of it."""

import random
import time
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from tests.meters.fuzz.mutation import damaged, random_bytes
from tests.meters.fuzz.target import target, valid_blocks

PAGE_KB = 4
SEED = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a barrage of one kind did to one target."""

    name: str
    kind: str
    fed: int
    accepted: int
    overloads: int
    largest_hold: int
    grown_kb: int
    took_s: float

    @property
    def accepted_per_million(self) -> float:
        """Readings accepted in a million bytes."""
        return self.accepted * 1e6 / self.fed


def barrage(name: str, kind: str, total: int, *, seed: int = SEED) -> Outcome:
    """Feed that many bytes, 'random' or 'damaged'. Raises BrokenError or what a decoder raises."""
    source = random.Random(f"{seed} {name} {kind}")
    pieces: Iterable[bytes] = (
        random_bytes(source, total)
        if kind == "random"
        else damaged(source, valid_blocks(name), total)
    )
    under_fire = target(name)
    settled_kb, start = None, time.perf_counter()
    for piece in pieces:
        under_fire.feed(piece, after_s=source.choice((0.0, 0.05, 0.5)))
        if settled_kb is None and under_fire.fed >= total // 10:
            settled_kb = resident_kb()
    return Outcome(
        name=name,
        kind=kind,
        fed=under_fire.fed,
        accepted=under_fire.accepted,
        overloads=under_fire.overloads,
        largest_hold=under_fire.largest_hold,
        grown_kb=resident_kb() - (settled_kb or 0),
        took_s=time.perf_counter() - start,
    )


def resident_kb() -> int:
    """Memory this process holds."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * PAGE_KB
