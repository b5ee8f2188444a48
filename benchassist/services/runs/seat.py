"""Which work stands for a check's run: a fresh one, or one told again from disk what it found."""

from benchassist.core.accuracy import Accuracy
from benchassist.core.entry import RunEnded, RunStarted
from benchassist.core.procedure import Check
from benchassist.core.run import RunPlan
from benchassist.core.run_log import marks_of, plan_at, plan_of, start_of
from benchassist.core.visit import Visit
from benchassist.errors import StepError
from benchassist.services.metering.meter import Meter
from benchassist.services.runs.keeping import RunKeeping
from benchassist.services.runs.playback import play_back
from benchassist.services.runs.roster import work_of
from benchassist.services.runs.start import stated_accuracy, thermometer_name
from benchassist.services.runs.work import RunSetting, RunWork
from benchassist.services.translation import _
from benchassist.units import UnitChoice


class RunSeat:
    """One work at a time, made when first asked for and kept while nothing it stands on changes."""

    def __init__(
        self,
        visit: Visit,
        *,
        meter: Meter,
        thermometer: Meter | None,
        units: UnitChoice,
        shop_celsius: float | None,
        keeping: RunKeeping,
    ) -> None:
        self._visit = visit
        self._meter = meter
        self._thermometer = thermometer
        self._units = units
        self._shop_celsius = shop_celsius
        self._keeping = keeping
        self._work: RunWork | None = None
        self._stands_on: tuple[object, ...] = ()
        self.length = 0.0
        """Seconds of the run that ended, 0 for one that is to be made."""

    def work(self, check: Check, ended: RunEnded | None) -> RunWork:
        """The work of a check's run, of the one that ended if there is one.

        Raises StepError for a check that is no run.
        """
        plan = plan_at(self._visit, check) if ended is None else plan_of(self._visit, ended)
        if plan is None:
            raise StepError(_("this step is no run"))
        stands_on = _of(ended) if ended is not None else self._before(check)
        if self._work is None or stands_on != self._stands_on:
            accuracy = self._accuracy(ended)
            self._work = work_of(self._setting(check, plan, ended, accuracy))
            self._stands_on, self.length = stands_on, 0.0
            if ended is not None:
                self.length = self._replay(self._work, ended.run_id)
        return self._work

    def keep(self, work: RunWork, ended: RunEnded, length: float) -> None:
        """A run has just ended: its work goes on to show it."""
        self._work, self._stands_on, self.length = work, _of(ended), length

    def leave(self) -> None:
        """The work was taken for a run: the next one is another."""
        self._work = None

    def told_again(self, check: Check, start: RunStarted) -> tuple[RunWork, float]:
        """The work of a run that never ended, from what is on disk of it, and its length."""
        work = work_of(self._setting(check, start.plan, None, start.accuracy))
        return work, self._replay(work, start.run_id)

    def _replay(self, work: RunWork, run_id: str) -> float:
        return play_back(work, self._keeping.store, run_id, marks_of(self._visit, run_id))

    def _before(self, check: Check) -> tuple[object, ...]:
        return (
            check.key,
            self._visit.option(check),
            self._visit.temperature,
            thermometer_name(self._thermometer),
            stated_accuracy(self._meter),
        )

    def _accuracy(self, ended: RunEnded | None) -> Accuracy | None:
        """What is stated of the meter now, or was when the run began."""
        if ended is None:
            return stated_accuracy(self._meter)
        start = start_of(self._visit, ended.run_id)
        return start.accuracy if start is not None else None

    def _setting(
        self, check: Check, plan: RunPlan, ended: RunEnded | None, accuracy: Accuracy | None
    ) -> RunSetting:
        known = self._visit.temperature
        return RunSetting(
            check=check,
            plan=plan,
            units=self._units,
            k=self._visit.header.k,
            accuracy=accuracy,
            pace=self._keeping.pace,
            thermometer=thermometer_name(self._thermometer),
            start_celsius=known.celsius if known is not None else None,
            shop_celsius=self._shop_celsius,
            earlier=self._keeping.history(check, ended),
        )


def _of(ended: RunEnded) -> tuple[object, ...]:
    return ended.check_key, ended.stamp.id
