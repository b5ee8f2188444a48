"""Whether a pick-up counts every pulse once: asked once, in the words of the trade."""

from dataclasses import dataclass
from typing import Final

from benchassist.core.pulse_check import PulseDoubt
from benchassist.core.quantity import Quantity
from benchassist.core.run import RunPlan
from benchassist.errors import StepError
from benchassist.services.runs.engine_log import SpeedLog, SpeedNow
from benchassist.services.runs.view import DrillChoice
from benchassist.services.translation import _
from benchassist.units import UnitChoice, text_of

AFTER: Final = 12
"""Readings before the pulses are doubted: cranking is slow."""
EVERY: Final = 1.0
"""Seconds between two looks at them."""
TYPE_IT = "3"
"""The key that asks for another number of pulses."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PulseQuestion:
    """What reads oddly: the speed it reads at so many pulses a turn, and how many it may be.

    `doubt` None: nothing is set, so that it has to be asked.
    """

    doubt: PulseDoubt | None
    rpm: float
    pulses: float

    @property
    def other(self) -> float:
        """The pulses a turn that would explain it."""
        return self.pulses * (2.0 if self.doubt is PulseDoubt.DOUBLE else 0.5)

    def answer(self, press: str) -> float | None:
        """The pulses a key stands for; None for one that stands for none."""
        return {"1": self.pulses, "2": self.other}.get(press)

    def text(self, units: UnitChoice) -> str:
        """The question itself."""
        reads = _speed(self.rpm, units)
        if self.doubt is None:
            return _("Reads {speed} at one pulse a turn. What is true?").format(speed=reads)
        if self.doubt is PulseDoubt.DOUBLE:
            return _("Reads {speed}, about twice what it should. What is true?").format(speed=reads)
        return _("Reads {speed}, about half of what it should. What is true?").format(speed=reads)

    def choices(self, units: UnitChoice) -> tuple[DrillChoice, ...]:
        """One a key, each with the speed it makes of the reading."""
        as_set = _("{speed}: {pulses}, as set") if self.doubt else _("{speed}: {pulses}")
        explained = self.rpm * self.pulses / self.other
        return (
            DrillChoice(
                press="1",
                text=as_set.format(speed=_speed(self.rpm, units), pulses=pulses_text(self.pulses)),
            ),
            DrillChoice(
                press="2",
                text=_("{speed}: {pulses}").format(
                    speed=_speed(explained, units), pulses=pulses_text(self.other)
                ),
            ),
            DrillChoice(press=TYPE_IT, text=_("Another number of pulses")),
        )


class PulseWatch:
    """Asks once, as soon as the readings are odd; what a person answered is not asked again."""

    def __init__(self, plan: RunPlan) -> None:
        self._is_set = plan.pulses_per_rev is not None
        self._is_settled = False
        self._looked_at = -EVERY
        self.question: PulseQuestion | None = None
        self.warning = ""

    def settled(self) -> None:
        """A person has said how many there are."""
        self._is_settled, self.question = True, None

    def look(self, now_s: float, now: SpeedNow | None, log: SpeedLog) -> None:
        """Once a second: whether the readings are those of an engine at these pulses."""
        if 0.0 <= now_s - self._looked_at < EVERY or now is None or log.count < AFTER:
            return
        self._looked_at = now_s
        doubt = log.doubt()
        self.warning = ""
        if doubt is PulseDoubt.RINGING:
            self.warning = _(
                "Speed jumps to twice or half and back: move the clamp clear of the stop wire"
            )
        if self._is_settled or not log.can_retell:
            self.question = None
            return
        odd = doubt if doubt in {PulseDoubt.DOUBLE, PulseDoubt.HALF} else None
        if odd is None and self._is_set:
            self.question = None
        elif now.steady or self.question is None:
            self.question = PulseQuestion(doubt=odd, rpm=now.rpm, pulses=log.pulses)

    def answer(self, press: str) -> float | None:
        """The pulses a key stands for, None where another number is typed. Raises StepError."""
        if self.question is None:
            raise StepError(_("nothing is asked now"))
        pulses = self.question.answer(press)
        if pulses is None and press != TYPE_IT:
            raise StepError(_("press 1, 2 or 3"))
        return pulses


def pulses_text(pulses: float) -> str:
    """'one pulse a turn', 'one pulse every other turn'."""
    if pulses == 1.0:
        return _("one pulse a turn")
    if pulses == 0.5:
        return _("one pulse every other turn")
    if pulses == 2.0:
        return _("two pulses a turn")
    return _("{n:g} pulses a turn").format(n=pulses)


def _speed(rpm: float, units: UnitChoice) -> str:
    return str(text_of(rpm, Quantity.SPEED, resolution=10.0, units=units))
