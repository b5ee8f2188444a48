"""The technician's hands on the practice bench: the probes follow the check, or are held by hand.

They do what a person does: lift, wait, touch the part, hold still, lift once it is taken. For a run
they put the clip on and leave it there.
"""

from types import MappingProxyType
from typing import Final

from benchassist.core.procedure import Check, CheckKind
from benchassist.core.run import DrillStep, HeatedPart, RunKind
from benchassist.core.steady import Phase
from benchassist.practice.bench import PracticeBench, probes_for
from benchassist.practice.parts import CLAMP
from benchassist.services.bench.bench import Bench
from benchassist.services.bench.stage import Stage
from benchassist.services.bench.view import BenchView, NumberState

REACH_S = 0.9
"""Seconds a person's hand takes from one place to the next."""
PROVE_S = 1.5
"""Seconds a person holds the probes together before an open is believed."""
APART_S = 1.0
"""Seconds after which the bench has seen lifted probes, if it can: after an overload it cannot."""

TAKING = frozenset({NumberState.WRITING, NumberState.TAKEN})

LIFT = "lift"
SHORT = "short"

CLIPPED: Final = MappingProxyType(
    {
        HeatedPart.WINDING: "coil_secondary",
        HeatedPart.CAP: "cap",
        HeatedPart.LEAD: "lead",
        HeatedPart.PATH: "path",
    }
)
"""Where the clip goes for what is warmed."""


class Hand:
    """Moves the practice bench's probes for a bench. `follow` at every tick.

    `haste` divides the time the hands take; what the bench itself waits for stays as long.
    """

    def __init__(self, practice: PracticeBench, *, haste: float = 1.0) -> None:
        self._practice = practice
        self._reach_s, self._prove_s = REACH_S / haste, PROVE_S / haste
        self.holds = LIFT
        self._place = ""
        self._arrived_at = self._lifted_at = 0.0
        self._open_since: float | None = None
        self._taken = False
        self.by_itself = True
        """Whether the probes follow the check."""
        self.check: Check | None = None
        """The check that the bench is at; None while it opens or closes a visit."""
        self.asked: DrillStep | None = None
        """The step of the quit drill that is asked now."""

    def follow(self, bench: Bench, view: BenchView) -> None:
        """Go where the bench wants the probes now."""
        self._look_at(bench, view)
        if not self.by_itself:
            return
        now = bench.clock.monotonic()
        place = _place_of(bench)
        if place != self._place:
            self._place, self._arrived_at = place, now
        if self.holds != LIFT:
            self._lifted_at = now
        self._hold(self._wanted(bench, view, now - self._arrived_at))

    def _look_at(self, bench: Bench, view: BenchView) -> None:
        self.check = bench.visit.current if bench.stage is Stage.CHECKS else None
        drill = view.run.drill if view.run is not None else None
        plan = self.check.run if self.check is not None else None
        self.asked = None
        if drill is not None and drill.choices and plan is not None:
            asked = (step for step in plan.drill if step.question == drill.question)
            self.asked = next(asked, None)

    def _wanted(self, bench: Bench, view: BenchView, since: float) -> str:
        check = bench.visit.current
        if bench.stage is Stage.CHECKS and check.kind is CheckKind.RUN:
            return LIFT if since < self._reach_s and not bench.run.on else clip_for(check)
        if since < self._reach_s or bench.prompt is not None or bench.visit.closed:
            return LIFT
        if self._lets_go(bench, view):
            return LIFT
        if bench.stage is Stage.LEADS:
            return SHORT
        if bench.stage is Stage.KNOWN_RESISTOR:
            return "self_check"
        if not bench.taker.wants_reading():
            return LIFT
        if check.kind is not CheckKind.MEASURE or bench.asking_option():
            return LIFT
        if self._must_prove(bench, view, since):
            return SHORT
        return check.key if probes_for(check.key) else LIFT

    def _lets_go(self, bench: Bench, view: BenchView) -> bool:
        """Whether a touch that was taken is to be left, until the bench has seen the probes off."""
        if view.number.state in TAKING:
            self._taken = True
        elif self._taken and self.holds == LIFT:
            apart = bench.clock.monotonic() - self._lifted_at
            self._taken = bench.meter.now_steady.phase is Phase.LIFT and apart < APART_S
        return self._taken

    def _must_prove(self, bench: Bench, view: BenchView, since: float) -> bool:
        """Whether an open is to be believed here and the leads are not proved yet."""
        if bench.visit.current.expects_overload and since < self._reach_s + self._prove_s:
            return True
        if view.number.state is not NumberState.OVERLOAD or bench.meter.leads_proved():
            self._open_since = None
            return self.holds == SHORT and not bench.meter.leads_proved()
        now = bench.clock.monotonic()
        self._open_since = self._open_since if self._open_since is not None else now
        return now - self._open_since >= self._prove_s

    def _hold(self, what: str) -> None:
        if what == self.holds:
            return
        self.holds = what
        if what == LIFT:
            self._practice.lift()
        elif what == SHORT:
            self._practice.short()
        else:
            self._practice.touch(what)

    def take_over(self, what: str) -> None:
        """Hold the probes somewhere by hand: 'lift', 'short' or a check's key."""
        self.by_itself = False
        self._hold(what)

    def let_go(self) -> None:
        """Let the probes follow the check again."""
        self.by_itself = True


def clip_for(check: Check) -> str:
    """Where the clip goes for a check that is a run; the probes are lifted where it has none."""
    plan = check.run
    if plan is not None and plan.kind is RunKind.HEAT:
        return CLIPPED[plan.part]
    return CLAMP if plan is not None and plan.kind is RunKind.ENGINE else LIFT


def _place_of(bench: Bench) -> str:
    """Where the bench stands: a stage, or a check and which way round it is read."""
    way = "other way" if bench.taker.needs_other_way() else ""
    return f"{bench.stage} {bench.visit.current.key} {way}"
