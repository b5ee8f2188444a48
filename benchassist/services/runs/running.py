"""A run that is on: what it is, its work, and its line on the slip so far."""

from dataclasses import dataclass

from benchassist.core.procedure import Check
from benchassist.core.run import RunPlan
from benchassist.services.runs.feed import RunFeed
from benchassist.services.runs.line import words_of
from benchassist.services.runs.words import RunWords
from benchassist.services.runs.work import RunWork
from benchassist.units import UnitChoice

WORDS_EVERY = 0.5
"""Seconds of a run after which its line is worded anew."""


@dataclass(slots=True, kw_only=True)
class Running:
    """`at` is second 0 of the run on the program's clock."""

    id: str
    check: Check
    plan: RunPlan
    at: float
    work: RunWork
    feed: RunFeed
    _words: RunWords | None = None
    _worded_at: float = 0.0

    def words(self, now_s: float, units: UnitChoice, *, k: float) -> RunWords:
        """What it comes to so far."""
        if self._words is None or now_s - self._worded_at >= WORDS_EVERY:
            finding = self.work.finding(end_s=now_s)
            self._words = words_of(self.check, finding, self.plan, units, k=k, so_far=True)
            self._worded_at = now_s
        return self._words
