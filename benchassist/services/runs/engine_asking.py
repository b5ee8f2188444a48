"""The lines of text an engine run asks for: speeds off a tachometer, volts, gauge pressures."""

from enum import StrEnum
from types import MappingProxyType
from typing import Final

from benchassist.core.plain_text import brief
from benchassist.core.quantity import Quantity
from benchassist.core.run import MarkKind
from benchassist.errors import InputError
from benchassist.services.runs.asking import Asking, Line, read_gauge
from benchassist.services.runs.work import Draft, Question
from benchassist.services.translation import _
from benchassist.units import read_typed


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
MOST_PULSES: Final = 100.0


class EngineAsking(Asking[Asked]):
    """What an engine run waits for."""

    def _question(self, asked: Asked) -> Question:
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
        }[asked]

    def _psi(self) -> bool:
        return self._units.typed_unit(Quantity.PRESSURE) == "psi"

    def _drafts(self, line: Line[Asked], text: str) -> tuple[Draft, ...]:
        if line.asked is Asked.PULSES:
            return (Draft(kind=MarkKind.PULSES, t_s=line.t_s, value=read_pulses(text)),)
        value, resolution = self._value(_QUANTITY[line.asked], text)
        measured = Draft(kind=_MARK[line.asked], t_s=line.t_s, value=value, resolution=resolution)
        if line.asked is Asked.FALL:
            return (measured, Draft(kind=MarkKind.FALL, t_s=line.t_s))
        if line.asked is Asked.RECOVER:
            return (measured, Draft(kind=MarkKind.RECOVER, t_s=line.t_s))
        return (measured,)

    def _value(self, quantity: Quantity, text: str) -> tuple[float, float | None]:
        """What was typed, in its base unit, and one count of it. Raises InputError."""
        if quantity is Quantity.PRESSURE:
            return read_gauge(text, self._units)
        typed = read_typed(text, quantity=quantity, default_unit=self._units.typed_unit(quantity))
        value, shown = typed.value, brief(text)
        if value is None:
            raise InputError(_("'{text}' is no number: type what it shows").format(text=shown))
        if quantity is Quantity.SPEED and not 0.0 < value <= FASTEST:
            text = _("'{text}' is no engine’s speed: type rpm, such as 3610")
            raise InputError(text.format(text=shown))
        if not value > 0.0:
            raise InputError(_("'{text}': type what it shows, above zero").format(text=shown))
        return value, typed.resolution


def read_pulses(text: str) -> float:
    """Pulses per revolution as typed. Raises InputError for what no pick-up gives."""
    try:
        pulses = float(text.replace(",", "."))
    except ValueError:
        pulses = 0.0
    if not 0.0 < pulses <= MOST_PULSES:
        wrong = _("'{text}' pulses a turn cannot be: type a number above zero, such as 1 or 0.5")
        raise InputError(wrong.format(text=brief(text)))
    return pulses
