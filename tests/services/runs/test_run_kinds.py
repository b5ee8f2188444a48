"""Engine run, tank run and quit drill on the bench; runs in a shop with more than one visit."""

from dataclasses import replace
from pathlib import Path

import pytest

from benchassist.core.band import Band
from benchassist.core.entry import RunEnded, RunMarked
from benchassist.core.link import LinkRequest
from benchassist.core.procedure import Check, CheckKind, Procedure
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.run import (
    DrillStep,
    MarkKind,
    RunKind,
    RunPlan,
    SpeedLimits,
)
from benchassist.errors import StepError
from benchassist.services.bench.bench import Bench
from benchassist.services.runs.tap import Tap
from benchassist.services.runs.view import RunStage
from benchassist.services.settings import SettingsFile
from benchassist.services.shop import Shop
from tests.services.fakes import FakeClock, FakeRoom, FakeStore
from tests.services.rig import FakeBook, FakePrinter
from tests.services.run_rig import HEAT, FakeRunStore, RunRig

HIGH = Band(quantity=Quantity.SPEED, low=3450.0, high=3750.0)
ENGINE = Check(
    key="engine_run",
    title="Engine run",
    short="Engine run",
    kind=CheckKind.RUN,
    run=RunPlan(
        kind=RunKind.ENGINE, pulses_per_rev=1.0, limits=SpeedLimits(high=HIGH, rated=3600.0)
    ),
)
TANK = Check(
    key="tank_run",
    title="Tank run",
    short="Tank run",
    kind=CheckKind.RUN,
    run=RunPlan(kind=RunKind.TANK),
)
DRILL = Check(
    key="quit_drill",
    title="Quit drill",
    short="Quit drill",
    kind=CheckKind.RUN,
    run=RunPlan(
        kind=RunKind.DRILL,
        drill=(
            DrillStep(key="spark", question="Spark?", answers=(("yes", "Yes"), ("none", "None"))),
            DrillStep(key="hiss", question="Hiss?", answers=(("yes", "Yes"), ("no", "No"))),
        ),
    ),
)


def hertz(rig: RunRig, value: float, *, seconds: float = 20.0) -> None:
    """The meter on hertz for a while."""
    given = {"quantity": Quantity.FREQUENCY, "exponent": 0, "resolution": 0.1, "full_scale": None}
    for _ in range(round(seconds / rig.period)):
        rig.pass_(rig.period)
        reading = rig.ohms(0.0, given)
        rig.say(replace(reading, value=value))


def test_an_engine_run_is_read_in_hertz() -> None:
    """60 Hz at one pulse a turn is 3600 rpm: recorded, judged, on the slip with its band."""
    rig = RunRig(ENGINE, thermometer=False)
    assert rig.view.setting_label == "Set the meter:"
    hertz(rig, 60.0, seconds=2.0)
    rig.bench.act("run_start")
    hertz(rig, 60.0, seconds=60.0)
    assert len(rig.runs.last.readings) == 120
    rig.bench.act("run_end")
    engine = rig.ended.engine
    assert engine is not None
    assert engine.high is not None
    assert engine.high.rpm == pytest.approx(3600.0)
    line = rig.view.lines[0]
    assert "3600" in line.words.replace(",", "")
    assert line.ruler is not None
    window = rig.bench.run_window(rig.run.run_id, 10.0, 20.0, 100)
    assert window.tracks[0].high[0] == pytest.approx(3600.0)


def test_an_engine_run_may_be_typed() -> None:
    """Without a meter the same run takes what a tachometer shows; no samples are recorded."""
    rig = RunRig(ENGINE, meter=False, thermometer=False)
    rig.bench.act("run_start")
    rig.pass_(5.0)
    rig.bench.act("type")
    rig.bench.act("submit", "3580")
    assert [m.value for m in rig.marks if isinstance(m, RunMarked)] == [3580.0]
    rig.bench.act("run_end")
    assert rig.runs.kept == {}
    assert rig.ended.engine is not None


def test_a_tank_run_is_marks_alone() -> None:
    """Gauge marks by Space: nothing is sampled and the marks are entries."""
    rig = RunRig(TANK, meter=False, thermometer=False)
    rig.bench.act("take")
    assert rig.run.stage is RunStage.RUNNING
    rig.pass_(60.0)
    rig.bench.act("take")
    rig.pass_(60.0)
    rig.bench.act("take")
    marks = [m for m in rig.marks if isinstance(m, RunMarked) and m.kind is MarkKind.PRESSURE]
    assert len(marks) == 2
    rig.bench.act("run_end")
    tank = rig.ended.tank
    assert tank is not None
    assert tank.pump_up_s == pytest.approx(60.0)


def test_the_drill_begins_at_once_from_any_step() -> None:
    """The engine has just died: one key goes to the drill and starts its clock."""
    rig = RunRig(HEAT, DRILL, meter=False, thermometer=False)
    rig.bench.act("drill")
    assert rig.bench.visit.current.key == DRILL.key
    assert rig.run.stage is RunStage.RUNNING
    rig.pass_(4.0)
    rig.bench.act("choose", "2")
    drill = rig.run.drill
    assert drill is not None
    assert drill.question == "Hiss?"
    rig.bench.act("run_answer", "1")
    rig.bench.act("run_end")
    found = rig.ended.drill
    assert found is not None
    assert [(a.step, a.answer, a.t_s) for a in found.answers] == [
        ("spark", "none", 4.0),
        ("hiss", "yes", 4.0),
    ]


def test_the_drill_ends_the_engine_run_it_interrupts() -> None:
    """The engine dies while it is being logged: the run is ended with what it found."""
    rig = RunRig(ENGINE, DRILL, thermometer=False)
    hertz(rig, 60.0, seconds=2.0)
    rig.bench.act("run_start")
    hertz(rig, 60.0, seconds=30.0)
    rig.bench.act("drill")
    assert rig.ended.check_key == ENGINE.key
    assert not rig.ended.cut
    assert rig.bench.visit.current.key == DRILL.key
    assert rig.bench.run.on
    with pytest.raises(StepError, match="drill is on"):
        rig.bench.act("drill")


# --- a shop ---------------------------------------------------------------------------------------


class HeatBook(FakeBook):
    """One procedure that begins with a heat run."""

    def procedure(self, key: str, engine_class: str) -> Procedure:
        """The heat run before the usual checks."""
        usual = super().procedure(key, engine_class)
        return replace(usual, checks=(HEAT, *usual.checks))


class HeatShop:
    """A shop whose one meter sits on a part."""

    def __init__(self, home: Path) -> None:
        self.clock, self.room, self.tap = FakeClock(), FakeRoom(), Tap()
        self.store, self.runs = FakeStore(), FakeRunStore()
        self.file = SettingsFile(home / "settings.json")
        self.shop = Shop(
            store=self.store,
            book=HeatBook(),
            room=self.room,
            printer=FakePrinter(),
            clock=self.clock,
            settings_file=self.file,
            runs=self.runs,
            tap=self.tap,
        )
        self.shop.meter.connect(LinkRequest(port="/dev/fake0", protocol="nibble-14"))
        self.opened = self.clock.monotonic()
        self.machine = self.shop.counter.new_machine({"tag": "M-001", "unit": "Yard washer"})

    def visit(self) -> Bench:
        """A visit past its start."""
        self.clock.pass_by(60.0)
        visit_id = self.shop.counter.open_visit(self.machine, {"complaint": "quits_hot"})
        bench = self.shop.bench(visit_id)
        for action in ("submit", "skip", "skip"):
            bench.act(action)
        return bench

    def hold(self, bench: Bench, seconds: float, value: float | None = 6500.0) -> None:
        """Readings for a while."""
        for _ in range(round(seconds / 0.5)):
            self.clock.pass_by(0.5)
            reading = Reading(
                t_s=self.clock.monotonic() - self.opened,
                channel="A",
                quantity=Quantity.RESISTANCE,
                value=value,
                resolution=10.0,
                overload=value is None,
                exponent=3,
            )
            self.tap(reading)
            self.room.links[-1].items.append(reading)
            bench.tick()

    def run(self, bench: Bench, *, breaks: bool = False) -> None:
        """A heat run of a minute or two."""
        self.hold(bench, 2.0)
        bench.act("run_start")
        self.hold(bench, 60.0)
        if breaks:
            self.hold(bench, 3.0, None)
        self.hold(bench, 30.0)
        bench.act("run_end")
        bench.tick()


@pytest.fixture
def at_work(tmp_path: Path) -> HeatShop:
    """A shop with a meter linked."""
    return HeatShop(tmp_path)


def test_the_last_visits_run_is_laid_under_the_new_one(at_work: HeatShop) -> None:
    """The same check of the same machine, one visit ago."""
    at_work.run(at_work.visit())
    bench = at_work.visit()
    at_work.hold(bench, 2.0)
    bench.act("run_start")
    at_work.hold(bench, 10.0)
    run = bench.view().run
    assert run is not None
    assert run.plot is not None
    assert run.plot.overlay_text.startswith("Visit of ")
    assert [t.title for t in run.plot.overlay] == ["Resistance"]
    assert run.plot.overlay[0].unit == run.plot.tracks[0].unit


def test_a_run_after_the_work_stands_beside_the_one_before(at_work: HeatShop) -> None:
    """Old coil, work, new coil: the slip has both pictures, the pair, and what is proved."""
    bench = at_work.visit()
    at_work.run(bench, breaks=True)
    bench.act("did")
    bench.act("submit", "New coil fitted")
    prepared = bench.view().run
    assert prepared is not None
    assert prepared.stage is RunStage.READY
    at_work.run(bench)
    slip = at_work.shop.slip(bench.visit.header.id)
    assert [plot.caption.partition(":")[0] for plot in slip.plots] == ["Before", "After"]
    pair = slip.pairs[0]
    assert (pair.name, pair.before) == ("New coil fitted", "1 break")
    assert pair.verdict is None
    run = bench.view().run
    assert run is not None
    assert run.plot is not None
    assert run.plot.overlay_text == "Earlier in this visit"


def test_two_visits_do_not_run_at_once_with_one_meter(at_work: HeatShop) -> None:
    """The meter is on one part; the other visit is told to wait."""
    first, second = at_work.visit(), at_work.visit()
    at_work.hold(first, 2.0)
    first.act("run_start")
    at_work.hold(first, 2.0)
    with pytest.raises(StepError, match="another visit has a run on"):
        second.act("run_start")
    assert not second.run.on


def test_a_run_goes_on_when_settings_are_kept(at_work: HeatShop) -> None:
    """The desks are made anew; the bench with its run is the same."""
    bench = at_work.visit()
    at_work.hold(bench, 2.0)
    bench.act("run_start")
    at_work.shop.furnish(at_work.file.read())
    assert at_work.shop.bench(bench.visit.header.id) is bench
    at_work.hold(bench, 5.0)
    assert len(at_work.runs.last.readings) == 10


def test_closing_the_program_ends_the_run_as_cut(at_work: HeatShop) -> None:
    """What was logged is kept and the visit says that it was cut."""
    bench = at_work.visit()
    at_work.hold(bench, 2.0)
    bench.act("run_start")
    at_work.hold(bench, 30.0)
    at_work.shop.close()
    (ended,) = (e for e in at_work.store.entries[bench.visit.header.id] if isinstance(e, RunEnded))
    assert ended.cut
    assert ended.heat is not None
    assert ended.heat.used == 60
    assert at_work.runs.last.closed
