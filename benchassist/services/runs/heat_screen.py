"""What a heat run shows: figures, plot, what happened, the verdict in words."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from benchassist.core.band import Verdict
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.run import HeatedPart, RunKind
from benchassist.core.run_finding import HeatFinding
from benchassist.core.run_plot import RunPlot
from benchassist.services.desk import Action
from benchassist.services.runs.clock import clock_text, seconds_text
from benchassist.services.runs.doubt import doubt_sentences
from benchassist.services.runs.heat_plot import flags_of, overlay_of, plot_gaps
from benchassist.services.runs.heat_row import HeatRows
from benchassist.services.runs.heat_text import (
    celsius_text,
    side_of,
    verdict_title,
    worst_of,
)
from benchassist.services.runs.plot_words import plot_words
from benchassist.services.runs.view import Figure, RunKey, RunStage, RunView, Tally
from benchassist.services.translation import _
from benchassist.units import shown, text_of

if TYPE_CHECKING:
    from benchassist.services.runs.heat_work import HeatWork

STALE = 3.0
"""Seconds after which a figure is struck as old."""
AXIS_STEP = 300.0
"""Seconds by which the time axis grows while a run is on."""
WORDS_EVERY = 0.5


class HeatScreen:
    """Words and figures of one heat run."""

    def __init__(self, work: "HeatWork") -> None:
        self._work = work
        self._units = work.setting.units
        self._finding: HeatFinding | None = None
        self._found_at = -WORDS_EVERY
        self._events = HeatRows(work)

    # --- before -----------------------------------------------------------------------------------

    def ready(self) -> RunView:
        """Set-up; nothing is logged."""
        plan, setting = self._work.plan, self._work.setting
        ceiling = celsius_text(plan.ceiling, self._units)
        told = setting.start_celsius
        figures = (
            Figure(label=_("Now")),
            Figure(label=_("Part temperature"))
            if told is None
            else self._celsius(_("Part, as stated"), told),
            Figure(label=_("Time on heat"), digits=clock_text(0.0)),
        )
        return RunView(
            kind=RunKind.HEAT,
            stage=RunStage.READY,
            figures=figures,
            guide_label=_("Before it starts"),
            guide=_("Take the part off the engine, clip the meter on, ignition off"),
            notes=(
                self._thermometer_note(),
                _("Warm box rather than a heat gun; none near a tank. Stop at {ceiling}, {source}")
                .format(ceiling=ceiling, source=plan.ceiling_source)
                .rstrip(", "),
                _PART_NOTE[plan.part],
            ),
            tally=self._tally(0),
            main=RunKey(press="Space", text=_("Start the heat run"), action=Action.RUN_START),
        )

    def _thermometer_note(self) -> str:
        name = self._work.setting.thermometer
        if name:
            return _("Thermometer: {name}, tip on the part").format(name=name)
        if self._work.plan.part is HeatedPart.WINDING:
            return _(
                "No thermometer linked: T types the part’s temperature now and then. Without one"
                " the winding’s own mean is shown and a slow departure is not assessed"
            )
        return _(
            "No thermometer linked: T types the part’s temperature now and then. Without one a"
            " slow departure is not assessed"
        )

    # --- during and after -------------------------------------------------------------------------

    def show(self, now_s: float, stage: RunStage, plot: RunPlot | None) -> RunView:
        """Everything but the plot, which is given."""
        work, live = self._work, stage is RunStage.RUNNING
        finding = self._found(now_s, live=live)
        worst = worst_of(finding)
        guide = work.guide.say(
            now_s,
            work.celsius,
            rate=self._rate(),
            is_open=work.is_open,
            cycles=work.run.cycles_done,
        )
        return RunView(
            kind=RunKind.HEAT,
            stage=stage,
            figures=self._figures(now_s, live=live),
            guide_label=guide.label if live else "",
            guide=guide.text if live else "",
            plot=plot,
            events_title=_("What happened"),
            events=self._events.rows(),
            tally=self._tally(work.run.cycles_done),
            verdict=Verdict.OUT_OF_BAND if worst is not None else None,
            side=side_of(worst) if worst is not None else None,
            verdict_text=verdict_title(finding, work.plan, self._units, so_far=live),
            so_far=live,
            notes=tuple(self._notes(finding, live=live)),
            main=guide.main
            if live
            else RunKey(press="Right", text=_("Next step"), action=Action.SKIP),
            alarm=work.alarm(now_s) if live else "",
            alarms=work.alarms if live else 0,
            warning=guide.warning if live else "",
        )

    def _rate(self) -> float | None:
        """Kelvin a second as in life, where the heat is simulated too."""
        rate, pace = self._work.run.rate, self._work.setting.pace
        return rate if rate is None or pace is None else rate / pace()

    def _found(self, now_s: float, *, live: bool) -> HeatFinding:
        due = now_s - self._found_at >= WORDS_EVERY or not live
        if self._finding is None or due:
            self._finding, self._found_at = self._work.finding(end_s=now_s), now_s
        return self._finding

    def _figures(self, now_s: float, *, live: bool) -> tuple[Figure, ...]:
        time = _("Heat off") if self._work.guide.cooling and live else _("Time on heat")
        last = Figure(label=time if live else _("Length"), digits=clock_text(now_s))
        return self._now(now_s, live=live), self._warmth(now_s, live=live), last

    def _now(self, now_s: float, *, live: bool) -> Figure:
        reading, line = self._work.now, self._work.run.line()
        label = _("Now") if live else _("At the end")
        if line is not None and live:
            expected, half = line
            like = reading if reading is not None and not reading.overload else self._first
            low, high = (
                text_of(
                    edge,
                    Quantity.RESISTANCE,
                    resolution=like.resolution if like is not None else None,
                    exponent=(like.exponent or None) if like is not None else None,
                ).digits
                for edge in (expected - half, expected + half)
            )
            label = _("Now. Expected {low} to {high}").format(low=low, high=high)
        if reading is None:
            return Figure(label=label)
        old = live and now_s - reading.t_s > STALE
        if old:
            age = seconds_text(now_s - reading.t_s)
            label = _("Last reading {age} ago").format(age=age)
        if reading.overload:
            return Figure(label=label, words=_("Above range"), old=old)
        digits, unit = shown(reading, self._units)
        return Figure(label=label, digits=digits, unit=unit, old=old)

    @property
    def _first(self) -> Reading | None:
        return self._work.first[0] if self._work.first is not None else None

    def _warmth(self, now_s: float, *, live: bool) -> Figure:
        told = self._work.thermometer.last
        if told is None:
            own = self._work.run.celsius
            if own is None:
                return Figure(label=_("Part temperature"))
            return self._celsius(_("Winding’s own mean"), own)
        age = now_s - told.t_s
        label = _("Part temperature")
        if told.typed and live:
            label = _("Part, typed {age} ago").format(age=seconds_text(age))
        old = live and not told.typed and age > STALE
        return self._celsius(label, told.celsius, old=old)

    def _celsius(self, label: str, celsius: float, *, old: bool = False) -> Figure:
        digits, unit = text_of(celsius, Quantity.TEMPERATURE, resolution=1.0, units=self._units)
        return Figure(label=label, digits=digits, unit=unit, old=old)

    def _tally(self, done: int) -> Tally:
        of = self._work.plan.cycles
        text = _("{done} of {of} cycles").format(done=min(done, of), of=of)
        return Tally(label=_("Cycles"), done=min(done, of), of=of, text=text)

    def _notes(self, finding: HeatFinding, *, live: bool) -> Iterable[str]:
        yield _RIBBON_NOTE[self._work.plan.part]
        yield _("Off the engine, fuel-free, ignition off.")
        if not finding.departure_assessed:
            yield _("Slow departure not assessed: no thermometer.")
        if not live:
            yield from doubt_sentences(finding.doubts, finding.gaps)

    # --- the plot ---------------------------------------------------------------------------------

    def plot(self, now_s: float, stage: RunStage) -> RunPlot:
        """The whole run so far."""
        work = self._work
        live = stage is RunStage.RUNNING
        tracks = work.trace.tracks(self._units, typed=not work.measured)
        earlier = work.setting.earlier
        end_s = now_s
        if live:
            end_s = AXIS_STEP * (now_s // AXIS_STEP + 1.0)
        return RunPlot(
            tracks=tracks,
            start_s=0.0,
            end_s=max(end_s, 1.0),
            now_s=now_s if live else None,
            flags=flags_of(work.events.values(), work.marks, self._units),
            gaps=plot_gaps(work.gaps),
            overlay=overlay_of(tracks, earlier.tracks) if earlier is not None else (),
            overlay_text=earlier.text if earlier is not None and earlier.tracks else "",
            summary=self._summary(now_s, live=live),
            words=plot_words(),
        )

    def _summary(self, now_s: float, *, live: bool) -> str:
        finding = self._found(now_s, live=live)
        title = verdict_title(finding, self._work.plan, self._units, so_far=live)
        return _("Heat run, {length}. {verdict}.").format(length=seconds_text(now_s), verdict=title)


_RIBBON_NOTE = {
    HeatedPart.WINDING: _("Ribbon: what sound copper reads."),
    HeatedPart.PATH: _("Ribbon: what a sound winding with its cap reads."),
    HeatedPart.CAP: _("Ribbon: a cap keeps its value as it warms."),
    HeatedPart.LEAD: _("Ribbon: a lead keeps its value as it warms."),
}
_PART_NOTE = {
    HeatedPart.WINDING: _("A winding rises about 4 % every 10 °C, as copper does"),
    HeatedPart.PATH: _("The coil rises as copper does, the cap does not: the path lies between"),
    HeatedPart.CAP: _("A cap does not follow copper: it keeps its value within a few percent"),
    HeatedPart.LEAD: _("A lead does not follow copper: it keeps its value within a few percent"),
}
