"""The benches of this program: made when a visit is taken up, shared while it is under work.

A bench stays until everything it wrote is on disk, whether or not it is in front.
"""

from collections.abc import Collection
from dataclasses import dataclass
from functools import partial

from benchassist.core.entry import RunEnded
from benchassist.core.procedure import Check
from benchassist.core.visit import Visit
from benchassist.errors import StepError
from benchassist.services.bench.bench import Bench
from benchassist.services.bench.beside import Beside
from benchassist.services.bench.leases import BenchLeases
from benchassist.services.bench.pen import Pen
from benchassist.services.bench.side_pen import SidePen
from benchassist.services.findings.findings import Findings
from benchassist.services.front.counter import Counter
from benchassist.services.metering.meter import Meter
from benchassist.services.needs import Clock, RunStore, SpecBook, Store
from benchassist.services.receipt import Receipts
from benchassist.services.record.own_bands import OwnBands
from benchassist.services.runs.history import earlier_run
from benchassist.services.runs.keeping import RunKeeping, as_in_life
from benchassist.services.runs.tap import Tap
from benchassist.services.runs.work import Earlier, Pace
from benchassist.services.settings import Settings
from benchassist.services.translation import _


@dataclass(frozen=True, slots=True, kw_only=True)
class Fittings:
    """What every bench of a shop stands on."""

    store: Store
    receipts: Receipts
    book: SpecBook
    clock: Clock
    meter: Meter
    thermometer: Meter
    leases: BenchLeases
    runs: RunStore | None
    tap: Tap


class Floor:
    """Visits under work, by id. `furnish` comes before the first bench.

    `counter` is where visits are opened: their headers come from there.
    """

    counter: Counter

    def __init__(self, fittings: Fittings) -> None:
        self._fit, self.leases = fittings, fittings.leases
        self._benches: dict[str, Bench] = {}
        self._findings: dict[str, tuple[Bench, Findings]] = {}
        self.pace: Pace = as_in_life
        """The practice bench warms its parts faster."""
        self.side = SidePen(
            store=fittings.store,
            receipts=fittings.receipts,
            clock=fittings.clock,
            bench_pen=self.pen,
        )
        self.own_bands = OwnBands(
            store=fittings.store,
            book=fittings.book,
            pen=self.side,
            clock=fittings.clock,
            on_bench=self.visit,
        )

    def furnish(self, settings: Settings) -> None:
        """Put settings to work: benches are made anew but for those that have work in hand."""
        self._settings = settings
        self.leases.wear(settings)
        self.own_bands.speak(settings)
        self.settle()
        self._benches = {
            visit_id: bench
            for visit_id, bench in self._benches.items()
            if not bench.pen.all_in_ink or bench.run.on
        }

    # --- a visit ---------------------------------------------------------------------------------

    def bench(self, visit_id: str) -> Bench:
        """The bench of a visit: the same one while it is under work. Raises NotFoundError.

        Raises StepError where another bench has it, StoreError where that cannot be asked.
        """
        if self.leases.take_up(visit_id, new=self.counter.has_header(visit_id)):
            self._benches.pop(visit_id, None)
        if visit_id not in self._benches:
            self._benches[visit_id] = self._new_bench(visit_id)
        return self._benches[visit_id]

    def findings(self, visit_id: str) -> Findings:
        """The findings of a visit: the same ones while its bench is. Raises NotFoundError.

        Of a visit that is on another bench they can be looked at.
        """
        try:
            bench = self.bench(visit_id)
        except StepError as error:
            bench = self._new_bench(visit_id, barred=str(error))
        kept = self._findings.get(visit_id)
        if kept is None or kept[0] is not bench:
            self._findings = {visit_id: (bench, Findings(bench, self._fit.book.caution))}
        return self._findings[visit_id][1]

    def _new_bench(self, visit_id: str, *, barred: str = "") -> Bench:
        header = self.counter.header_of(visit_id)
        visit = Visit(header) if header else self.side.visit(visit_id)
        fit, units = self._fit, self._settings.units
        return Bench(
            visit,
            store=fit.store,
            receipts=fit.receipts,
            clock=fit.clock,
            meter=fit.meter,
            thermometer=fit.thermometer,
            settings=self._settings,
            units=units,
            new=header is not None,
            keeping=self._keeping(visit),
            beside=Beside(visit, store=fit.store, units=units),
            own_bands=self.own_bands,
            notice=partial(self._notice, visit_id),
            aside=self.side.settle,
            barred=barred,
        )

    def _keeping(self, visit: Visit) -> RunKeeping:
        fit, units = self._fit, self._settings.units

        def history(check: Check, ended: RunEnded | None) -> Earlier | None:
            return earlier_run(visit, check, ended, store=fit.store, runs=fit.runs, units=units)

        return RunKeeping(store=fit.runs, tap=fit.tap, history=history, pace=self.pace)

    def _notice(self, visit_id: str) -> str:
        """What a bench has to show of its visit and of the server; it may have another number."""
        bench, leases = self._benches.get(visit_id), self.leases
        if bench is not None:
            bench.visit.header = leases.renamed(bench.visit.header)
        return leases.notice(visit_id)

    # --- what stands on it -----------------------------------------------------------------------

    def visit(self, visit_id: str) -> Visit | None:
        """A visit under work here, None for any other."""
        bench = self._held(visit_id)
        return bench.visit if bench is not None else None

    def pen(self, visit_id: str) -> Pen | None:
        """What writes in a visit under work here, None for any other."""
        bench = self._held(visit_id)
        return bench.pen if bench is not None else None

    def check(self, visit_id: str) -> Check | None:
        """The step that a visit under work here is at."""
        visit = self.visit(visit_id)
        return visit.current if visit is not None and not visit.closed else None

    def visit_of(self, machine_id: str) -> Visit | None:
        """The machine's newest visit under work here."""
        visits = filter(None, map(self.visit, list(self._benches)))
        own = [visit for visit in visits if visit.header.machine.id == machine_id]
        return max(own, key=lambda visit: visit.header.opened_at, default=None)

    def _held(self, visit_id: str) -> Bench | None:
        """The bench of a visit that nobody else can have worked on since."""
        bench = self._benches.get(visit_id)
        if bench is None or (bench.pen.all_in_ink and not self.leases.holds(visit_id)):
            return None
        return bench

    # --- all of them -----------------------------------------------------------------------------

    def under_way(self, machine_ids: Collection[str] = ()) -> str:
        """What must end before records are changed as a whole, in one line; empty: nothing.

        Only of these machines, where any are named.
        """
        for bench in self._benches.values():
            number, machine = bench.visit.header.slip_number, bench.visit.header.machine
            if machine_ids and machine.id not in machine_ids:
                continue
            if bench.run.on:
                return _("a run is being logged on slip {number}: end it first").format(
                    number=number
                )
            if not bench.pen.all_in_ink:
                return _("slip {number} is not all on disk yet: wait a moment").format(
                    number=number
                )
        elsewhere = self.leases.elsewhere()
        for machine_id in machine_ids:
            for visit in self._fit.store.visits(open_only=True, machine_id=machine_id):
                if visit.id in elsewhere:
                    return _("slip {number} is {where}: leave it there first").format(
                        number=visit.slip_number, where=elsewhere[visit.id]
                    )
        return ""

    def settle(self) -> None:
        """Let benches that are not in front finish what is on its way to disk."""
        self.side.settle()
        idle = []
        for visit_id, bench in list(self._benches.items()):
            bench.settle()
            done = bench.pen.all_in_ink and not bench.run.on
            if bench.pen.barred or (done and bench.visit.closed):
                del self._benches[visit_id]
            if bench.pen.barred or done:
                idle.append(visit_id)
        self.leases.put_down(idle)

    def end_runs(self) -> None:
        """A run that is on is cut here: the program ends."""
        for bench in self._benches.values():
            if bench.run.on:
                bench.run.end(cut=True)

    def hand_over(self) -> None:
        """Whatever the store has refused once more: the program is closing."""
        for bench in self._benches.values():
            bench.pen.hand_over()

    def close(self) -> None:
        """End what the benches still look up."""
        self.side.hand_over()
        self.own_bands.close()
        for bench in self._benches.values():
            if bench.beside is not None:
                bench.beside.close()
