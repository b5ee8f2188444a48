"""A heat run at work: the meter against the line, how warm the part is, what happened."""

from collections.abc import Sequence
from dataclasses import replace
from math import isfinite

from benchassist.core.entry import RunMarked
from benchassist.core.heat_run import HeatRun
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.run import MarkKind, RunGap, RunKind
from benchassist.core.run_finding import HeatEvent, HeatEventKind, HeatFinding, Leg
from benchassist.core.run_plot import RunPlot
from benchassist.core.samples import Samples
from benchassist.errors import StepError
from benchassist.services.bench.view import KeyHint
from benchassist.services.desk import Action
from benchassist.services.runs.heat_guide import HeatGuide
from benchassist.services.runs.heat_plot import HeatTrace
from benchassist.services.runs.heat_screen import HeatScreen
from benchassist.services.runs.heat_temperature import MEASURED_U, PartThermometer
from benchassist.services.runs.heat_text import alarm_text
from benchassist.services.runs.playback import reading_of
from benchassist.services.runs.view import RunStage, RunView
from benchassist.services.runs.work import START, Draft, Question, RunSetting
from benchassist.services.translation import _
from benchassist.units import read_part_temperature

ALARM_HOLDS = 10.0
"""Seconds for which an alarm stands at least, however short what it was for."""
PLOT_EVERY = 0.15
"""Seconds between two pictures of the plot."""
THERMOMETER = "B"
FINE, FINE_UPTO = 5, 5000
LEAST_PART, MOST_PARTS = 64, 500
"""How a stretch from disk is cut, in samples."""
HOLDS = 5.0
"""Seconds for which a temperature told is the part's now."""


class HeatWork:
    """Satisfies `RunWork`."""

    def __init__(self, setting: RunSetting) -> None:
        self.setting = setting
        self.plan = setting.plan
        self.run = self._detector(None)
        self.cold: float | None = None
        """Celsius of the part as stated at the start."""
        self.trace = HeatTrace()
        self.thermometer = PartThermometer()
        self.guide = HeatGuide(setting.plan, setting.units)
        self.events: dict[float, HeatEvent] = {}
        self.marks: list[RunMarked] = []
        self.gaps: list[RunGap] = []
        self.first: tuple[Reading, float | None] | None = None
        """The first reading and the temperature beside it."""
        self.tracking: tuple[float, float, float | None] | None = None
        """When the line was found, what was read and how warm the part was."""
        self.now: Reading | None = None
        self.alarms = 0
        self._alarm: tuple[float, HeatEvent] | None = None
        self._asks = False
        self.measured = False
        """Whether a second meter has told the part's temperature."""
        self.news = 0
        """Counts up where something happened that is no mere reading."""
        self._screen = HeatScreen(self)
        self._plot: RunPlot | None = None
        self._plotted: tuple[float, int, RunStage] | None = None
        self._changes = 0

    def _detector(self, cold: float | None) -> HeatRun:
        plan = self.plan
        return HeatRun(plan.part, ceiling=plan.ceiling, cycles=plan.cycles, cold_celsius=cold)

    @property
    def wanted(self) -> Quantity | None:
        """Ohms."""
        return Quantity.RESISTANCE

    # --- what comes in ----------------------------------------------------------------------------

    def take(self, reading: Reading) -> None:
        """A resistance, or a temperature of the second meter."""
        if reading.channel == THERMOMETER:
            if reading.value is not None:
                self.measured = True
                self._feel(reading.t_s, reading.value)
            return
        told = self.thermometer.fresh()
        celsius = told.celsius if told is not None else None
        events = self.run.feed(
            reading.t_s,
            reading.value,
            reading.resolution,
            celsius,
            celsius_u=told.u if told is not None else MEASURED_U,
        )
        self.trace.ohm(reading.t_s, reading.value)
        self.now = reading
        self._changes += 1
        self._first(reading)
        self._follow(reading.t_s)
        if self.celsius is not None:
            self.guide.feel(reading.t_s, self.celsius)
        for event in events:
            self._happened(event, reading.t_s)

    def _feel(self, t_s: float, celsius: float, *, typed: bool = False) -> None:
        self.thermometer.tell(t_s, celsius, typed=typed)
        if self.first is not None and self.first[1] is None and t_s - self.first[0].t_s <= HOLDS:
            self.first = (self.first[0], celsius)
            self.news += 1
        self.trace.celsius.append(t_s, celsius)

    def _first(self, reading: Reading) -> None:
        if self.first is None and reading.value is not None:
            told = self.thermometer.last
            self.first = (reading, told.celsius if told is not None else self.cold)
            self.news += 1

    def _follow(self, t_s: float) -> None:
        """The line as it stands now, for the ribbon; the moment it was found."""
        line = self.run.line()
        if line is None:
            return
        expected, half = line
        self.trace.line.append(t_s, expected - half, expected + half)
        if self.tracking is None and self.now is not None and self.now.value is not None:
            warm = self.thermometer.last
            if warm is None or self.run.ribbon(warm.celsius) is not None:
                self.tracking = (t_s, self.now.value, self.celsius)
                self.news += 1

    def take_block(self, channel: str, samples: Samples) -> None:
        """Many, read back from disk; a stretch's temperatures before its resistances."""
        if channel == THERMOMETER:
            self.measured = True
            self.thermometer.tell_block(samples)
            self.trace.celsius.extend(samples.t_s, samples.value)
            return
        place = 0
        while place < len(samples):
            cut = slice(place, place + self._part_size(len(samples), place))
            place = cut.stop
            part = Samples(samples.t_s[cut], samples.value[cut], samples.resolution[cut])
            celsius = self.thermometer.column(part.t_s)
            events = self.run.feed_block(part, celsius)
            self.trace.ohm_block(part)
            self._last_of(part)
            for event in events:
                self._happened(event, float(part.t_s[-1]))

    def _part_size(self, count: int, place: int) -> int:
        """Of a stretch from disk: fine until the line is found, then as the ribbon is drawn."""
        if self.first is None:
            return 1
        if self.tracking is None and place < FINE_UPTO:
            return FINE
        return max(LEAST_PART, count // MOST_PARTS)

    def _last_of(self, part: Samples) -> None:
        self._changes += 1
        if self.first is None and isfinite(part.value[0]):
            self._first(reading_of(part, 0))
        self.now = reading_of(part, -1)
        if self.celsius is not None:
            self.guide.feel(self.now.t_s, self.celsius)
        self._follow(self.now.t_s)

    def gap(self, gap: RunGap) -> None:
        """Samples are missing."""
        self.gaps.append(gap)
        self.news += 1
        self._changes += 1
        warm = gap.channel == THERMOMETER
        self.run.gap(gap, thermometer=warm)
        if not warm:
            self.trace.gap(gap.start_s)

    def mark(self, mark: RunMarked) -> None:
        """A moment, a temperature, or a turn of the cycle."""
        self.marks.append(mark)
        self.news += 1
        self._changes += 1
        if mark.kind is MarkKind.TEMPERATURE and mark.text == START and self.now is None:
            self.cold = mark.value
            self.run = self._detector(mark.value)
        elif mark.kind is MarkKind.TEMPERATURE and mark.value is not None:
            self._feel(mark.t_s, mark.value, typed=True)
        elif mark.kind is MarkKind.LEG:
            self.guide.turn(mark.text)
            self.run.turn(Leg.COOLING if mark.text == Leg.COOLING else Leg.HEATING)

    def _happened(self, event: HeatEvent, t_s: float) -> None:
        before = self.events.get(event.start_s)
        new = before is None or before.kind is HeatEventKind.SPIKE
        self.events[event.start_s] = event
        self.news += 1
        self._changes += 1
        if event.kind is HeatEventKind.SPIKE:
            return
        if new:
            self.alarms += 1
        if new or (self._alarm is not None and self._alarm[1].start_s == event.start_s):
            since = t_s if new or self._alarm is None else self._alarm[0]
            self._alarm = (since, event)

    # --- keys -------------------------------------------------------------------------------------

    def act(self, action: str, argument: str, now_s: float) -> Sequence[Draft]:
        """Marks and turns. Raises StepError for what a heat run has no use for."""
        match action:
            case Action.RUN_MARK:
                return (Draft(kind=MarkKind.MOMENT, t_s=now_s, text=argument),)
            case Action.RUN_TURN:
                return (self.guide.turning(now_s),)
            case Action.RUN_TYPE:
                self._asks = True
                return ()
            case _:
                raise StepError(_("nothing to do for that key in a heat run"))

    def question(self) -> Question | None:
        """The part's temperature, where it is being typed."""
        if not self._asks:
            return None
        unit = self.setting.units.typed_unit(Quantity.TEMPERATURE)
        return Question(
            label=_("Part temperature now"),
            hint=_("{unit} if no unit is typed. Enter keeps it").format(unit=unit),
        )

    def read(self, text: str, now_s: float) -> Sequence[Draft]:
        """The temperature typed. Raises InputError."""
        unit = self.setting.units.typed_unit(Quantity.TEMPERATURE)
        celsius = read_part_temperature(text, default_unit=unit)
        self._asks = False
        return (Draft(kind=MarkKind.TEMPERATURE, t_s=now_s, value=celsius),)

    def forget_question(self) -> None:
        """Nothing is typed."""
        self._asks = False

    # --- what comes out ---------------------------------------------------------------------------

    @property
    def celsius(self) -> float | None:
        """The part's temperature: told within the last seconds, else as it must be by now."""
        told, now = self.thermometer.last, self.now
        if told is not None and (now is None or now.t_s - told.t_s <= HOLDS):
            return told.celsius
        return self.run.celsius

    @property
    def is_open(self) -> bool:
        """Whether an open stands now."""
        return any(e.kind is HeatEventKind.OPEN and e.end_s is None for e in self.events.values())

    def alarm(self, now_s: float) -> str:
        """What is called out now: while it lasts, and for a while after."""
        if self._alarm is None:
            return ""
        since, event = self._alarm
        if event.end_s is not None and now_s - since > ALARM_HOLDS:
            return ""
        return alarm_text(event, self.setting.units)

    def view(self, now_s: float, stage: RunStage) -> RunView:
        """What shows; the plot anew a few times a second at most."""
        if stage is RunStage.READY:
            return self._screen.ready()
        before = self._plotted
        due = before is None or stage is not before[2]
        if before is not None and self._changes != before[1] and now_s - before[0] >= PLOT_EVERY:
            due = True
        if due:
            self._plot = self._screen.plot(now_s, stage)
            self._plotted = (now_s, self._changes, stage)
        return self._screen.show(now_s, stage, self._plot)

    def keys(self, stage: RunStage) -> tuple[KeyHint, ...]:
        """The keys of the strip that are a heat run's own."""
        typed = KeyHint(press="T", text=_("Temperature"), action=Action.RUN_TYPE)
        if stage is RunStage.READY:
            return (KeyHint(press="T", text=_("Temperature"), action=Action.TEMPERATURE),)
        return (typed,) if stage is RunStage.RUNNING else ()

    def finding(self, *, end_s: float) -> HeatFinding:
        """What was found up to here."""
        found = self.run.finding()
        return replace(found, duration_s=max(found.duration_s, end_s))

    @property
    def kind(self) -> RunKind:
        """A heat run."""
        return RunKind.HEAT
