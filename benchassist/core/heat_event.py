"""Events of a heat run while they go on, and the samples they are made of."""

from dataclasses import dataclass
from math import inf
from typing import NamedTuple

from benchassist.core.run_finding import HeatEvent, HeatEventKind, Leg


class Sample(NamedTuple):
    """A sample with its temperature, if known; inf is an overload."""

    t_s: float
    value: float
    celsius: float | None


class Lean(NamedTuple):
    """A bucket whose median leans away: its first moment and median, its middle, how far off."""

    sample: Sample
    middle_s: float
    off: float


@dataclass(slots=True)
class Excursion:
    """An event while it goes on."""

    kind: HeatEventKind
    start_s: float
    before: float
    after: float | None
    celsius: float | None
    leg: Leg
    end_s: float | None = None
    end_celsius: float | None = None
    end_ohms: float | None = None
    """What was read where it ended."""
    largest: float | None = None

    def event(self) -> HeatEvent:
        """Return it as it stands now."""
        is_open = self.kind is HeatEventKind.OPEN
        return HeatEvent(
            kind=self.kind,
            start_s=self.start_s,
            before=self.before,
            after=None if is_open else self.after,
            end_s=self.end_s,
            celsius=self.celsius,
            end_celsius=self.end_celsius,
            leg=self.leg,
            largest=None if is_open else self.largest,
        )

    def end(self, back: Sample) -> HeatEvent:
        """End it with the first sample that is back, and return it."""
        self.end_s, self.end_ohms, self.end_celsius = back
        return self.event()

    @property
    def is_lukewarm(self) -> bool:
        """Whether a temperature of it is not known yet."""
        return self.celsius is None or (self.end_s is not None and self.end_celsius is None)


def share(value: float, expected: float) -> float | None:
    """The relative distance of a value from what was expected; None of an overload."""
    return None if value == inf or expected == 0.0 else value / expected - 1.0
