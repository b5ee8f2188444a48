"""The work of the records' page: one piece at a time, in a thread, fetched where it ends."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, TypeVar

from benchassist.errors import BenchError, StepError
from benchassist.services.job import Job, Progress, StoppedError
from benchassist.services.needs import Clock
from benchassist.services.record.records_need import KeptBackup, RecordKeeping, ShopState
from benchassist.services.record.records_view import RecordsStage, RecordsView
from benchassist.services.translation import _

Outcome = TypeVar("Outcome")

LOOK_EVERY_S = 1.0
"""Seconds between two looks into the folder of backups."""


class RecordsWork:
    """Where the page stands and what is under way; what there is to do is the subclass's."""

    def __init__(self, keeping: RecordKeeping, clock: Clock) -> None:
        self._keeping, self._clock = keeping, clock
        self._view = RecordsView()
        self._state: ShopState | None = None
        self._looking: Job[ShopState] | None = None
        self._job: Job[Any] | None = None
        self._then: Callable[[Any], None] = _nothing
        self._stopped = ""
        self._back = RecordsStage.HOME
        """Where a job that fails or is stopped leads back to."""
        self._backups: tuple[KeptBackup, ...] = ()
        self._listed_at = float("-inf")
        self._renewals = 0
        self._asked = 0

    def close(self) -> None:
        """Stop the work, and wait for its thread."""
        for job in (self._looking, self._job):
            if job is not None:
                job.close()

    def stop(self) -> None:
        """Stop the work, where that is possible."""
        if self._job is not None and self._view.may_stop:
            self._job.stop()

    def tick(self) -> None:
        """Fetch what work came to."""
        looking, job = self._looking, self._job
        if looking is not None and looking.done:
            self._looking = None
            try:
                self._state = looking.result()
            except BenchError as error:
                self._view = replace(self._view, error=str(error))
        if job is not None and job.done:
            self._job = None
            self._fetch(job)

    def _fetch(self, job: Job[Any]) -> None:
        self._go(self._back)  # whatever came of it, nothing is at work any more
        try:
            outcome = job.result()
        except StoppedError:
            self._go(RecordsStage.HOME)
            self._view = replace(self._view, note=self._stopped)
            self._renew()
        except BenchError as error:
            self._view = replace(self._view, error=str(error))
        else:
            self._then(outcome)

    def _work(
        self,
        title: str,
        work: Callable[[Progress], Outcome],
        then: Callable[[Outcome], None],
        *,
        stopped: str = "",
    ) -> None:
        """`stopped` is what is said where it was stopped; empty: it cannot be."""
        self._refuse_more()
        if self._looking is not None:
            self._looking.close()
            self._looking = None
        self._back, self._then, self._stopped = self._view.stage, then, stopped
        self._view = RecordsView(
            stage=RecordsStage.WORK,
            title=title,
            may_stop=bool(stopped),
        )
        self._job = Job(work, "records")

    def _refuse_more(self) -> None:
        if self._job is not None:
            raise StepError(_("other work is under way: wait until it has ended"))

    def _done(self, title: str, lines: Sequence[str]) -> None:
        self._go(RecordsStage.DONE)
        self._view = replace(self._view, title=title, lines=tuple(lines))
        self._listed_at = float("-inf")
        self._look()

    def _go(self, stage: RecordsStage) -> None:
        self._asked += 1
        self._view = RecordsView(stage=stage)

    def _renew(self) -> None:
        """The records are others by now: the desks must be asked for anew."""
        self._keeping.renew()
        self._renewals += 1

    def _look(self) -> None:
        """Count what there is, beside everything else."""
        if self._looking is None and self._job is None:
            self._looking = Job(lambda _told: self._keeping.state(), "records look")

    def _kept(self) -> tuple[KeptBackup, ...]:
        """The backups, as the folder had them a moment ago."""
        now_s = self._clock.monotonic()
        if now_s - self._listed_at >= LOOK_EVERY_S:
            self._listed_at, self._backups = now_s, self._keeping.backups()
        return self._backups


def progress_of(view: RecordsView, job: Job[Any]) -> RecordsView:
    """How far the work is."""
    share = job.share
    if job.stopping:
        text = _("Stopping")
    else:
        text = _("{share:.0%} done").format(share=share) if share is not None else _("At work")
    return replace(view, share=share, progress_text=text)


def _nothing(_outcome: object) -> None:
    """Nothing follows."""
