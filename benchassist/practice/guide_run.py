"""How the guided visit makes its runs: keys, heat and throttle, as a technician works them."""

from typing import Final

from benchassist.core.procedure import Check
from benchassist.core.reading import LinkState
from benchassist.core.run import RunKind, RunPlan
from benchassist.core.run_finding import HeatEvent, HeatEventKind, HeatFinding
from benchassist.practice.engine import HIGH, Throttle
from benchassist.practice.guide_play import Play
from benchassist.practice.hand import clip_for
from benchassist.practice.seen import drilled
from benchassist.services.runs.view import RunStage, RunView

PACE: Final = 45.0
"""How much faster than life the guide warms a part: with ten readings a second no more."""
LEAD_OUT_AT: Final = 32.0
"""Celsius at which the meter's lead is pulled: well before anything happens."""
HOT: Final = 90.0
COLD: Final = 45.0
"""Celsius at which the guide takes the heat away, and ends a leg in which nothing happened."""
CYCLES: Final = 2
OPEN_S: Final = 1.0
"""Seconds for which an open is looked at before the heat goes off."""
SETTLES_S: Final = 1.0
"""Seconds after which a meter that was just clipped on shows what the part has."""
STAY_S: Final = 2.6
"""Seconds at each speed of an idle-down."""
SETTLED: Final = 0.97
ATTEMPTS: Final = 2
"""Idle-downs more than asked for, where some did not come."""


class RunPlayer:
    """Makes the runs of one guided visit; what it cannot play it passes over."""

    def __init__(self, play: Play) -> None:
        self._play = play
        self._has_pulled = False

    def play(self, check: Check, plan: RunPlan) -> bool:
        """Make the run of a check; False where this guide has no hands for it."""
        if plan.kind is RunKind.TANK or plan.loads or plan.tank_pressure:
            return False
        play = self._play
        play.wait("the clip", lambda: play.session.hand.holds == clip_for(check))
        if plan.kind is RunKind.HEAT:
            self._make_hot(check)
        elif plan.kind is RunKind.ENGINE:
            self._run_engine(check, plan)
        else:
            self._drill(check, plan)
        play.window.press("E")
        play.wait(f"the end of {check.key}", lambda: self._view.stage is RunStage.ENDED)
        play.wait("all of the run on disk", lambda: play.bench.pen.all_in_ink)
        play.shot(f"{check.key}-ended")
        return True

    @property
    def _view(self) -> RunView:
        view = self._play.bench.view().run
        return view if view is not None else RunView(kind=RunKind.HEAT, stage=RunStage.READY)

    def _start(self, check: Check) -> None:
        play = self._play
        play.shot(f"{check.key}-ready")
        play.window.press("Space", " ")
        play.wait(f"{check.key} to run", lambda: play.bench.run.on)

    # --- heat -----------------------------------------------------------------------------------

    def _make_hot(self, check: Check) -> None:
        """Warm it, see it open, let it cool until it closes, and once more."""
        play, practice = self._play, self._play.practice
        play.wait("the clip to read", self._reads)
        play.window.pump(SETTLES_S)
        practice.hurry(PACE)
        self._start(check)
        for cycle in range(CYCLES):
            practice.heat()
            if cycle == 0:
                self._disturb(check)
            play.wait("the part to open, or to be hot", lambda: self._is_open() or self._is_hot())
            play.shot(f"{check.key}-alarm" if self._is_open() else f"{check.key}-hot")
            play.window.press("C")
            practice.heat(on=False)
            play.wait("the part to close, or to be cold", self._is_back)
            play.shot(f"{check.key}-cooling")
            if cycle + 1 < CYCLES:
                play.window.press("C")
        play.shot(f"{check.key}-running")
        practice.hurry(1.0)

    def _reads(self) -> bool:
        live = self._play.session.shop.meter.live
        return live is not None and live.value is not None

    def _disturb(self, check: Check) -> None:
        """The lead is pulled and pushed in again, and nonsense is typed for a temperature."""
        play, meter = self._play, self._play.session.shop.meter
        play.wait("the part to get warm", lambda: play.practice.sight.celsius >= LEAD_OUT_AT)
        play.practice.unplug()
        play.wait("the link to be missed", lambda: meter.link_state is not LinkState.LIVE)
        play.shot(f"{check.key}-meter-lost")
        play.practice.plug()
        play.wait("the link to come back", lambda: meter.live is not None)
        play.submit("T", "lukewarm")
        play.shot(f"{check.key}-nonsense")
        play.window.press("Esc")

    def _opens(self) -> list[HeatEvent]:
        run = self._play.bench.run
        finding = run.work.finding(end_s=run.now_s)
        events = finding.events if isinstance(finding, HeatFinding) else ()
        return [event for event in events if event.kind is HeatEventKind.OPEN]

    def _is_open(self) -> bool:
        """Whether an open has stood for a while."""
        opens, now_s = self._opens(), self._play.bench.run.now_s
        return bool(opens) and opens[-1].end_s is None and now_s - opens[-1].start_s >= OPEN_S

    def _is_hot(self) -> bool:
        return self._play.practice.sight.celsius >= HOT

    def _is_back(self) -> bool:
        """Whether what opened has closed; where nothing did, whether it is cold."""
        opens = self._opens()
        if opens:
            return opens[-1].end_s is not None
        return self._play.practice.sight.celsius <= COLD

    # --- engine ---------------------------------------------------------------------------------

    def _run_engine(self, check: Check, plan: RunPlan) -> None:
        """Start it, log it, and idle it down as often as is asked for."""
        play, practice = self._play, self._play.practice
        practice.throttle(Throttle.HIGH)
        practice.start()
        play.wait("the engine at speed", lambda: practice.sight.rpm >= SETTLED * HIGH)
        self._start(check)
        play.wait("its speed on the bench", lambda: bool(self._view.figures[0].digits))
        for turn in range(plan.cycles + ATTEMPTS):
            play.window.pump(STAY_S)
            self._answer_pulses(check)
            if turn >= plan.cycles and self._is_counted():
                break
            practice.throttle(Throttle.LOW)
            play.window.pump(STAY_S)
            practice.throttle(Throttle.HIGH)
            if turn + 1 == plan.cycles:
                play.shot(f"{check.key}-running")
        practice.stop()

    def _is_counted(self) -> bool:
        tally = self._view.tally
        return tally is None or tally.done >= tally.of

    def _answer_pulses(self, check: Check) -> None:
        """A clamp that counts double is asked about."""
        if self._view.question:
            self._play.shot(f"{check.key}-asks")
            self._play.window.press("2")

    # --- drill ----------------------------------------------------------------------------------

    def _drill(self, check: Check, plan: RunPlan) -> None:
        """The engine has just died: what is seen, key by key."""
        play = self._play
        self._start(check)
        case = play.session.hands.case
        for _turn in plan.drill:
            play.window.pump(0.0)
            asked = self._view.drill
            step = next(
                (s for s in plan.drill if asked is not None and s.question == asked.question), None
            )
            if step is None:
                break
            play.shot(f"{check.key}-{step.key}")
            play.window.press(str(drilled(step, case) + 1))
        play.shot(f"{check.key}-running")
