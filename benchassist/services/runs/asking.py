"""The lines of text that a run asks for: one after the other, the first one in front."""

from abc import ABC, abstractmethod
from collections import deque
from dataclasses import dataclass
from typing import Final, Generic, TypeVar

from benchassist.core.plain_text import brief
from benchassist.core.quantity import Quantity
from benchassist.errors import InputError
from benchassist.services.runs.work import Draft, Question
from benchassist.services.translation import _
from benchassist.units import UnitChoice, read_typed

What = TypeVar("What")

MOST_PASCAL: Final = 3.5e6
"""Above this (about 500 psi) a typed gauge pressure is a slip of the finger."""


@dataclass(frozen=True, slots=True)
class Line(Generic[What]):
    """What is asked for, and the second of the run it belongs to."""

    asked: What
    t_s: float


class Asking(ABC, Generic[What]):
    """The lines waited for."""

    def __init__(self, units: UnitChoice) -> None:
        self._units = units
        self._lines: deque[Line[What]] = deque()

    def ask(self, t_s: float, *asked: What) -> None:
        """Ask these, one after the other, instead of anything asked before."""
        self._lines = deque(Line(one, t_s) for one in asked)

    def forget(self) -> None:
        """Nothing is asked any more."""
        self._lines.clear()

    def question(self) -> Question | None:
        """The line in front, None if nothing is asked."""
        return self._question(self._lines[0].asked) if self._lines else None

    def read(self, text: str) -> tuple[Draft, ...]:
        """The marks of the line in front, none where it may be left empty and was.

        Raises InputError; the line then stays asked.
        """
        drafts = self._drafts(self._lines[0], text)
        self._lines.popleft()
        return drafts

    @abstractmethod
    def _question(self, asked: What) -> Question:
        """How it is asked for."""

    @abstractmethod
    def _drafts(self, line: Line[What], text: str) -> tuple[Draft, ...]:
        """The marks of what was typed. Raises InputError."""


def read_gauge(text: str, units: UnitChoice) -> tuple[float, float | None]:
    """A tank's gauge pressure in pascal, and one count of it. Raises InputError."""
    unit = units.typed_unit(Quantity.PRESSURE)
    typed = read_typed(text, quantity=Quantity.PRESSURE, default_unit=unit)
    if typed.value is None or not 0.0 <= typed.value <= MOST_PASCAL:
        raise InputError(
            _(
                "'{text}' is no gauge pressure of a tank: type one such as 125 psi or 860 kPa"
            ).format(text=brief(text))
        )
    return typed.value, typed.resolution
