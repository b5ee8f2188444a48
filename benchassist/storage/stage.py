"""How far a shop is while it is brought up, as one whole.

A copy of it is made first, then it goes from revision to revision, and in the end its file is made
compact.
"""

from collections.abc import Callable, Mapping
from functools import partial
from types import MappingProxyType
from typing import Final

from benchassist.storage.schema import REVISIONS

Progress = Callable[[int, int], None]
"""Is told how much is done and how much there is in all; what it raises ends the work."""

COPY: Final = "copy"
COMPACT: Final = "compact"

WEIGHTS: Final[Mapping[str, int]] = MappingProxyType(
    {COPY: 25, "0002": 1, "0003": 60, "0004": 10, COMPACT: 12}
)
"""What a stage takes of the whole: seconds, of a shop file of fifty thousand visits."""

FINE: Final = 1000
"""How finely the whole is told."""


class Stages:
    """Every stage that is due to a shop of `revision`, and how much of them all is done."""

    def __init__(
        self, revision: str = "", progress: Progress | None = None, *, of_file: bool = True
    ) -> None:
        later = [r for r in REVISIONS if r > revision]
        due = (*((COPY, *later) if later else ()), *((COMPACT,) if of_file else ()))
        self._progress = progress
        self._weights = {stage: WEIGHTS.get(stage, 1) for stage in due}
        self._done = 0

    def told(self, stage: str, done: int, whole: int) -> None:
        """So much of a stage is done; what comes before it is. What is told never goes back."""
        if stage in self._weights:
            weights, at = list(self._weights.values()), list(self._weights).index(stage)
            share = weights[at] * min(1.0, done / max(whole, 1))
            told = int(FINE * (sum(weights[:at]) + share) / sum(weights))
            self._done = max(self._done, told)
        self.again()

    def ended(self) -> None:
        """Everything is done."""
        self._done = FINE
        self.again()

    def again(self) -> None:
        """Nothing more is done yet: whoever is told may end the work."""
        if self._progress is not None:
            self._progress(self._done, FINE)

    def of(self, stage: str) -> Progress:
        """What tells of one stage."""
        return partial(self.told, stage)
