"""A visit on the bench: readings and keys in, entries out, one view a tick.

The screen says taken only when the store has said so; what is on its way stands in pencil.
"""

from benchassist.core.band import Verdict
from benchassist.core.entry import Entry, Moment, MovedTo, Taken
from benchassist.core.procedure import Check
from benchassist.core.quantity import Quantity
from benchassist.core.steady import Phase, is_shorted
from benchassist.core.visit import Visit
from benchassist.errors import StepError
from benchassist.services import bench_key, bench_screen
from benchassist.services.bench_view import BenchView
from benchassist.services.meter import Meter
from benchassist.services.needs import Clock, Store
from benchassist.services.pen import Pen
from benchassist.services.prompt import Prompt, Purpose
from benchassist.services.receipt import Receipts
from benchassist.services.self_check import SelfCheck
from benchassist.services.settings import Settings
from benchassist.services.stage import Stage
from benchassist.services.taker import TYPED, Taker
from benchassist.services.translation import _
from benchassist.units import UnitChoice

FAR_FROM_SHORT = 100.0
"""Ohm. Where a band begins above it, probes held together are no reading of the part."""


class Bench:
    """One visit under work. `tick` and `act` from one thread; `view` is a value."""

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
    ) -> None:
        self.visit = visit
        self.meter = meter
        self.clock = clock
        self.settings = settings
        self.units = units
        self.pen = Pen(visit, store, receipts, clock, new=new)
        self.thermometer = thermometer
        self.taker = Taker(
            visit,
            self.pen,
            clock=clock,
            meter=meter,
            thermometer=thermometer,
            settings=settings,
        )
        self.known = SelfCheck(visit, self.pen, self.taker, settings)
        self.prompt: Prompt | None = None
        self.message = ""
        self.stage = Stage.CHECKS
        self.moment = Moment.START
        self.flash: Entry | None = None
        """The taken reading or look that turned to ink last, until the bench goes on."""
        self.waiting: Entry | None = None
        """The one that is still on its way to disk."""
        self._ahead: list[Stage] = []
        if not visit.entries:
            self._ahead = [Stage.LEADS, Stage.KNOWN_RESISTOR]
            self.prompt = Prompt(purpose=Purpose.TEMPERATURE)
        self.arrive()

    # --- time ------------------------------------------------------------------------------------

    def tick(self) -> None:
        """Take in acknowledgements and readings; take by itself; go on when probes are lifted."""
        self.settle()
        self.meter.attend(self.wanted)
        self.meter.take_in()
        if self.thermometer is not None:
            self.thermometer.take_in()
        self.taker.borrow_zero()
        if self._may_take_by_itself():
            bench_key.take(self, by_key=False)
        if self.flash is not None and self._may_go_on():
            self._go_on()

    def settle(self) -> None:
        """Take in acknowledgements alone; also while the bench is not in front."""
        for entry in self.pen.settle():
            if entry is self.waiting:
                self.waiting, self.flash = None, entry

    def _may_take_by_itself(self) -> bool:
        steady = self.meter.now_steady
        if steady.phase is not Phase.STEADY or steady.reading is None or self.visit.closed:
            return False
        if self.prompt is not None or self.waiting is not None or self.flash is not None:
            return False
        if not self.meter.may_take_by_itself:
            return False
        if self.stage is Stage.LEADS:
            return is_shorted(steady.reading)
        if self.stage is Stage.KNOWN_RESISTOR:
            return self.known.near_known(steady.reading)
        if self.asking_option() or not self.taker.wants_reading():
            return False
        candidate = self.taker.candidate()
        return (
            candidate is not None
            and candidate.bar is None
            and candidate.taken is not None
            and not self.proving_leads()
            and candidate.taken.judgement.verdict is not Verdict.CANNOT_TELL
        )

    def proving_leads(self) -> bool:
        """Whether the probes are held together where that can only be the proof of the leads."""
        live, band = self.meter.live, self.visit.band(self.visit.current)
        lower = band.lower if band is not None else None
        far_off = lower is not None and lower > FAR_FROM_SHORT
        return live is not None and is_shorted(live) and (far_off or self._expects_open())

    def _expects_open(self) -> bool:
        check = self.visit.current
        return check.expects_overload or check.polarities == 2

    def _may_go_on(self) -> bool:
        """The probes have been lifted, or that cannot be seen: typed, looked at, above range."""
        if not isinstance(self.flash, Taken) or self.flash.reading.channel == TYPED:
            return True
        if self.flash.reading.overload:
            return True
        return not self.meter.linked or self.meter.now_steady.phase is not Phase.LIFT

    def _go_on(self) -> None:
        self.flash = None
        if self.taker.needs_other_way() or self.visit.closed or self.prompt is not None:
            return
        following = self.visit.next_to_do()
        if following is not None and following.key != self.visit.current.key:
            self.move_to(following)

    # --- stages and steps ------------------------------------------------------------------------

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
        """Measure the known resistor, then come back, or close where it is the visit's end."""
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
            bench_key.close_now(self)

    @property
    def wanted(self) -> Quantity | None:
        """What the meter is to be set to here; a speed comes from it in hertz."""
        if self.stage is not Stage.CHECKS:
            return Quantity.RESISTANCE
        quantity = self.visit.current.quantity
        return Quantity.FREQUENCY if quantity is Quantity.SPEED else quantity

    def arrive(self) -> None:
        """Tell the meter what is wanted here."""
        self.meter.expect(self.wanted)
        self.flash = None
        self.message = ""
        at_checks = self.stage is Stage.CHECKS and not self._ahead
        if at_checks and self.prompt is None and self.taker.needs_temperature():
            self.ask(Purpose.TEMPERATURE)

    def move_to(self, check: Check) -> None:
        """Go to a check; what opens or closes a visit is left for later."""
        self.stage, self.moment, self._ahead = Stage.CHECKS, Moment.START, []
        self.pen.write(lambda stamp: MovedTo(stamp=stamp, check_key=check.key))
        self.arrive()

    def ask(self, purpose: Purpose, *, memory: str = "") -> None:
        """Wait for a line of text."""
        self.prompt = Prompt(purpose=purpose, memory=memory)

    # --- keys and view ---------------------------------------------------------------------------

    def act(self, action: str, argument: str = "") -> None:
        """Do what a key asked for. Raises BenchError where the visit's state does not allow it."""
        handler = bench_key.handler_of(action)
        if handler is None:
            raise StepError(_("nothing to do for '{action}' here").format(action=action))
        self.message = ""
        handler(self, argument)

    def view(self) -> BenchView:
        """What the bench shows now."""
        return bench_screen.view_of(self)
