"""What is to be seen on the practice bench, in words: a thermometer, gauges, the step's answer."""

from collections.abc import Callable

from benchassist.core.procedure import CheckKind
from benchassist.core.quantity import Quantity
from benchassist.practice.bench import PracticeBench
from benchassist.practice.engine import TANK
from benchassist.practice.hand import Hand
from benchassist.practice.seen import drilled, gauged, look
from benchassist.services.translation import _
from benchassist.units import UnitChoice, text_of

COUNT_CELSIUS = 0.1
COUNT_RPM = 10.0
COUNT_PASCAL = 6_894.757
"""One count of the thermometer, of a tachometer's needle, of a gauge (1 psi)."""
STANDS_BELOW = 60.0
"""Rpm."""


class Eyes:
    """Looks at the practice bench; all in the shop's units of the moment."""

    def __init__(self, practice: PracticeBench, units: Callable[[], UnitChoice]) -> None:
        self._practice = practice
        self._units = units

    def seen(self, hand: Hand, case: str) -> str:
        """What is true at the step on the bench, where it asks for eyes or a gauge; else empty."""
        check = hand.check
        if check is None:
            return ""
        place = look(check, case)
        if place is not None:
            return check.answers[place].text
        if check.kind is CheckKind.RUN:
            step = hand.asked
            return "" if step is None else step.answers[drilled(step, case)][1]
        return gauged(check)

    def warmth(self) -> tuple[str, str]:
        """The thermometer on the part, and which way it goes."""
        sight = self._practice.sight
        shown = text_of(
            sight.celsius, Quantity.TEMPERATURE, resolution=COUNT_CELSIUS, units=self._units()
        )
        return _("Thermometer on the part"), (
            _("{celsius}, on heat") if sight.on_heat else _("{celsius}")
        ).format(celsius=shown)

    def engine(self) -> tuple[str, str]:
        """Speed, tank and outlet of the engine."""
        sight, units = self._practice.sight, self._units()
        title = _("Engine, its tank holds {litres:.0f} L").format(litres=1e3 * TANK)
        if sight.rpm < STANDS_BELOW:
            died = _("Died hot: no start before it cools") if sight.has_died else _("It stands")
            text = _("{stands}, tank {gauge}")
            return title, text.format(stands=died, gauge=self._gauge())
        rpm = text_of(sight.rpm, Quantity.SPEED, resolution=COUNT_RPM, units=units)
        volts = text_of(sight.volts, Quantity.VOLTAGE, resolution=0.1, exponent=0, units=units)
        text = _("{rpm}, tank {gauge}, outlet {volts}")
        return title, text.format(rpm=rpm, gauge=self._gauge(), volts=volts)

    def _gauge(self) -> str:
        pascal = self._practice.sight.pascal
        return str(text_of(pascal, Quantity.PRESSURE, resolution=COUNT_PASCAL, units=self._units()))
