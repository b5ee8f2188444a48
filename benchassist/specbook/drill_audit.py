"""What the steps of a drill must hold: a choice each, in the order in which evidence goes cold."""

from collections.abc import Iterator
from typing import Final

from benchassist.core.plain_text import brief
from benchassist.core.quantity import Quantity
from benchassist.specbook.answer_audit import faults_of_answers
from benchassist.specbook.fault import Fault, Where, _
from benchassist.specbook.figure_audit import faults_of_figure
from benchassist.specbook.sheet import CheckSheet, DrillStepSheet, RunSheet
from benchassist.specbook.shelf import Filed, SheetT
from benchassist.units import read_quantity

ISOLATES: Final = "spark_isolated"
"""The step that takes the stop wire off."""


def faults_of_drill(
    filed: Filed[SheetT], where: Where, check: CheckSheet, run: RunSheet
) -> Iterator[Fault]:
    """Steps without a choice, out of order, that wait for what no earlier step can answer."""
    if not run.drill:
        yield filed.fault(_("a drill needs its steps: drill"), *where, "run")
    known: set[str] = set()
    cold = 0.0
    for number, step in enumerate(run.drill):
        here = (*where, "run", "drill", number)
        if any(step.key == earlier.key for earlier in run.drill[:number]):
            message = _("the step '{key}' stands here twice").format(key=brief(step.key))
            yield filed.fault(message, *here, "key")
        if len(step.answers) < 2:
            yield filed.fault(_("a step needs two answers or more"), *here, "answers")
        yield from faults_of_answers(filed, here, step.answers)
        yield from _faults_of_after(filed, here, step, known)
        known |= {f"{step.key}:{answer.key}" for answer in step.answers}
        until = [*faults_of_figure(filed, (*here, "until"), step.until, Quantity.DURATION)]
        yield from until
        if until:
            continue
        seconds = read_quantity(step.until, quantity=Quantity.DURATION).value
        if seconds < cold:
            message = _("steps stand in the order in which their evidence goes cold: until")
            yield filed.fault(message, *here, "until")
        cold = max(cold, seconds)
    if any(step.key == ISOLATES for step in run.drill) and not check.obliges:
        message = _("'{step}' takes the stop wire off: oblige the look that it is back")
        yield filed.fault(message.format(step=ISOLATES), *where, "run")


def _faults_of_after(
    filed: Filed[SheetT], where: Where, step: DrillStepSheet, known: set[str]
) -> Iterator[Fault]:
    for number, answer in enumerate(step.after):
        if answer not in known:
            message = _("'{answer}' is no answer of an earlier step: write 'step:answer'")
            yield filed.fault(message.format(answer=brief(answer)), *where, "after", number)
