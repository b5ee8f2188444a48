"""A bench with a run in a test's hands: a part that is warmed, two meters, a store in memory."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

import numpy as np

from benchassist.core.copper import ALPHA_20
from benchassist.core.entry import Entry, RunEnded, RunMarked, RunStarted
from benchassist.core.link import LinkRequest
from benchassist.core.procedure import Caution, Check, CheckKind
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Gap, LinkItem, Reading
from benchassist.core.run import HeatedPart, RunGap, RunHeader, RunKind, RunPlan
from benchassist.core.run_plot import Column
from benchassist.core.samples import Samples
from benchassist.core.visit import Visit
from benchassist.errors import NotFoundError, StoreError
from benchassist.services.bench.bench import Bench
from benchassist.services.bench.taking import MeterSetup
from benchassist.services.bench.view import BenchView
from benchassist.services.metering.meter import Meter
from benchassist.services.receipt import Receipts
from benchassist.services.runs.keeping import RunKeeping
from benchassist.services.runs.tap import Tap
from benchassist.services.runs.view import RunView
from benchassist.services.settings import Settings
from benchassist.units import UnitChoice, read_accuracy
from tests.services.fakes import FakeClock, FakeRoom, FakeStore
from tests.services.rig import with_checks

Given = Mapping[str, object]
PLAINLY: Given = MappingProxyType({})
HELD = frozenset({Flag.HOLD, Flag.REL, Flag.MIN, Flag.MAX})
COLD = 20.0
R20 = 6500.0

HEAT = Check(
    key="heat_run",
    title="Heat run, coil secondary",
    short="Heat run",
    kind=CheckKind.RUN,
    setting="ohms, 20 kΩ range, not auto",
    touch="coil: plug lead core to core iron, by clips",
    cautions=(Caution(key="heat", text="Hot metal burns.", short="Hot metal"),),
    run=RunPlan(kind=RunKind.HEAT, part=HeatedPart.WINDING),
)


def copper(celsius: float, r20: float = R20) -> float:
    """What sound copper reads."""
    return r20 * (1.0 + ALPHA_20 * (celsius - 20.0))


@dataclass
class FakeRecording:
    """Keeps what is put, at once."""

    readings: list[Reading] = field(default_factory=list)
    gaps: list[RunGap] = field(default_factory=list)
    trouble: str = ""
    closed: bool = False
    is_slow: bool = False

    def put(self, reading: Reading) -> None:
        assert not self.closed, "nothing is put after the close"
        self.readings.append(reading)

    def gap(self, gap: RunGap) -> None:
        self.gaps.append(gap)

    def flushed(self, timeout: float) -> bool:
        return timeout > 0.0 and not self.is_slow

    def close(self) -> None:
        self.closed = True


class FakeRunStore:
    """Samples in memory, read back as the real store reads them."""

    def __init__(self) -> None:
        self.headers: dict[str, RunHeader] = {}
        self.kept: dict[str, FakeRecording] = {}

    def record(self, header: RunHeader, origins: Mapping[str, float]) -> FakeRecording:
        if header.id in self.kept:
            raise StoreError("this run is kept already")
        assert set(origins.values()) == {0.0}
        self.headers[header.id] = header
        self.kept[header.id] = FakeRecording()
        return self.kept[header.id]

    @property
    def last(self) -> FakeRecording:
        """The recording made last."""
        return list(self.kept.values())[-1]

    def _of(self, run_id: str, channel: str) -> list[Reading]:
        if run_id not in self.kept:
            raise NotFoundError("no such run")
        all_ = [r for r in self.kept[run_id].readings if r.channel == channel]
        return [
            r
            for r in all_
            if not r.flags & HELD and (r.quantity, r.mode) == (all_[0].quantity, all_[0].mode)
        ]

    def run_samples(
        self,
        run_id: str,
        channel: str,
        *,
        start_s: float = float("-inf"),
        end_s: float = float("inf"),
    ) -> Samples:
        kept = [r for r in self._of(run_id, channel) if start_s <= r.t_s <= end_s]
        return Samples(
            np.array([r.t_s for r in kept]),
            np.array([float("inf") if r.value is None else r.value for r in kept]),
            np.array([r.resolution or float("nan") for r in kept]),
        )

    def run_envelope(
        self, run_id: str, channel: str, *, start_s: float, end_s: float, buckets: int
    ) -> tuple[Column, Column, Column]:
        samples = self.run_samples(run_id, channel, start_s=start_s, end_s=end_s)
        every = max(1, len(samples) // buckets)
        return samples.t_s[::every], samples.value[::every], samples.value[::every]

    def run_gaps(self, run_id: str) -> tuple[RunGap, ...]:
        if run_id not in self.kept:
            raise NotFoundError("no such run")
        return tuple(self.kept[run_id].gaps)

    def run_extent(self, run_id: str) -> tuple[float, float]:
        if run_id not in self.kept or not self.kept[run_id].readings:
            raise NotFoundError("no such run")
        times = [r.t_s for r in self.kept[run_id].readings]
        return times[0], times[-1]


class RunRig:
    """A bench at a heat run, past the start of its visit. Time passes only with `pass_`."""

    def __init__(
        self,
        *checks: Check,
        meter: bool = True,
        thermometer: bool = True,
        units: UnitChoice | None = None,
        store: FakeStore | None = None,
        runs: FakeRunStore | None = None,
        visit: Visit | None = None,
        keeping: Callable[[RunKeeping], RunKeeping] = lambda keeping: keeping,
    ) -> None:
        self.clock = FakeClock()
        self.store = store or FakeStore()
        self.runs = runs or FakeRunStore()
        self.tap = Tap()
        self.room, self.other_room = FakeRoom(), FakeRoom()
        setup = MeterSetup(name="hand-held", accuracy=read_accuracy("0.8% + 3"))
        self.meter = Meter(self.room, self.clock, (), setup, tap=self.tap)
        warm = MeterSetup(name="thermometer")
        self.thermometer = Meter(self.other_room, self.clock, (), warm, name="B", tap=self.tap)
        self.celsius = COLD
        self.period = 0.5
        self.opened = {"A": self.clock.monotonic(), "B": self.clock.monotonic()}
        if meter:
            self.link()
        if thermometer:
            self.thermometer.connect(LinkRequest(port="/dev/fake1", protocol="text-line"))
        self.bench = Bench(
            visit or Visit(with_checks(*(checks or (HEAT,)))),
            store=self.store,
            receipts=Receipts(self.store),
            clock=self.clock,
            meter=self.meter,
            thermometer=self.thermometer,
            settings=Settings(shop_celsius=COLD),
            units=units or UnitChoice(),
            new=visit is None,
            keeping=keeping(RunKeeping(store=self.runs, tap=self.tap)),
        )
        if visit is None:
            for action in ("submit", "skip", "skip"):
                self.bench.act(action)

    def link(self) -> None:
        """Plug the meter in anew."""
        self.opened["A"] = self.clock.monotonic()
        self.meter.connect(LinkRequest(port="/dev/fake0", protocol="nibble-14"))
        self.meter.keep_match(self.clock.now())

    def overflow(self) -> None:
        """The inboxes could not hold what came since the last tick."""
        for room in (self.room, self.other_room):
            items = room.links[-1].items
            times = [item.t_s for item in items if isinstance(item, Reading)]
            lost = Gap(
                channel=room.links[-1].channel,
                start_s=times[0],
                end_s=times[-1],
                reason="overflow",
            )
            items.clear()
            items.append(lost)

    # --- what comes in ----------------------------------------------------------------------------

    def ohms(self, value: float | None, given: Given = PLAINLY) -> Reading:
        """A resistance as the meter gives it now, on its 20 kΩ range."""
        count = 10.0
        return self._reading(
            "A", None if value is None else count * round(value / count), count, given
        )

    def warmth(self, celsius: float) -> Reading:
        """A temperature as the second meter gives it now."""
        given = {"quantity": Quantity.TEMPERATURE, "exponent": 0, "full_scale": None}
        return self._reading("B", round(celsius, 1), 0.1, given)

    def _reading(self, channel: str, value: float | None, count: float, given: Given) -> Reading:
        plain = Reading(
            t_s=self.clock.monotonic() - self.opened[channel],
            channel=channel,
            quantity=Quantity.RESISTANCE,
            value=value,
            resolution=count,
            full_scale=22e3,
            overload=value is None,
            exponent=3,
        )
        return replace(plain, **given)  # type: ignore[arg-type]

    def say(self, *items: LinkItem, tick: bool = True) -> None:
        """Things the links say: readings go through the tap first, as at a reader's thread."""
        for item in items:
            if isinstance(item, Reading):
                self.tap(item)
            room = self.room if item.channel == "A" else self.other_room
            room.links[-1].items.append(item)
        if tick:
            self.bench.tick()

    def pass_(self, seconds: float) -> None:
        """Time passes and nothing is said."""
        self.clock.pass_by(seconds)

    def hold(
        self,
        seconds: float,
        *,
        per_minute: float = 0.0,
        part: Callable[[float], float | None] = copper,
        tick: bool = True,
        given: Given = PLAINLY,
    ) -> None:
        """Readings of both meters for a while, the part warming by so many kelvin a minute."""
        for _ in range(round(seconds / self.period)):
            self.pass_(self.period)
            self.celsius += per_minute * self.period / 60.0
            said: list[LinkItem] = []
            if self.thermometer.linked:
                said.append(self.warmth(self.celsius))
            said.append(self.ohms(part(self.celsius), given))
            self.say(*said, tick=tick)

    def heat_to(self, celsius: float, *, per_minute: float = 4.0, tick: bool = True) -> None:
        """Warm or cool the part to a temperature."""
        way = 1.0 if celsius > self.celsius else -1.0
        seconds = 60.0 * abs(celsius - self.celsius) / per_minute
        self.hold(seconds, per_minute=way * per_minute, tick=tick)

    def start(self) -> None:
        """One reading of a cold part, then the key."""
        self.hold(2.0)
        self.bench.act("run_start")

    # --- what stands ------------------------------------------------------------------------------

    @property
    def view(self) -> BenchView:
        """The screen."""
        return self.bench.view()

    @property
    def run(self) -> RunView:
        """The run on the screen."""
        shown = self.bench.view().run
        assert shown is not None
        return shown

    def entries(self, kind: type[Entry]) -> list[Entry]:
        """Entries of a kind, in order."""
        return [e for e in self.bench.visit.entries if isinstance(e, kind)]

    @property
    def ended(self) -> RunEnded:
        """The run that ended last."""
        found = self.entries(RunEnded)[-1]
        assert isinstance(found, RunEnded)
        return found

    @property
    def started(self) -> list[Entry]:
        """Runs begun."""
        return self.entries(RunStarted)

    @property
    def marks(self) -> list[Entry]:
        """Marks made."""
        return self.entries(RunMarked)
