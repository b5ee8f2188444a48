"""What a bench needs of its shop to make runs: where samples go and where earlier runs are."""

from collections.abc import Callable
from dataclasses import dataclass

from benchassist.core.entry import RunEnded
from benchassist.core.procedure import Check
from benchassist.services.needs import RunStore
from benchassist.services.runs.tap import Tap
from benchassist.services.runs.work import Earlier, Pace

History = Callable[[Check, RunEnded | None], Earlier | None]
"""The run before one that ended, or before the one that is to be made."""


def no_history(_check: Check, _ended: RunEnded | None) -> Earlier | None:
    """A shop without records."""
    return None


def as_in_life() -> float:
    """A part warms as fast as its clock says; on the practice bench it warms faster."""
    return 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RunKeeping:
    """Where a run's samples go and where earlier ones are."""

    store: RunStore | None = None
    tap: Tap | None = None
    history: History = no_history
    pace: Pace = as_in_life
