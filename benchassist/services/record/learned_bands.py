"""What a shop's marked parts make of its checks; what takes long is found out beside the window."""

from math import inf
from typing import Final

from benchassist.core.band import Band
from benchassist.core.entry import PartMarked
from benchassist.core.own_band import Coverage, OwnBand
from benchassist.core.quantity import Quantity
from benchassist.errors import BenchError
from benchassist.services.errand import Errand
from benchassist.services.needs import Clock, SpecBook, Store
from benchassist.services.record.band_look import Asked, Learned, Lesson, Look, Marks

MOST_BANDS: Final = 64
KEPT_FOR: Final = 300.0
"""Seconds for which a check's marks are not asked of the store again: other benches mark too."""
ASKED_AGAIN: Final = 2.0
"""The same where they could not be read, or what was said here is still on its way to disk."""
MOST_AT_ONCE: Final = 20
"""Marks that are read and learned from in the window's own thread, within 50 ms or so."""


class LearnedBands:
    """Bands of checks and the marks behind them, kept for a while. From one thread."""

    def __init__(self, store: Store, book: SpecBook, clock: Clock) -> None:
        self._store, self._book, self._clock = store, book, clock
        self.coverage = Coverage()
        self._said: dict[str, PartMarked] = {}
        """The last mark of each reading that was written here: the store may not have it yet."""
        self._marks: dict[str, tuple[float, Marks]] = {}
        """The marks of checks, and until when they are not asked for again."""
        self._failed: dict[str, tuple[float, BenchError]] = {}
        self._learned: dict[Asked, tuple[Marks, OwnBand]] = {}
        """Bands and what they were learned from: the same ones are asked for again and again."""
        self._lessons: dict[str, Lesson] = {}
        """What is learned beside the window, one band of a check at a time."""

    def forget(self, check_key: str = "") -> None:
        """Ask the store anew when next asked, of a check or of all; what is being read is old."""
        for kept in (self._marks, self._failed, self._lessons):
            for key in [check_key] if check_key else list(kept):
                kept.pop(key, None)

    def close(self) -> None:
        """Wait for what is being read."""
        for lesson in self._lessons.values():
            lesson.errand.close()

    def band(
        self,
        check_key: str,
        quantity: Quantity,
        *,
        engine_class: str,
        option_key: str = "",
        beside: Band | None = None,
    ) -> OwnBand:
        """What the shop's known-good parts make of a check, on an engine class and a marking.

        Stands beside `beside`: which of its sides have limits, its temperature and its probe points
        are taken over. An empty class: all that share the library's band. Waits for the store.
        Raises StoreError.
        """
        asked = self._asked(check_key, quantity, engine_class, option_key, beside)
        return self._made(asked, self._of_check(check_key))

    def look(
        self,
        check_key: str,
        quantity: Quantity,
        *,
        engine_class: str,
        option_key: str = "",
        beside: Band | None = None,
    ) -> Look:
        """As `band`, as far as it is known now; meanwhile there stands what was known before.

        To be asked again while it is `coming`. Raises StoreError.
        """
        asked = self._asked(check_key, quantity, engine_class, option_key, beside)
        before = self._learned.get(asked)
        self._fetch(check_key)
        if check_key not in self._lessons:
            if (now := self._at_once(asked)) is not None:
                return Look(now)
            self._lessons[check_key] = Lesson(asked, self._begin(asked))
        return Look(before[1] if before is not None else None, coming=True)

    def _fetch(self, check_key: str) -> None:
        """What was learned beside the window. Raises what it failed with, for a moment again."""
        until, error = self._failed.get(check_key, (-inf, None))
        if error is not None and self._clock.monotonic() <= until:
            raise error
        lesson = self._lessons.get(check_key)
        if lesson is None or not lesson.errand.done:
            return
        del self._lessons[check_key]
        try:
            learned = lesson.errand.result()
        except BenchError as failed:
            self._failed[check_key] = self._clock.monotonic() + ASKED_AGAIN, failed
            raise
        self._keep_marks(check_key, learned.marks)
        self._keep(lesson.asked, learned.mine, learned.band)

    def _at_once(self, asked: Asked) -> OwnBand | None:
        """A band that was learned from the same marks, or soon is; else None."""
        marks = self._fresh(asked.check_key)
        if marks is None:
            few = self._store.mark_count(asked.check_key) <= MOST_AT_ONCE
            return self._made(asked, self._of_check(asked.check_key)) if few else None
        known, mine = self._learned.get(asked), asked.among(marks, self._said)
        if len(mine) <= MOST_AT_ONCE or (known is not None and known[0] == mine):
            return self._made(asked, marks)
        return None

    def _begin(self, asked: Asked) -> Errand[Learned]:
        """Read and learn in a thread, from what is known of the marks now."""
        store, said, kept = self._store, dict(self._said), self._fresh(asked.check_key)

        def learn() -> Learned:
            marks = store.part_marks(asked.check_key) if kept is None else kept
            mine = asked.among(marks, said)
            return Learned(marks, mine, asked.band_of(mine))

        return Errand(learn, "own band")

    def _asked(
        self,
        check_key: str,
        quantity: Quantity,
        engine_class: str,
        option_key: str,
        beside: Band | None,
    ) -> Asked:
        return Asked(
            check_key=check_key,
            quantity=quantity,
            classes=frozenset(self._book.sharing(check_key, engine_class)),
            option_key=option_key,
            beside=beside,
            coverage=self.coverage,
        )

    def _made(self, asked: Asked, marks: Marks) -> OwnBand:
        """The band of these marks, learned where it was not before."""
        known, mine = self._learned.get(asked), asked.among(marks, self._said)
        band = asked.band_of(mine) if known is None or known[0] != mine else known[1]
        self._keep(asked, mine, band)
        return band

    def _keep(self, asked: Asked, mine: Marks, band: OwnBand) -> None:
        self._learned.pop(asked, None)
        self._learned[asked] = mine, band
        while len(self._learned) > MOST_BANDS:
            del self._learned[next(iter(self._learned))]

    def _of_check(self, check_key: str) -> Marks:
        marks = self._fresh(check_key)
        if marks is None:
            marks = self._store.part_marks(check_key)
            self._keep_marks(check_key, marks)
        return marks

    def _fresh(self, check_key: str) -> Marks | None:
        """A check's marks that were read a short while ago."""
        until, marks = self._marks.get(check_key, (-inf, ()))
        return marks if self._clock.monotonic() <= until else None

    def _keep_marks(self, check_key: str, marks: Marks) -> None:
        there = {mark.taken.stamp.id: mark.marked_at for mark in marks}
        said = (entry for entry in self._said.values() if entry.check_key == check_key)
        whole = all(one.entry_id in there and there[one.entry_id] >= one.stamp.at for one in said)
        until = self._clock.monotonic() + (KEPT_FOR if whole else ASKED_AGAIN)
        self._marks[check_key] = until, marks

    def _note(self, said: PartMarked) -> None:
        """Something was said here: it holds for a mark that is known, else all are read anew."""
        self._said[said.entry_id] = said
        _until, marks = self._marks.get(said.check_key, (-inf, ()))
        self._lessons.pop(said.check_key, None)
        if all(mark.taken.stamp.id != said.entry_id for mark in marks):
            self.forget(said.check_key)
