"""A visit's walk: at which stage and step it is, what is being typed, what waits for the disk.

Everything on the bench works on this one state; `Bench` adds time, keys and the view.
"""

from collections.abc import Callable

from benchassist.core.entry import (
    Closed,
    Entry,
    LeadsZeroed,
    Moment,
    MovedTo,
    Noted,
    PartMarked,
    RunEnded,
    SelfChecked,
    TemperatureSet,
)
from benchassist.core.own_band import OwnBand
from benchassist.core.procedure import Check
from benchassist.core.quantity import Quantity
from benchassist.core.steady import is_shorted
from benchassist.core.visit import Visit
from benchassist.errors import StepError
from benchassist.services.bench.beside import Beside
from benchassist.services.bench.moot import moot_text
from benchassist.services.bench.pen import Pen
from benchassist.services.bench.prompt import Prompt, Purpose
from benchassist.services.bench.self_check import SelfCheck
from benchassist.services.bench.stage import Stage
from benchassist.services.bench.taker import Taker
from benchassist.services.metering.meter import Meter
from benchassist.services.needs import Clock, Store
from benchassist.services.receipt import Receipts
from benchassist.services.record.band_look import Look
from benchassist.services.record.own_bands import OwnBands
from benchassist.services.runs.host import RunHost
from benchassist.services.runs.keeping import RunKeeping
from benchassist.services.settings import Settings
from benchassist.services.translation import _
from benchassist.units import UnitChoice

FAR_FROM_SHORT = 100.0
"""Ohm. Where a band begins above it, probes held together are no reading of the part."""

OPENING = (TemperatureSet, LeadsZeroed, SelfChecked, Noted)
"""Entries of a visit whose first step has not been worked yet."""


def silence() -> str:
    """Nothing to say."""
    return ""


class Walk:
    """One visit under work."""

    def __init__(
        self,
        visit: Visit,
        *,
        store: Store,
        receipts: Receipts,
        clock: Clock,
        meter: Meter,
        thermometer: Meter | None = None,
        settings: Settings,
        units: UnitChoice,
        new: bool = False,
        keeping: RunKeeping | None = None,
        own_bands: OwnBands | None = None,
        beside: Beside | None = None,
        notice: Callable[[], str] = silence,
        aside: Callable[[], object] = silence,
        barred: str = "",
    ) -> None:
        """`notice` is one line of the shop's to show; `barred`: why nothing may be written.

        `aside` lets what was written beside other visits come to disk.
        """
        self.visit = visit
        self.meter = meter
        self.clock = clock
        self.settings = settings
        self.units = units
        self.pen = Pen(visit, store, receipts, clock, new=new, barred=barred)
        self.notice, self.aside = notice, aside
        self.thermometer = thermometer
        self.taker = Taker(
            visit,
            self.pen,
            clock=clock,
            meter=meter,
            thermometer=thermometer,
            settings=settings,
        )
        self.run = RunHost(
            visit,
            self.pen,
            clock=clock,
            meter=meter,
            thermometer=thermometer,
            units=units,
            shop_celsius=settings.shop_celsius,
            keeping=keeping,
        )
        self.known = SelfCheck(visit, self.pen, self.taker, settings)
        self.beside = beside
        """What was in band in an earlier visit; None where nobody asks."""
        self.own_bands = own_bands
        self.own: OwnBand | None = None
        """What the shop's own parts make of this step, as it stood on arrival."""
        self._own_coming = False
        self.prompt: Prompt | None = None
        self.message = ""
        self.moot = ""
        """Why the step that was gone to may be passed over, empty where it may tell something."""
        self.stage = Stage.CHECKS
        self.moment = Moment.START
        self.flash: Entry | None = None
        """The taken reading or look that turned to ink last, until the bench goes on."""
        self.waiting: Entry | None = None
        """The one that is still on its way to disk."""
        self.told: LeadsZeroed | SelfChecked | RunEnded | None = None
        """The lead zero, known resistor or ended run that turned to ink at this tick."""
        self._ahead = _still_to_open(visit)
        if self._ahead and visit.temperature is None:
            self.prompt = Prompt(purpose=Purpose.TEMPERATURE)
        elif self._ahead:
            self.stage = self._ahead.pop(0)
        cut = self.run.recover() if not barred else ""
        self.arrive()
        self.message = cut

    def settle(self) -> None:
        """Take in acknowledgements alone; also while the bench is not in front."""
        for entry in self.pen.settle():
            if entry is self.waiting:
                self.waiting, self.flash = None, entry
            elif isinstance(entry, LeadsZeroed | SelfChecked | RunEnded):
                self.told = entry
            elif isinstance(entry, PartMarked) and self.own_bands is not None:
                self.own_bands.forget(entry.check_key)
                self.look_beside()

    def asking_option(self) -> bool:
        """Whether the marking is asked before anything else here."""
        return self.stage is Stage.CHECKS and self.visit.needs_option(self.visit.current)

    def begin_stages(self) -> None:
        """The temperature was asked: now the leads and the known resistor of a new visit."""
        if self._ahead and self.stage is Stage.CHECKS:
            self.stage = self._ahead.pop(0)
            self.arrive()

    def begin_zeroing(self) -> None:
        """Zero the leads, then come back to the step."""
        self.stage = Stage.LEADS
        self.arrive()

    def begin_self_check(self, moment: Moment) -> None:
        """Measure the known resistor, then come back, or close where it is the visit's end.

        What the probes are on now is a part, however near its value is: they are lifted first.
        """
        if self.meter.live is not None:
            self.meter.used_up(self.meter.live)
        self.stage, self.moment = Stage.KNOWN_RESISTOR, moment
        self.arrive()

    def end_stage(self, done: Stage) -> None:
        """What opens or closes the visit is done, or passed over: on to what comes next."""
        if self.stage is not done:
            return
        self.stage = self._ahead.pop(0) if self._ahead else Stage.CHECKS
        closing = done is Stage.KNOWN_RESISTOR and self.moment is Moment.END
        self.moment = Moment.START
        self.arrive()
        if closing:
            self.close_now()

    @property
    def wanted(self) -> Quantity | None:
        """What the meter is to be set to here; a speed comes from it in hertz."""
        if self.stage is not Stage.CHECKS:
            return Quantity.RESISTANCE
        if self.run.here:
            return self.run.wanted
        quantity = self.visit.current.quantity
        return Quantity.FREQUENCY if quantity is Quantity.SPEED else quantity

    def look_beside(self) -> None:
        """What the shop's own parts say of this step now."""
        asks = self.own_bands if self.stage is Stage.CHECKS else None
        look = asks.at(self.visit) if asks is not None else Look()
        self.own, self._own_coming = look.band, look.coming

    def look_again(self) -> None:
        """What was not known on arrival may be by now; that of a step left behind is dropped."""
        if self._own_coming:
            self.look_beside()

    def arrive(self) -> None:
        """Tell the meter what is wanted here."""
        self.meter.expect(self.wanted)
        self.flash = None
        self.message = ""
        self.look_beside()
        at_checks = self.stage is Stage.CHECKS and not self._ahead
        if at_checks and self.prompt is None and self.taker.needs_temperature():
            self.ask(Purpose.TEMPERATURE)

    def move_to(self, check: Check) -> None:
        """Go to a check; what opens or closes a visit is left for later.

        Raises StepError while a run is on.
        """
        if self.run.on:
            raise StepError(_("a run is on: press E to end it first"))
        self.stage, self.moment, self._ahead = Stage.CHECKS, Moment.START, []
        self.pen.write(lambda stamp: MovedTo(stamp=stamp, check_key=check.key))
        self.arrive()
        self.moot = moot_text(self.visit, check)

    def ask(self, purpose: Purpose, *, memory: str = "") -> None:
        """Wait for a line of text."""
        self.prompt = Prompt(purpose=purpose, memory=memory)

    def close_now(self) -> None:
        """Close the visit. Raises StepError where something undone must first be put back."""
        self.taker.write(lambda stamp: Closed(stamp=stamp))

    def proving_leads(self) -> bool:
        """Whether the probes are held together where that can only be the proof of the leads."""
        live, band = self.meter.live, self.visit.band(self.visit.current)
        lower = band.lower if band is not None else None
        far_off = lower is not None and lower > FAR_FROM_SHORT
        return live is not None and is_shorted(live) and (far_off or self._expects_open())

    def _expects_open(self) -> bool:
        check = self.visit.current
        return check.expects_overload or check.polarities == 2


def _still_to_open(visit: Visit) -> list[Stage]:
    """What opens a visit and is not done; nothing once a step has been worked or gone to."""
    if any(not isinstance(entry, OPENING) for entry in visit.entries):
        return []
    zeroed = any(isinstance(entry, LeadsZeroed) for entry in visit.entries)
    known = visit.self_check(Moment.START) is not None
    return [Stage.LEADS] * (not zeroed) + [Stage.KNOWN_RESISTOR] * (not known)
