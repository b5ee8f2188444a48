"""A visit on the bench: readings and keys in, entries out, one view a tick.

The screen says taken only when the store has said so; what is on its way stands in pencil.
"""

from benchassist.core.band import Verdict
from benchassist.core.entry import Taken
from benchassist.core.run_plot import RunPlot
from benchassist.core.steady import Phase, is_shorted
from benchassist.errors import StepError
from benchassist.services.bench import key as bench_key
from benchassist.services.bench import screen as bench_screen
from benchassist.services.bench.stage import Stage
from benchassist.services.bench.taker import TYPED
from benchassist.services.bench.view import BenchView
from benchassist.services.bench.walk import Walk
from benchassist.services.runs import key as run_key
from benchassist.services.translation import _


class Bench(Walk):
    """One visit under work. `tick` and `act` from one thread; `view` is a value."""

    def tick(self) -> None:
        """Take in acknowledgements and readings; take by itself; go on when probes are lifted."""
        self.told = None
        self.settle()
        self.aside()
        self.meter.attend(self.wanted)
        self.meter.take_in()
        if self.thermometer is not None:
            self.thermometer.take_in()
        self.run.tick()
        self.look_again()
        self.taker.borrow_zero()
        if self._may_take_by_itself():
            bench_key.take(self, by_key=False)
        if self.flash is not None and self._may_go_on():
            self._go_on()

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

    # --- keys and view ---------------------------------------------------------------------------

    def act(self, action: str, argument: str = "") -> None:
        """Do what a key asked for. Raises BenchError where the visit's state does not allow it."""
        handler = bench_key.handler_of(run_key.meaning(self, action))
        if handler is None:
            raise StepError(_("nothing to do for '{action}' here").format(action=action))
        self.message, self.told = "", None
        handler(self, argument)

    def run_window(self, run_id: str, start_s: float, end_s: float, buckets: int) -> RunPlot:
        """The run in view between two moments, from disk. Raises NotFoundError for another run."""
        return self.run.window(run_id, start_s, end_s, buckets)

    def view(self) -> BenchView:
        """What the bench shows now."""
        return bench_screen.view_of(self)
