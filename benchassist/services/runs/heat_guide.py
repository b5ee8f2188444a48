"""What to do now while a part is warmed: how fast, when to stop, how long to hold, when again.

3 to 5 kelvin a minute, fifteen minutes at the ceiling, down to 40 celsius, and once more: common
practice. The ceiling is the plan's.
"""

from dataclasses import dataclass

from benchassist.core.quantity import Quantity
from benchassist.core.run import MarkKind, RunPlan
from benchassist.core.run_finding import Leg
from benchassist.services.desk import Action
from benchassist.services.runs.clock import clock_text
from benchassist.services.runs.heat_text import celsius_text
from benchassist.services.runs.view import RunKey
from benchassist.services.runs.work import Draft
from benchassist.services.translation import _
from benchassist.units import UnitChoice, difference_text

SLOWEST, FASTEST = 3.0 / 60.0, 5.0 / 60.0
"""Kelvin a second."""
TOO_FAST = 6.0 / 60.0
WARNED = 5.0
"""Kelvin below the ceiling from which the heat is to be turned down."""
COOLED = 40.0
"""Celsius to cool down to before the next cycle."""


@dataclass(frozen=True, slots=True)
class Guide:
    """What to do now, what to beware of, and the large key beside the verdict."""

    label: str
    text: str
    warning: str = ""
    main: RunKey | None = None


class HeatGuide:
    """Follows one heat run. Temperatures in celsius, seconds of the run."""

    def __init__(self, plan: RunPlan, units: UnitChoice) -> None:
        self._plan = plan
        self._units = units
        self._hot_since: float | None = None
        self._cooling = False

    @property
    def cooling(self) -> bool:
        """Whether the heat is off."""
        return self._cooling

    def feel(self, t_s: float, celsius: float) -> None:
        """The part's temperature at a moment."""
        if not self._cooling and self._hot_since is None and celsius >= self._top:
            self._hot_since = t_s

    @property
    def _top(self) -> float:
        return self._plan.ceiling - WARNED

    def turn(self, text: str) -> None:
        """A mark says that the heat is off ('cooling') or on again ('heating')."""
        self._cooling = text == Leg.COOLING
        self._hot_since = None

    def turning(self, now_s: float) -> Draft:
        """The mark that the turning key writes."""
        leg = Leg.HEATING if self._cooling else Leg.COOLING
        return Draft(kind=MarkKind.LEG, t_s=now_s, text=leg.value)

    def say(
        self,
        now_s: float,
        celsius: float | None,
        *,
        rate: float | None,
        is_open: bool,
        cycles: int,
    ) -> Guide:
        """What to do now; `rate` in kelvin a second, `cycles` those completed."""
        if self._cooling:
            return self._while_cooling(celsius, is_open=is_open, cycles=cycles)
        off = RunKey(press="C", text=_("Heat is off"), action=Action.RUN_TURN)
        upto = celsius_text(self._plan.ceiling, self._units)
        if celsius is not None and celsius >= self._plan.ceiling:
            text = _("Pull the heat, hold it just below {ceiling}").format(ceiling=upto)
            warning = _("At the limit of {ceiling}: pull the heat").format(ceiling=upto)
            return Guide(_("Pull the heat"), text, warning, off)
        if is_open:
            text = _("Heat off: let it cool and see where it closes again")
            return Guide(_("It is open"), text, main=off)
        if self._hot_since is not None:
            return self._while_held(now_s, celsius, upto, off)
        pace = self._pace()
        if celsius is None:
            text = _("{pace}; stop at {ceiling} on its surface").format(pace=pace, ceiling=upto)
            return Guide(_("Warm it slowly"), text, main=off)
        if rate is not None and rate > TOO_FAST:
            text = _("Too fast: {pace}").format(pace=pace)
            return Guide(_("Slow down"), text, text, off)
        return Guide(_("Warm it to {ceiling}").format(ceiling=upto), pace, main=off)

    def _pace(self) -> str:
        slow, fast = (
            difference_text(60.0 * rate, Quantity.TEMPERATURE, units=self._units)
            for rate in (SLOWEST, FASTEST)
        )
        text = _("{slow} to {fast} {unit} a minute")
        return text.format(slow=_short(slow.digits), fast=_short(fast.digits), unit=fast.unit)

    def _while_held(self, now_s: float, celsius: float | None, upto: str, off: RunKey) -> Guide:
        left = self._plan.hold - (now_s - (self._hot_since or 0.0))
        warning = ""
        if celsius is not None and celsius >= self._top:
            room = difference_text(
                self._plan.ceiling - celsius, Quantity.TEMPERATURE, units=self._units
            )
            warning = _("Near the limit of {ceiling}: {room} left").format(
                ceiling=upto, room=f"{_short(room.digits)} {room.unit}"
            )
        if left > 0.0:
            text = _("Just below {ceiling} for {left} more").format(
                ceiling=upto, left=clock_text(left)
            )
            return Guide(_("Hold it hot"), text, warning, off)
        text = _("It was held long enough: heat off, leave the meter on it")
        return Guide(_("Let it cool"), text, warning, off)

    def _while_cooling(self, celsius: float | None, *, is_open: bool, cycles: int) -> Guide:
        down = celsius_text(COOLED, self._units)
        text = _("To {down}, the meter on it").format(down=down)
        if is_open:
            text = _("The meter on it, to see where it closes again")
        warm_again = RunKey(press="C", text=_("Heat again"), action=Action.RUN_TURN)
        if cycles < self._plan.cycles and cycles + 1 == 2:
            warm_again = RunKey(press="C", text=_("Second cycle"), action=Action.RUN_TURN)
        if celsius is None or celsius > COOLED:
            return Guide(_("Let it cool"), text, main=warm_again)
        if cycles >= self._plan.cycles:
            end = RunKey(press="E", text=_("End the run"), action=Action.RUN_END)
            return Guide(_("All cycles done"), _("End the run"), main=end)
        again = _("Warm it again, as before")
        return Guide(_("It has cooled"), again, main=warm_again)


def _short(digits: str) -> str:
    """Without a fraction that is zero."""
    return digits.rstrip("0").rstrip(".") if "." in digits else digits
