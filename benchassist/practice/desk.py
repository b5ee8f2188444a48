"""What a person can do on the practice bench by hand, and how it stands, as one view.

The window paints the view and hands every key back; nothing here knows of a window.
"""

from collections.abc import Callable, Mapping
from typing import Final, TypeVar

from benchassist.core.procedure import Check, CheckKind
from benchassist.core.run import RunKind
from benchassist.errors import LinkError
from benchassist.practice.bay import State, groups
from benchassist.practice.bench import DEFAULT_CASE, PracticeBench
from benchassist.practice.deed import (
    CASES,
    CLIPPED_BY,
    ENGINE_CASES,
    HOT_AT_ONCE,
    HOT_CASES,
    LOADS,
    PACES,
    PLACES,
    TABS,
    THROTTLES,
    TOUCHED_BY,
    Bay,
    Deed,
    Group,
    HandsView,
)
from benchassist.practice.eyes import Eyes
from benchassist.practice.hand import LIFT, SHORT, Hand
from benchassist.practice.oven import SHOP_CELSIUS
from benchassist.practice.parts import CLAMP
from benchassist.services.translation import _
from benchassist.units import UnitChoice

T = TypeVar("T")
BAY_OF: Final = {
    RunKind.HEAT: Bay.HEAT,
    RunKind.ENGINE: Bay.ENGINE,
    RunKind.TANK: Bay.ENGINE,
    RunKind.DRILL: Bay.ENGINE,
}
Does = Callable[[], None]


class HandsDesk:
    """Moves the probes, warms the parts, runs the engine, puts faults in. `act` by key.

    `units` says which units the shop has now.
    """

    def __init__(
        self,
        hand: Hand,
        practice: PracticeBench,
        *,
        units: Callable[[], UnitChoice],
        case: str = DEFAULT_CASE,
        engine: str = "sound",
    ) -> None:
        self._hand = hand
        self._practice = practice
        self._units = units
        self.case, self.engine = case, engine
        self._eyes = Eyes(practice, units)
        self._put: float | None = SHOP_CELSIUS
        """Celsius at which the parts were put at once; None once they were warmed or cooled."""
        self._unplugged = self._no_thermometer = self._on_hold = self._low_battery = False
        self._trouble = ""
        self._bay = Bay.PROBES
        self._at = ""
        ways: dict[str, Does] = {
            **{press: self._turning(bay) for press, (bay, _text) in TABS.items()},
            "F": hand.let_go,
            "L": lambda: hand.take_over(LIFT),
            "P": self._plug,
        }
        self._deeds: Mapping[Bay, Mapping[str, Does]] = {
            Bay.PROBES: ways | self._at_probes(),
            Bay.HEAT: ways | self._at_heat(),
            Bay.ENGINE: ways | self._at_engine(),
        }

    def _at_probes(self) -> dict[str, Does]:
        return {
            "T": lambda: self._hand.take_over(SHORT),
            **self._each(TOUCHED_BY, self._hand.take_over),
            **self._each(CASES, lambda case: self._change(case[0])),
            "H": self._hold,
            "Y": self._battery,
        }

    def _at_heat(self) -> dict[str, Does]:
        return {
            **self._each(CLIPPED_BY, self._hand.take_over),
            "A": lambda: self._heat(on=True),
            "S": lambda: self._heat(on=False),
            "W": lambda: self._warm(SHOP_CELSIUS),
            **self._each(HOT_AT_ONCE, self._warm),
            **self._each(PACES, lambda pace: self._practice.hurry(pace[0])),
            **self._each(HOT_CASES, lambda case: self._change(case[0])),
            "1": self._plug_thermometer,
        }

    def _at_engine(self) -> dict[str, Does]:
        return {
            "O": lambda: self._hand.take_over(CLAMP),
            "A": self._practice.start,
            "S": self._practice.stop,
            "V": lambda: self._practice.bleed(on=not self._practice.sight.bleeds),
            **self._each(THROTTLES, lambda place: self._practice.throttle(place[0])),
            **self._each(LOADS, lambda share: self._practice.load(share[0])),
            **self._each(PACES, lambda pace: self._practice.hurry(pace[0])),
            **self._each(ENGINE_CASES, lambda case: self._change_engine(case[0])),
        }

    @staticmethod
    def _each(given: Mapping[str, T], do: Callable[[T], None]) -> dict[str, Does]:
        def doing(what: T) -> Does:
            return lambda: do(what)

        return {press: doing(what) for press, what in given.items()}

    # --- doing ----------------------------------------------------------------------------------

    def act(self, press: str) -> bool:
        """Do what a key stands for here; False where it stands for nothing.

        What the practice meter refuses is one line in the view.
        """
        deed = self._deeds[self._bay].get(press)
        if deed is None:
            return False
        self._trouble = ""
        try:
            deed()
        except LinkError as error:
            self._trouble = str(error)
        return True

    def leave(self) -> None:
        """Put everything back that only this desk can: probes follow, leads in, no sign showing."""
        self._hand.let_go()
        wrong = (
            (self._unplugged, self._plug),
            (self._no_thermometer, self._plug_thermometer),
            (self._on_hold, self._hold),
            (self._low_battery, self._battery),
        )
        self._trouble = ""
        for is_so, undo in wrong:
            try:
                if is_so:
                    undo()
            except LinkError as error:
                self._trouble = str(error)

    def _turning(self, bay: Bay) -> Does:
        def turn() -> None:
            self._bay = bay

        return turn

    def _follow(self, check: Check | None) -> None:
        """Turn to the bay of a step that has just come up."""
        if check is None or check.key == self._at:
            return
        self._at = check.key
        if not self._hand.by_itself:
            return
        is_run = check.kind is CheckKind.RUN and check.run is not None
        self._bay = BAY_OF[check.run.kind] if is_run and check.run else Bay.PROBES

    def _warm(self, celsius: float) -> None:
        self._practice.temperature(celsius)
        self._put = celsius

    def _heat(self, *, on: bool) -> None:
        self._practice.heat(on=on)
        self._put = None

    def _change(self, case: str) -> None:
        self._practice.change_case(case)
        self.case = case

    def _change_engine(self, case: str) -> None:
        self._practice.change_engine(case)
        self.engine = case

    def _plug(self) -> None:
        if self._unplugged:
            self._practice.plug()
        else:
            self._practice.unplug()
        self._unplugged = not self._unplugged

    def _plug_thermometer(self) -> None:
        if self._no_thermometer:
            self._practice.plug_thermometer()
        else:
            self._practice.unplug_thermometer()
        self._no_thermometer = not self._no_thermometer

    def _hold(self) -> None:
        self._practice.hold(on=not self._on_hold)
        self._on_hold = not self._on_hold

    def _battery(self) -> None:
        self._practice.low_battery(on=not self._low_battery)
        self._low_battery = not self._low_battery

    # --- showing --------------------------------------------------------------------------------

    def view(self) -> HandsView:
        """How everything stands now; a step that has come up turns to its bay."""
        hand = self._hand
        self._follow(hand.check)
        seen = self._eyes.seen(hand, self.case)
        tabs = (
            Deed(press=press, text=text, stands=bay is self._bay)
            for press, (bay, text) in TABS.items()
        )
        return HandsView(
            label=_("You see") if seen else _("The probes hold"),
            holds=seen or PLACES.get(hand.holds, hand.holds),
            manner=_("follows the step") if hand.by_itself else _("by hand"),
            reads=self._eyes.engine() if self._bay is Bay.ENGINE else self._eyes.warmth(),
            trouble=self._trouble,
            bay=self._bay,
            tabs=Group(title="", deeds=tuple(tabs)),
            groups=groups(self._bay, self._state()),
        )

    def _state(self) -> State:
        return State(
            units=self._units(),
            sight=self._practice.sight,
            by_hand="" if self._hand.by_itself else self._hand.holds,
            case=self.case,
            engine=self.engine,
            put=self._put,
            unplugged=self._unplugged,
            no_thermometer=self._no_thermometer,
            on_hold=self._on_hold,
            low_battery=self._low_battery,
        )
