"""A tank run at work: a key at each gauge mark, cut-out and cut-in, free air."""

from collections.abc import Sequence
from typing import Final

from benchassist.core.entry import RunMarked
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.run import MarkKind, RunGap
from benchassist.core.run_finding import TankFinding
from benchassist.core.run_plot import RunPlot
from benchassist.core.samples import Samples
from benchassist.core.tank_run import TankRun
from benchassist.errors import StepError
from benchassist.services.bench.view import KeyHint
from benchassist.services.desk import Action
from benchassist.services.runs.tank_asking import PLACES, Asked, TankAsking
from benchassist.services.runs.tank_screen import (
    TankShown,
    earlier_marks,
    in_tenths,
    tank_plot,
    view_of,
)
from benchassist.services.runs.tank_text import gauge_text, is_us
from benchassist.services.runs.view import RunStage, RunView
from benchassist.services.runs.work import Draft, Question, RunSetting
from benchassist.services.translation import _

STEP_PSI: Final = 25.0
STEP_PASCAL: Final = 200e3
"""Gauge marks from zero: a mark every 25 psi, or every 200 kPa."""

_DROPPABLE: Final = frozenset({MarkKind.PRESSURE, MarkKind.CUT_OUT, MarkKind.CUT_IN})


class TankWork:
    """Satisfies `RunWork`."""

    def __init__(self, setting: RunSetting) -> None:
        self.setting = setting
        self.marks: list[RunMarked] = []
        """The marks that stand."""
        self._asking = TankAsking(setting.units, setting.shop_celsius)
        self._known: TankFinding | None = None
        self._plot: tuple[RunStage, RunPlot] | None = None

    @property
    def wanted(self) -> Quantity | None:
        """No meter: the tank's own gauge."""
        return None

    def take(self, reading: Reading) -> None:
        """No meter is read."""

    def take_block(self, channel: str, samples: Samples) -> None:
        """No meter is read."""

    def gap(self, gap: RunGap) -> None:
        """No meter is read."""

    def mark(self, mark: RunMarked) -> None:
        """A mark that was written; a drop takes the last gauge mark back."""
        self._known = self._plot = None
        if mark.kind is not MarkKind.DROP:
            self.marks.append(mark)
            return
        last = self._last()
        if last is not None:
            self.marks.remove(last)

    def _last(self) -> RunMarked | None:
        return next((m for m in reversed(self.marks) if m.kind in _DROPPABLE), None)

    # --- keys -------------------------------------------------------------------------------------

    @property
    def next_mark(self) -> float:
        """The gauge mark to come, in pascal."""
        last = self._last()
        step = self.setting.units.from_shop(STEP_PSI, Quantity.PRESSURE)
        step = step if is_us(self.setting.units) else STEP_PASCAL
        if last is None or last.value is None:
            return 0.0
        return step * (int(last.value / step + 1e-6) + 1)

    def act(self, action: str, argument: str, now_s: float) -> Sequence[Draft]:
        """A gauge mark, a line to type, a cut-out or cut-in. Raises StepError."""
        match action:
            case Action.RUN_MARK if self._has(MarkKind.CUT_OUT):
                return (Draft(kind=MarkKind.MOMENT, t_s=now_s),)
            case Action.RUN_MARK:
                return (Draft(kind=MarkKind.PRESSURE, t_s=now_s, value=self.next_mark),)
            case Action.RUN_TURN:
                cut_out = not self._has(MarkKind.CUT_OUT) or self._has(MarkKind.CUT_IN)
                self._asking.ask(now_s, Asked.CUT_OUT if cut_out else Asked.CUT_IN)
                return ()
            case Action.RUN_TYPE:
                self._asking.ask(now_s, *self._to_type(argument))
                return ()
            case Action.RUN_DROP if self._last() is not None:
                return (Draft(kind=MarkKind.DROP, t_s=now_s),)
            case Action.RUN_DROP:
                raise StepError(_("no gauge mark to take back"))
            case _:
                raise StepError(_("nothing to do for that key in a tank run"))

    def _has(self, kind: MarkKind) -> bool:
        return any(mark.kind is kind for mark in self.marks)

    def _missing(self) -> tuple[Asked, ...]:
        given = {mark.text for mark in self.marks if mark.kind is MarkKind.PLACE}
        return tuple(place for place in PLACES if place.value not in given)

    def _to_type(self, argument: str) -> tuple[Asked, ...]:
        """What of the tank is not known yet, unless it is being pumped up; else the gauge."""
        if argument in set(Asked):
            return (Asked(argument),)
        pumping = self._has(MarkKind.PRESSURE) and not self._has(MarkKind.CUT_OUT)
        missing = self._missing()
        return missing if missing and not pumping else (Asked.GAUGE,)

    def question(self) -> Question | None:
        """The line of text waited for."""
        return self._asking.question()

    def read(self, text: str, now_s: float) -> Sequence[Draft]:
        """The line typed. Raises InputError."""
        del now_s
        return self._asking.read(text)

    def forget_question(self) -> None:
        """Nothing is typed."""
        self._asking.forget()

    # --- what comes out ---------------------------------------------------------------------------

    def finding(self, *, end_s: float) -> TankFinding:
        """What was found up to here."""
        del end_s
        if self._known is None:
            run = TankRun(baseline=earlier_marks(self.setting), k=self.setting.k)
            for mark in self.marks:
                value = mark.value
                if value is not None and mark.kind in _DROPPABLE:
                    value = in_tenths(value)
                run.mark(mark.kind, mark.t_s, value=value, text=mark.text)
            self._known = run.finding()
        return self._known

    def view(self, now_s: float, stage: RunStage) -> RunView:
        """What shows."""
        shown = TankShown(
            setting=self.setting,
            stage=stage,
            now_s=now_s,
            finding=self.finding(end_s=now_s),
            marks=self.marks,
            next_mark=self.next_mark,
            lacks_place=Asked.VOLUME in self._missing(),
        )
        return view_of(shown, plot=None if stage is RunStage.READY else self._plotted(shown))

    def _plotted(self, shown: TankShown) -> RunPlot:
        """The plot, made anew at each mark and as its axis grows."""
        known = self._plot
        if known is not None and known[0] is shown.stage and shown.now_s <= known[1].end_s:
            return known[1]
        plot = tank_plot(shown)
        self._plot = (shown.stage, plot)
        return plot

    def keys(self, stage: RunStage) -> tuple[KeyHint, ...]:
        """The keys of the strip that are a tank run's own."""
        if stage is not RunStage.RUNNING:
            return ()
        done = self._has(MarkKind.CUT_OUT)
        space = _("Mark a moment") if done else gauge_text(self.next_mark, self.setting.units)
        cut = _("Cut-in") if done and not self._has(MarkKind.CUT_IN) else _("Cut-out")
        place = self._to_type("")[0] in PLACES
        return (
            KeyHint(press="Space", text=space, action=Action.RUN_MARK, main=True, pedal=True),
            KeyHint(press="C", text=cut, action=Action.RUN_TURN),
            KeyHint(
                press="M",
                text=_("Tank and air") if place else _("Type the gauge"),
                action=Action.RUN_TYPE,
            ),
            KeyHint(press="Backspace", text=_("Take back"), action=Action.RUN_DROP),
        )
