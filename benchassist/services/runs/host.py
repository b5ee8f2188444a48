"""The run of a visit's check: prepared, made, ended, looked at again, whatever page is in front.

Samples go to disk at the meters' readers (`run_tap`); what the window sees of them is told to the
work (`run_feed`); what a key does becomes marks in the visit. A run that the program's end cut is
finished from disk when the visit is opened again.
"""

import uuid
from collections.abc import Sequence
from dataclasses import replace
from functools import partial

from benchassist.core.entry import Entry, RunEnded, RunMarked, RunStarted
from benchassist.core.procedure import CheckKind
from benchassist.core.quantity import Quantity
from benchassist.core.reading import LinkItem
from benchassist.core.run import MarkKind, RunHeader, RunKind
from benchassist.core.run_log import open_run, plan_at
from benchassist.core.run_plot import RunPlot
from benchassist.core.visit import Visit
from benchassist.errors import NotFoundError, StepError
from benchassist.services.bench.pen import Pen
from benchassist.services.metering.meter import Meter
from benchassist.services.needs import Clock
from benchassist.services.runs.entry import cut_text, ended, marked
from benchassist.services.runs.feed import RunFeed
from benchassist.services.runs.keeping import RunKeeping
from benchassist.services.runs.line import ended_words
from benchassist.services.runs.past import Span, window_of
from benchassist.services.runs.running import Running
from benchassist.services.runs.seat import RunSeat
from benchassist.services.runs.start import (
    begin_recording,
    meter_name,
    ready_view,
    refuse_start,
    stated_accuracy,
    thermometer_name,
)
from benchassist.services.runs.view import RunStage, RunView
from benchassist.services.runs.words import RunWords
from benchassist.services.runs.work import START, Draft, RunWork
from benchassist.services.translation import _
from benchassist.units import UnitChoice

MOST_HEARD = 4096
"""Items kept for the next tick while another page is in front."""


class RunHost:
    """One visit's runs, one at a time. All calls in the window's thread."""

    def __init__(
        self,
        visit: Visit,
        pen: Pen,
        *,
        clock: Clock,
        meter: Meter,
        thermometer: Meter | None,
        units: UnitChoice,
        shop_celsius: float | None = None,
        keeping: RunKeeping | None = None,
    ) -> None:
        self._visit = visit
        self._pen = pen
        self._clock = clock
        self._meter = meter
        self._thermometer = thermometer
        self._units = units
        self._keeping = keeping or RunKeeping()
        self._seat = RunSeat(
            visit,
            meter=meter,
            thermometer=thermometer,
            units=units,
            shop_celsius=shop_celsius,
            keeping=self._keeping,
        )
        self._running: Running | None = None
        self._again = ""
        """The ended run that another one is prepared after."""
        self._heard: list[tuple[float, LinkItem]] = []

    # --- where it stands --------------------------------------------------------------------------

    @property
    def on(self) -> bool:
        """Whether a run of this visit is being made."""
        return self._running is not None

    @property
    def here(self) -> bool:
        """Whether the bench is on a check that is a run, and what it depends on is chosen."""
        check = self._visit.current
        is_run = check.kind is CheckKind.RUN and check.run is not None
        return is_run and not self._visit.needs_option(check)

    @property
    def stage(self) -> RunStage:
        """Where the run of the current check stands."""
        if self._running is not None:
            return RunStage.RUNNING
        return RunStage.READY if self.ended is None else RunStage.ENDED

    @property
    def ended(self) -> RunEnded | None:
        """The run that stands at the current check; None while one is to be made."""
        check = self._visit.current
        latest = self._visit.latest(check.key)
        if not isinstance(latest, RunEnded) or self._again == latest.stamp.id:
            return None
        return None if self._visit.awaits_after(check.key) else latest

    @property
    def now_s(self) -> float:
        """Seconds since the run began; its length once it ended."""
        if self._running is not None:
            return self._clock.monotonic() - self._running.at
        return self._seat.length if self.stage is RunStage.ENDED else 0.0

    @property
    def work(self) -> RunWork:
        """The work of the current check's run. Raises StepError at a check that is no run."""
        if self._running is not None:
            return self._running.work
        return self._seat.work(self._visit.current, self.ended)

    @property
    def wanted(self) -> Quantity | None:
        """What the meter is to be set to at the current check."""
        return self.work.wanted if self.here else None

    @property
    def trouble(self) -> str:
        """Why samples are not on disk, in one line; empty while all is well."""
        return self._running.feed.disk_trouble if self._running is not None else ""

    # --- keys -------------------------------------------------------------------------------------

    def start(self) -> None:
        """Begin. Raises StepError where the meter is missing or set to something else."""
        check, work = self._visit.current, self.work
        plan = plan_at(self._visit, check)
        if plan is None or self._visit.closed:
            raise StepError(_("the visit is closed: open it again first"))
        if self.ended is not None:
            self._again = self.ended.stamp.id
            return
        refuse_start(plan, work.wanted, self._meter)
        at, run_id = self._clock.monotonic(), str(uuid.uuid4())
        header = RunHeader(
            id=run_id, visit_id=self._visit.header.id, check_key=check.key, kind=plan.kind
        )
        recording = begin_recording(
            self._keeping, header, wanted=work.wanted, meter=self._meter, at=at
        )
        feed = RunFeed(work, recording=recording, store=self._keeping.store, run_id=run_id, at=at)
        running = Running(id=run_id, check=check, plan=plan, at=at, work=work, feed=feed)
        meter = meter_name(self._meter) if work.wanted is not None else ""
        thermometer = thermometer_name(self._thermometer)
        begun = partial(
            RunStarted,
            check_key=check.key,
            run_id=run_id,
            plan=plan,
            meter=meter,
            thermometer=thermometer,
            accuracy=stated_accuracy(self._meter),
        )
        self._pen.write(lambda stamp: begun(stamp=stamp))
        self._running, self._again = running, ""
        self._seat.leave()
        self._heard.clear()
        if self._keeping.tap is not None:
            self._keeping.tap.watch(self._hear)
        known = self._visit.temperature
        if plan.kind is RunKind.HEAT and not thermometer and known is not None:
            draft = Draft(kind=MarkKind.TEMPERATURE, t_s=0.0, value=known.celsius, text=START)
            self._write((draft,))

    def act(self, action: str, argument: str = "") -> None:
        """What a key asks of the run that is on. Raises StepError where nothing runs."""
        if self._running is None:
            raise StepError(_("no run is on: press Space to start it"))
        self._write(self.work.act(action, argument, self.now_s))

    def read(self, text: str) -> None:
        """The answer to the work's question. Raises InputError naming what would be right."""
        self._write(self.work.read(text, self.now_s))

    def _write(self, drafts: Sequence[Draft]) -> None:
        running = self._running
        if running is None:
            return
        for draft in drafts:
            entry = self._pen.write(
                partial(marked, check_key=running.check.key, run_id=running.id, draft=draft)
            )
            if isinstance(entry, RunMarked):
                running.work.mark(entry)

    def end(self, *, cut: bool = False) -> Entry:
        """End the run: what was found is written down. Raises StepError where none is on."""
        running = self._running
        if running is None:
            raise StepError(_("no run is on"))
        for meter in (self._meter, self._thermometer):
            if meter is not None:
                meter.take_in()
        self.tick()
        length, tap = self.now_s, self._keeping.tap
        if tap is not None:
            tap.unwatch(self._hear)
        if tap is not None and running.feed.recorded:
            running.feed.finish(length)
            tap.end()
        self._running = None
        return self._end(running.check.key, running.id, running.work, length, cut=cut)

    def _end(
        self, check_key: str, run_id: str, work: RunWork, length: float, *, cut: bool
    ) -> Entry:
        finding = work.finding(end_s=length)
        entry = self._pen.write(
            partial(ended, check_key=check_key, run_id=run_id, finding=finding, cut=cut)
        )
        if isinstance(entry, RunEnded):
            self._seat.keep(work, entry, length)
        return entry

    # --- time -------------------------------------------------------------------------------------

    def _hear(self, opened_at: float, items: Sequence[LinkItem]) -> None:
        """What a meter brought, whichever page drained it."""
        self._heard += [(opened_at, item) for item in items]
        if len(self._heard) > MOST_HEARD:
            self.tick()

    def tick(self) -> None:
        """Tell the work what came since the last call. At every tick, all meters drained."""
        heard, self._heard = self._heard, []
        if self._running is not None and heard:
            self._running.feed.take_in(heard)

    def recover(self) -> str:
        """Finish a run that the program's end cut; returns one line to say so, empty for none."""
        start = open_run(self._visit)
        if start is None or self._visit.closed:
            return ""
        check = self._visit.procedure.check(start.check_key)
        work, length = self._seat.told_again(check, start)
        self._end(check.key, start.run_id, work, length, cut=True)
        return cut_text(length)

    # --- what shows -------------------------------------------------------------------------------

    def view(self) -> RunView | None:
        """The run of the current check, None at a check that is none."""
        if not self.here:
            return None
        stage, found = self.stage, self.ended
        shown = replace(self.work.view(self.now_s, stage), run_id=self.run_id)
        if self._running is not None:
            return replace(shown, warning=self._running.feed.trouble or shown.warning)
        if found is None:
            return ready_view(shown, self.wanted, self._meter, self._thermometer, self._units)
        pencil = found.stamp.id in self._pen.pencilled
        cut = (f"{cut_text(self._seat.length)}.",) if found.cut else ()
        shown = replace(shown, so_far=pencil, notes=(*cut, *shown.notes))
        words = ended_words(self._visit, found, self._units)
        if not words.title:
            return shown
        # What was frozen into the visit has the word, whatever would be found in it today.
        return replace(shown, verdict=words.verdict, side=words.side, verdict_text=words.title)

    @property
    def run_id(self) -> str:
        """The run that is on, or that stands at the current check; empty for none."""
        if self._running is not None:
            return self._running.id
        return self.ended.run_id if self.here and self.ended is not None else ""

    def window(self, run_id: str, start_s: float, end_s: float, buckets: int) -> RunPlot:
        """The run in view between two moments. Raises NotFoundError for another run."""
        shown = self.view()
        if shown is None or shown.plot is None or run_id != self.run_id:
            raise NotFoundError(_("that run is not on the bench"))
        finding = self.work.finding(end_s=self.now_s)
        span = Span(start_s=start_s, end_s=end_s, buckets=buckets)
        runs = self._keeping.store
        return window_of(shown.plot, finding, span, runs=runs, run_id=run_id, units=self._units)

    def words_so_far(self) -> RunWords | None:
        """What the run that is on comes to so far, for its line in pencil."""
        running = self._running
        if running is None:
            return None
        return running.words(self.now_s, self._units, k=self._visit.header.k)
