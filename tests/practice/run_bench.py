"""A run of the practice bench in a test's hands: real ports, real services, a quick clock."""

from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import numpy as np
from pytestqt.qtbot import QtBot

from benchassist.assembly import Place, open_shop
from benchassist.core.run_finding import EngineFinding, Finding, HeatEventKind, HeatFinding
from benchassist.practice.session import MACHINE, PracticeSession
from benchassist.services.bench.bench import Bench
from benchassist.services.runs.view import RunView

RATE_HZ = 20.0
PACE = 50.0
PATIENCE_S = 30.0


class RunBench:
    """A visit that stands at a run, its clip or clamp on, the run started."""

    def __init__(self, session: PracticeSession, bench: Bench, qtbot: QtBot) -> None:
        self.session = session
        self.practice = session.practice
        self.bench = bench
        self._qtbot = qtbot

    def wait(self, until: Callable[[], bool]) -> None:
        """Let readings come in until something holds."""

        def holds() -> bool:
            self.bench.tick()
            return until()

        self._qtbot.waitUntil(holds, timeout=round(PATIENCE_S * 1000.0))

    def last(self, seconds: float) -> None:
        """Let the run go on for so long."""
        end = self.bench.run.now_s + seconds
        self.wait(lambda: self.bench.run.now_s >= end)

    def start(self, check: str, touch: str, *, celsius: float | None = None) -> None:
        """Go to a check, clip on, and start once the meter has settled on what is there."""
        bench = self.bench
        bench.act("submit", "")
        bench.act("goto", check)
        if bench.asking_option():
            bench.act("choose", "1")
        if celsius is not None:
            self.practice.temperature(celsius)
        self.practice.touch(touch)
        meter, thermometer = self.session.shop.meter, self.session.shop.thermometer
        self.wait(lambda: meter.live is not None and thermometer.live is not None)
        touched = meter.live.t_s if meter.live is not None else 0.0
        self.wait(lambda: meter.live is not None and meter.live.t_s > touched + 1.0)
        bench.act("run_start")

    @property
    def view(self) -> RunView:
        """What the run shows."""
        view = self.bench.view().run
        assert view is not None
        return view

    @property
    def finding(self) -> Finding:
        """What was found up to now."""
        return self.bench.run.work.finding(end_s=self.bench.run.now_s)

    @property
    def heat(self) -> HeatFinding:
        """The same of a heat run."""
        found = self.finding
        assert isinstance(found, HeatFinding)
        return found

    @property
    def engine(self) -> EngineFinding:
        """The same of an engine run."""
        found = self.finding
        assert isinstance(found, EngineFinding)
        return found

    def has(self, kind: HeatEventKind, *, ended: bool = False) -> bool:
        """Whether an event of a kind stands; `ended`: and the last of them is over."""
        found = [event for event in self.heat.events if event.kind is kind]
        return bool(found) and (not ended or found[-1].end_s is not None)

    def thermometer_at(self, t_s: float) -> float:
        """What the thermometer showed at a second of the run, from what is on disk."""
        samples = self.session.shop.store.run_samples(self.bench.run.run_id, "B")
        return float(np.interp(t_s, samples.t_s, samples.value))


@contextmanager
def run_bench(
    tmp_path: Path,
    qtbot: QtBot,
    *,
    case: str = "sound",
    engine: str = "sound",
    complaint: str = "quits_hot",
) -> Iterator[RunBench]:
    """A visit of the practice machine with these parts and this engine."""
    place = Place(str(tmp_path / "shop"), tmp_path)
    with (
        closing(open_shop(place)) as shop,
        PracticeSession(shop, case=case, engine=engine, rate_hz=RATE_HZ, pace=PACE) as session,
    ):
        machine = shop.counter.new_machine(MACHINE)
        visit_id = shop.counter.open_visit(machine, {"complaint": complaint})
        yield RunBench(session, shop.bench(visit_id), qtbot)
