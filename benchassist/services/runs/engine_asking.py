"""The lines of text an engine run asks for: speeds off a tachometer, volts, gauge pressures."""

from collections import deque
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from benchassist.core.quantity import Quantity
from benchassist.core.run import MarkKind
from benchassist.errors import InputError
from benchassist.services.runs.work import Draft, Question
from benchassist.services.translation import _
from benchassist.units import UnitChoice, read_typed


class Asked(StrEnum):
    """What is typed."""

    RPM = "rpm"
    HERTZ = "hertz"
    VOLTS = "volts"
    FALL = "fall"
    RECOVER = "recover"
    PULSES = "pulses"


_QUANTITY: Final = MappingProxyType(
    {
        Asked.RPM: Quantity.SPEED,
        Asked.HERTZ: Quantity.FREQUENCY,
        Asked.VOLTS: Quantity.VOLTAGE,
        Asked.FALL: Quantity.PRESSURE,
        Asked.RECOVER: Quantity.PRESSURE,
    }
)
_MARK: Final = MappingProxyType(
    {
        Asked.RPM: MarkKind.SPEED,
        Asked.HERTZ: MarkKind.HERTZ,
        Asked.VOLTS: MarkKind.VOLTS,
        Asked.FALL: MarkKind.PRESSURE,
        Asked.RECOVER: MarkKind.PRESSURE,
    }
)
FASTEST: Final = 20_000.0
"""Above this (rpm) a typed speed is a slip of the finger."""
HIGHEST: Final = 3.5e6
"""Above this (pascal, about 500 psi) a typed gauge pressure is one."""
MOST_PULSES: Final = 100.0


@dataclass(frozen=True, slots=True)
class Line:
    """What is asked for, and the second of the run it belongs to."""

    asked: Asked
    t_s: float


class Asking:
    """The lines waited for, the first one in front."""

    def __init__(self, units: UnitChoice) -> None:
        self._units = units
        self._lines: deque[Line] = deque()

    def ask(self, t_s: float, *asked: Asked) -> None:
        """Ask these, one after the other, instead of anything asked before."""
        self._lines = deque(Line(one, t_s) for one in asked)

    def forget(self) -> None:
        """Nothing is asked any more."""
        self._lines.clear()

    def question(self) -> Question | None:
        """The line in front, None if nothing is asked."""
        if not self._lines:
            return None
        gauge = _("Such as 125 psi") if self._psi() else _("Such as 860 kPa")
        return {
            Asked.RPM: Question(
                label=_("Tachometer shows"),
                hint=_("Such as 3610. Type the digits exactly as shown"),
            ),
            Asked.HERTZ: Question(label=_("Hertz at the outlet"), hint=_("Such as 60.2")),
            Asked.VOLTS: Question(label=_("Volts at the outlet"), hint=_("Such as 121.4")),
            Asked.FALL: Question(label=_("Gauge as the pilot lets go"), hint=gauge),
            Asked.RECOVER: Question(label=_("Gauge as the pilot pulls in"), hint=gauge),
            Asked.PULSES: Question(
                label=_("Pulses a turn"), hint=_("1 every turn, 0.5 every other turn")
            ),
        }[self._lines[0].asked]

    def _psi(self) -> bool:
        return self._units.typed_unit(Quantity.PRESSURE) == "psi"

    def read(self, text: str) -> tuple[Draft, ...]:
        """The marks of the line in front. Raises InputError; the line then stays asked."""
        line = self._lines[0]
        drafts = (
            (Draft(kind=MarkKind.PULSES, t_s=line.t_s, value=read_pulses(text)),)
            if line.asked is Asked.PULSES
            else self._typed(line, text)
        )
        self._lines.popleft()
        return drafts

    def _typed(self, line: Line, text: str) -> tuple[Draft, ...]:
        quantity = _QUANTITY[line.asked]
        typed = read_typed(text, quantity=quantity, default_unit=self._units.typed_unit(quantity))
        value, shown = typed.value, text.strip()
        if value is None:
            raise InputError(_("'{text}' is no number: type what it shows").format(text=shown))
        if quantity is Quantity.SPEED and not 0.0 < value <= FASTEST:
            text = _("'{text}' is no engine’s speed: type rpm, such as 3610")
            raise InputError(text.format(text=shown))
        if quantity is Quantity.PRESSURE and not 0.0 <= value <= HIGHEST:
            text = _("'{text}' is no gauge pressure of a tank: type one such as 125 psi or 860 kPa")
            raise InputError(text.format(text=shown))
        if quantity in {Quantity.FREQUENCY, Quantity.VOLTAGE} and not value > 0.0:
            raise InputError(_("'{text}': type what it shows, above zero").format(text=shown))
        measured = Draft(
            kind=_MARK[line.asked], t_s=line.t_s, value=value, resolution=typed.resolution
        )
        if line.asked is Asked.FALL:
            return (measured, Draft(kind=MarkKind.FALL, t_s=line.t_s))
        if line.asked is Asked.RECOVER:
            return (measured, Draft(kind=MarkKind.RECOVER, t_s=line.t_s))
        return (measured,)


def read_pulses(text: str) -> float:
    """Pulses per revolution as typed. Raises InputError for what no pick-up gives."""
    shown = text.strip()
    try:
        pulses = float(shown.replace(",", "."))
    except ValueError:
        pulses = 0.0
    if not 0.0 < pulses <= MOST_PULSES:
        wrong = _("'{text}' pulses a turn cannot be: type a number above zero, such as 1 or 0.5")
        raise InputError(wrong.format(text=shown))
    return pulses
