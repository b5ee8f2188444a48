"""What a quit drill found, in words: evidence, never a verdict."""

from collections.abc import Sequence
from types import MappingProxyType
from typing import Final

from benchassist.core.band import Verdict
from benchassist.core.run import DrillStep, RunPlan
from benchassist.core.run_finding import DrillFinding, DrillLeaning
from benchassist.services.bench.reason_text import verdict_word
from benchassist.services.runs.clock import seconds_text
from benchassist.services.runs.view import EventRow
from benchassist.services.runs.words import RunWords
from benchassist.services.translation import _
from benchassist.units import UnitChoice

_CULPRIT: Final = MappingProxyType(
    {
        DrillLeaning.SPARK: _("coil, cap or lead"),
        DrillLeaning.STOP_CIRCUIT: _("stop wire or switch"),
        DrillLeaning.VENT: _("tank vent"),
        DrillLeaning.FUEL: _("fuel supply"),
        DrillLeaning.VALVE: _("valves or compression"),
    }
)


def leaning_text(leaning: DrillLeaning) -> str:
    """What the answers point at, as in 'Points to: stop wire or switch. Not proved.'."""
    culprit = _CULPRIT.get(leaning)
    if culprit is None:
        return _("Nothing decided so far.")
    return _("Points to: {culprit}. Not proved.").format(culprit=culprit)


def late_text(step: DrillStep) -> str:
    """Why an answer counts for less: 'after 90 s: weak'."""
    return _("after {limit:.0f} s: weak").format(limit=step.until_s)


def cold_text(step: DrillStep) -> str:
    """Said while a step is still open after its evidence has gone cold."""
    return _("More than {limit:.0f} s: what you see now is weak evidence.").format(
        limit=step.until_s
    )


def answer_rows(finding: DrillFinding, steps: Sequence[DrillStep]) -> tuple[EventRow, ...]:
    """What was found, in order, each with the second it was found at."""
    by_key = {step.key: step for step in steps}
    rows: list[EventRow] = []
    for given in finding.answers:
        step = by_key.get(given.step)
        if step is None:
            continue
        rows.append(
            EventRow(
                time_text=seconds_text(given.t_s),
                title=dict(step.answers).get(given.answer, given.answer),
                detail=late_text(step) if given.step in finding.late else "",
                t_s=given.t_s,
            )
        )
    return tuple(rows)


def drill_words(finding: DrillFinding, plan: RunPlan, units: UnitChoice) -> RunWords:
    """The finding as a line of the slip. Answers are by eye, ear and hand."""
    del units
    rows = answer_rows(finding, plan.drill)
    if not rows:
        return RunWords(words=_("Nothing answered"))
    culprit = _CULPRIT.get(finding.leaning)
    words = (
        _("points to {culprit}").format(culprit=culprit)
        if culprit is not None
        else _("nothing decided")
    )
    told = tuple(
        _("{time}: {what} ({weak})").format(time=row.time_text, what=row.title, weak=row.detail)
        if row.detail
        else _("{time}: {what}").format(time=row.time_text, what=row.title)
        for row in rows
    )
    open_line = (
        _("Quit drill points to {culprit}: not proved.").format(culprit=culprit)
        if culprit is not None
        else _("Quit drill: nothing decided.")
    )
    return RunWords(
        words=words,
        detail=(" · ".join(told),),
        verdict=Verdict.BY_EYE,
        verdict_text=verdict_word(Verdict.BY_EYE),
        not_proved=(open_line,),
    )
