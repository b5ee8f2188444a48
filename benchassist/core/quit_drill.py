"""The quit drill: what is still to be seen in the ninety seconds after an engine dies.

The steps and their order are the plan's (`DrillStep`): each has its key, the answers it takes, what
makes it due (`after`: any one of 'step:answer') and when its evidence goes cold. Nothing is asked
that an earlier answer has settled. What the answers point at is inferred here, over these keys:

    temps           taken / none        noted only
    spark           yes / none          on the grounded tester, fuel cap shut
    spark_isolated  yes / none          the same with the stop wire off, after spark:none
    vent            restarts / hiss / no_change
    fuel_drops      fires / no
    compression     soft / firm

in this order, the first that fits:

    spark none, spark_isolated none     -> SPARK         coil, cap or lead
    spark none, spark_isolated yes      -> STOP_CIRCUIT  stop wire, switch or low-oil circuit
    vent restarts                       -> VENT
    fuel_drops fires                    -> FUEL
    spark yes, fuel_drops no, compression soft -> VALVE
    else                                -> OPEN

(common practice). A valve needs a spark that was seen: spark, no fire, soft pull. Late answers
count, and are named.
"""

from collections.abc import Mapping, Sequence

from benchassist.core.run import DrillStep
from benchassist.core.run_finding import DrillAnswer, DrillFinding, DrillLeaning


class Drill:
    """Answers in, the step that is due and the finding out. Seconds since the engine died."""

    def __init__(self, steps: Sequence[DrillStep]) -> None:
        """A drill over these steps. Raises ValueError for two of one key or an `after` unknown."""
        self.steps = tuple(steps)
        self._by_key = {step.key: step for step in self.steps}
        if len(self._by_key) < len(self.steps):
            raise ValueError("two steps of a drill have the same key")
        for step in self.steps:
            for condition in step.after:
                if not self._known(condition):
                    raise ValueError(f"step {step.key!r} comes after {condition!r}, which is none")
        self._answers: dict[str, DrillAnswer] = {}
        self._skipped: set[str] = set()

    def due(self) -> DrillStep | None:
        """The step to do now; None when all are done."""
        return next((step for step in self.steps if self._is_due(step)), None)

    @property
    def is_done(self) -> bool:
        """Whether nothing is left to ask."""
        return self.due() is None

    def answer(self, step: str, answer: str, t_s: float) -> None:
        """A step is answered, in any order. ValueError for a step or answer the plan has not.

        An answer given again replaces the one before, with its own moment.
        """
        known = self._by_key.get(step)
        if known is None or answer not in {key for key, _text in known.answers}:
            raise ValueError(f"'{step}:{answer}' is no answer of this drill")
        self._skipped.discard(step)
        self._answers[step] = DrillAnswer(step=step, answer=answer, t_s=t_s)

    def skip(self, step: str) -> None:
        """A step is passed over: no evidence. ValueError for one that the plan has not."""
        if step not in self._by_key:
            raise ValueError(f"'{step}' is no step of this drill")
        self._skipped.add(step)

    def undo(self) -> DrillAnswer | None:
        """The last answer is taken back and returned; None without one."""
        if not self._answers:
            return None
        return self._answers.pop(next(reversed(self._answers)))

    def is_late(self, step: str, t_s: float) -> bool:
        """Whether a step's evidence has gone cold at a moment; False for one the plan has not."""
        known = self._by_key.get(step)
        return known is not None and t_s > known.until_s

    def finding(self) -> DrillFinding:
        """What was found so far, in the order of the plan."""
        given = tuple(self._answers[step.key] for step in self.steps if step.key in self._answers)
        return DrillFinding(
            answers=given,
            leaning=leaning({answer.step: answer.answer for answer in given}),
            late=tuple(answer.step for answer in given if self.is_late(answer.step, answer.t_s)),
        )

    def _is_due(self, step: DrillStep) -> bool:
        if step.key in self._answers or step.key in self._skipped:
            return False
        return not step.after or any(self._holds(condition) for condition in step.after)

    def _holds(self, condition: str) -> bool:
        step, _, answer = condition.partition(":")
        given = self._answers.get(step)
        return given is not None and (not answer or given.answer == answer)

    def _known(self, condition: str) -> bool:
        key, _, answer = condition.partition(":")
        step = self._by_key.get(key)
        return step is not None and (not answer or answer in {a for a, _text in step.answers})


def leaning(answers: Mapping[str, str]) -> DrillLeaning:
    """What answers by step point at, as the table at the head of this module has it."""
    spark, isolated = answers.get("spark"), answers.get("spark_isolated")
    if spark == "none":
        if isolated == "none":
            return DrillLeaning.SPARK
        if isolated == "yes":
            return DrillLeaning.STOP_CIRCUIT
    if answers.get("vent") == "restarts":
        return DrillLeaning.VENT
    if answers.get("fuel_drops") == "fires":
        return DrillLeaning.FUEL
    no_fire = answers.get("fuel_drops") == "no"
    if spark == "yes" and no_fire and answers.get("compression") == "soft":
        return DrillLeaning.VALVE
    return DrillLeaning.OPEN
