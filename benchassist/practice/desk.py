"""What a person can do on the practice bench by hand, and how it stands, as one view.

The window paints the view and hands every key back; nothing here knows of a window.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from benchassist.core.quantity import Quantity
from benchassist.errors import LinkError
from benchassist.practice.bench import DEFAULT_CASE, PracticeBench
from benchassist.practice.hand import LIFT, SHORT, Hand
from benchassist.practice.parts import SHOP_CELSIUS
from benchassist.services.needs import Clock
from benchassist.services.translation import _
from benchassist.units import UnitChoice, scaled

HOT: Final = (45.0, 70.0, 90.0)
HOTTEST: Final = HOT[-1]
RAMP_S: Final = 60.0

PLACES: Final = {
    LIFT: _("Nothing"),
    SHORT: _("Each other"),
    "leads": _("Each other"),
    "coil_primary": _("Coil primary"),
    "coil_secondary": _("Coil secondary"),
    "cap": _("Plug cap"),
    "path": _("Whole path"),
    "plug_resistor": _("Spark plug"),
    "stop_insulation": _("Stop wire"),
    "stop_switch": _("Stop switch"),
    "low_oil": _("Low-oil switch"),
    "self_check": _("Known resistor"),
    "idle_low": _("Low speed"),
    "idle_high": _("High speed"),
}
"""What the probes can touch, in the words of the trade."""
TOUCHED_BY: Final = {
    "1": "coil_primary",
    "2": "coil_secondary",
    "3": "cap",
    "4": "path",
    "5": "plug_resistor",
    "6": "stop_insulation",
    "7": "stop_switch",
    "8": "low_oil",
    "K": "self_check",
    "9": "idle_low",
    "0": "idle_high",
}
CASES: Final = {
    "Z": ("sound", _("Sound")),
    "X": ("coil-opens-hot", _("Coil opens hot")),
    "C": ("cap-high", _("Cap high")),
    "V": ("stop-wire-leaks", _("Stop wire leaks")),
    "B": ("broken-lead", _("Broken lead")),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Deed:
    """One thing to do, with its key; `stands` where it is so now."""

    press: str
    text: str
    stands: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Deeds of one kind under a title, so many in a row; `note` says how things stand."""

    title: str
    note: str = ""
    columns: int
    deeds: tuple[Deed, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HandsView:
    """All that the window shows. `trouble`: why the last deed was refused, empty if it was done."""

    holds: str
    manner: str
    trouble: str
    groups: tuple[Group, ...]


@dataclass(frozen=True, slots=True)
class Warmth:
    """Where the parts' temperature goes (celsius) and when it is there (monotonic seconds)."""

    celsius: float
    at_s: float
    slowly: bool = False


class HandsDesk:
    """Moves the probes, warms the parts, puts faults in and handles the meter. `act` by key."""

    def __init__(
        self,
        hand: Hand,
        practice: PracticeBench,
        *,
        clock: Clock,
        units: UnitChoice,
        case: str = DEFAULT_CASE,
    ) -> None:
        self._hand = hand
        self._practice = practice
        self._clock = clock
        self._units = units
        self._case = case
        self._warmth = Warmth(SHOP_CELSIUS, clock.monotonic())
        self._unplugged = self._on_hold = self._low_battery = False
        self._trouble = ""
        shop, hottest = SHOP_CELSIUS, HOTTEST
        self._deeds: dict[str, Callable[[], None]] = {
            "F": hand.let_go,
            "L": lambda: hand.take_over(LIFT),
            "T": lambda: hand.take_over(SHORT),
            **{press: self._touching(key) for press, key in TOUCHED_BY.items()},
            "Q": lambda: self._warm(shop),
            **{press: self._warming(t) for press, t in zip("WER", HOT, strict=True)},
            "A": lambda: self._warm(hottest, slowly=True),
            "S": lambda: self._warm(shop, slowly=True),
            **{press: self._changing(case) for press, (case, _text) in CASES.items()},
            "P": self._plug,
            "H": self._hold,
            "Y": self._battery,
        }

    # --- doing ----------------------------------------------------------------------------------

    def act(self, press: str) -> bool:
        """Do what a key stands for; False where it stands for nothing.

        What the practice meter refuses is one line in the view.
        """
        deed = self._deeds.get(press)
        if deed is None:
            return False
        self._trouble = ""
        try:
            deed()
        except LinkError as error:
            self._trouble = str(error)
        return True

    def leave(self) -> None:
        """Put everything back that only this desk can: probes follow, lead in, no sign showing."""
        wrong = (("P", self._unplugged), ("H", self._on_hold), ("Y", self._low_battery))
        for press in ("F", *(press for press, is_so in wrong if is_so)):
            self.act(press)

    def _touching(self, key: str) -> Callable[[], None]:
        return lambda: self._hand.take_over(key)

    def _warming(self, celsius: float) -> Callable[[], None]:
        return lambda: self._warm(celsius)

    def _changing(self, case: str) -> Callable[[], None]:
        return lambda: self._change(case)

    def _warm(self, celsius: float, *, slowly: bool = False) -> None:
        over_s = RAMP_S if slowly else 0.0
        self._practice.temperature(celsius, over_s=over_s)
        self._warmth = Warmth(celsius, self._clock.monotonic() + over_s, slowly)

    def _change(self, case: str) -> None:
        self._practice.change_case(case)
        self._case = case

    def _plug(self) -> None:
        if self._unplugged:
            self._practice.plug()
        else:
            self._practice.unplug()
        self._unplugged = not self._unplugged

    def _hold(self) -> None:
        self._practice.hold(on=not self._on_hold)
        self._on_hold = not self._on_hold

    def _battery(self) -> None:
        self._practice.low_battery(on=not self._low_battery)
        self._low_battery = not self._low_battery

    # --- showing --------------------------------------------------------------------------------

    def view(self) -> HandsView:
        """How everything stands now."""
        hand = self._hand
        return HandsView(
            holds=PLACES.get(hand.holds, hand.holds),
            manner=_("follows the step") if hand.by_itself else _("by hand"),
            trouble=self._trouble,
            groups=(self._probes(), self._temperatures(), self._faults(), self._meter()),
        )

    def _probes(self) -> Group:
        by_hand = "" if self._hand.by_itself else self._hand.holds
        ways = (
            Deed(press="F", text=_("Follow the step"), stands=self._hand.by_itself),
            Deed(press="L", text=_("Lift"), stands=by_hand == LIFT),
            Deed(press="T", text=_("Hold together"), stands=by_hand == SHORT),
        )
        touches = tuple(
            Deed(press=press, text=PLACES[key], stands=by_hand == key)
            for press, key in TOUCHED_BY.items()
        )
        return Group(title="", columns=3, deeds=(*ways, *touches))

    def _temperatures(self) -> Group:
        there = self._warmth.celsius if not self._warmth.slowly else None
        steps = (("Q", SHOP_CELSIUS), *zip("WER", HOT, strict=True))
        at_once = [
            Deed(
                press=press,
                text=_("Shop") if press == "Q" else self._degrees(celsius),
                stands=there == celsius,
            )
            for press, celsius in steps
        ]
        slow = self._warmth.celsius if self._warmth.slowly else None
        slowly = (
            Deed(press="A", text=_("Warm slowly"), stands=slow == HOTTEST),
            Deed(press="S", text=_("Cool slowly"), stands=slow == SHOP_CELSIUS),
        )
        return Group(
            title=_("Part temperature"),
            note=self._warmth_text(),
            columns=3,
            deeds=(*at_once, *slowly),
        )

    def _warmth_text(self) -> str:
        left = self._warmth.at_s - self._clock.monotonic()
        degrees = self._degrees(self._warmth.celsius)
        if left <= 0.0:
            return degrees
        return _("{degrees} in {left:.0f} s").format(degrees=degrees, left=left)

    def _degrees(self, celsius: float) -> str:
        return str(scaled(celsius, Quantity.TEMPERATURE, units=self._units))

    def _faults(self) -> Group:
        deeds = tuple(
            Deed(press=press, text=text, stands=case == self._case)
            for press, (case, text) in CASES.items()
        )
        return Group(title=_("What is wrong"), columns=3, deeds=deeds)

    def _meter(self) -> Group:
        pull = _("Push lead in") if self._unplugged else _("Pull the lead")
        deeds = (
            Deed(press="P", text=pull, stands=self._unplugged),
            Deed(press="H", text=_("HOLD"), stands=self._on_hold),
            Deed(press="Y", text=_("Low battery"), stands=self._low_battery),
        )
        note = _("Its lead is out") if self._unplugged else ""
        return Group(title=_("The meter"), note=note, columns=3, deeds=deeds)
