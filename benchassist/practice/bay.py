"""The sides of the hands' window: which deeds each shows, and which of them stand now."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from benchassist.core.quantity import Quantity
from benchassist.practice.bench import Sight
from benchassist.practice.deed import (
    CASES,
    CLIPPED_BY,
    ENGINE_CASES,
    HOT_AT_ONCE,
    HOT_CASES,
    LOADS,
    PACES,
    PLACES,
    THROTTLES,
    TOUCHED_BY,
    Bay,
    Deed,
    Group,
)
from benchassist.practice.hand import LIFT, SHORT
from benchassist.practice.oven import SHOP_CELSIUS
from benchassist.practice.parts import CLAMP
from benchassist.services.translation import _
from benchassist.units import UnitChoice, scaled


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """All that decides what stands.

    `by_hand` is what is held by hand, empty while the hands follow the step; `put` the celsius at
    which the parts were put at once, None once they were warmed or cooled.
    """

    units: UnitChoice
    sight: Sight
    by_hand: str
    case: str
    engine: str
    put: float | None
    unplugged: bool
    no_thermometer: bool
    on_hold: bool
    low_battery: bool


def groups(bay: Bay, state: State) -> tuple[Group, ...]:
    """Everything on one side."""
    return tuple({Bay.PROBES: _probes, Bay.HEAT: _hot, Bay.ENGINE: _running}[bay](state))


def _probes(state: State) -> Iterator[Group]:
    together = Deed(press="T", text=_("Hold together"), stands=state.by_hand == SHORT)
    ways = (_follows(state), _lift(state, _("Lift")), together)
    yield Group(title="", deeds=(*ways, *_touches(state, TOUCHED_BY)))
    yield _faults(CASES, state.case)
    meter = (
        _pull(state),
        Deed(press="H", text=_("HOLD"), stands=state.on_hold),
        Deed(press="Y", text=_("Low battery"), stands=state.low_battery),
    )
    note = _("Its lead is out") if state.unplugged else ""
    yield Group(title=_("The meter"), note=note, deeds=meter)


def _hot(state: State) -> Iterator[Group]:
    clips = (_follows(state), _lift(state, _("Clip off")), *_touches(state, CLIPPED_BY))
    yield Group(title="", deeds=clips)
    on_heat, let = state.sight.on_heat, state.put is None
    heat = (
        Deed(press="A", text=_("Heat on"), stands=let and on_heat),
        Deed(press="S", text=_("Heat off, cool"), stands=let and not on_heat),
        Deed(press="W", text=_("At shop’s"), stands=state.put == SHOP_CELSIUS),
        *(
            Deed(press=press, text=_degrees(state, celsius), stands=state.put == celsius)
            for press, celsius in HOT_AT_ONCE.items()
        ),
    )
    yield Group(title=_("Part temperature"), deeds=heat)
    yield _pace(state)
    tip = _("Push tip’s lead in") if state.no_thermometer else _("Pull tip’s lead")
    out = Deed(press="1", text=tip, stands=state.no_thermometer)
    yield _faults(HOT_CASES, state.case, _pull(state), out)


def _running(state: State) -> Iterator[Group]:
    sight = state.sight
    clamp = Deed(press="O", text=_("Clamp on"), stands=state.by_hand == CLAMP)
    yield Group(title="", deeds=(_follows(state), clamp, _lift(state, _("Clamp off"))))
    valve = _("Shut the drain") if sight.bleeds else _("Open the drain")
    engine = (
        Deed(press="A", text=_("Start"), stands=sight.runs),
        Deed(press="S", text=_("Stop"), stands=not sight.runs),
        Deed(press="V", text=valve, stands=sight.bleeds),
        *(
            Deed(press=press, text=text, stands=sight.throttle == place)
            for press, (place, text) in THROTTLES.items()
        ),
        *(
            Deed(press=press, text=text, stands=sight.load == share)
            for press, (share, text) in LOADS.items()
        ),
    )
    yield Group(title=_("Engine"), deeds=engine)
    yield _pace(state)
    yield _faults(ENGINE_CASES, state.engine, _pull(state))


def _touches(state: State, presses: Mapping[str, str]) -> Iterator[Deed]:
    for press, key in presses.items():
        yield Deed(press=press, text=PLACES[key], stands=state.by_hand == key)


def _follows(state: State) -> Deed:
    return Deed(press="F", text=_("Follow the step"), stands=not state.by_hand)


def _lift(state: State, text: str) -> Deed:
    return Deed(press="L", text=text, stands=state.by_hand == LIFT)


def _pull(state: State) -> Deed:
    text = _("Push lead in") if state.unplugged else _("Pull the lead")
    return Deed(press="P", text=text, stands=state.unplugged)


def _faults(cases: Mapping[str, tuple[str, str]], now: str, *more: Deed) -> Group:
    deeds = (
        Deed(press=press, text=text, stands=case == now) for press, (case, text) in cases.items()
    )
    return Group(title=_("What is wrong"), deeds=(*deeds, *more))


def _pace(state: State) -> Group:
    deeds = (
        Deed(press=press, text=text, stands=factor == state.sight.pace)
        for press, (factor, text) in PACES.items()
    )
    return Group(title=_("Heat and air"), note=_("faster than life"), deeds=tuple(deeds))


def _degrees(state: State, celsius: float) -> str:
    return str(scaled(celsius, Quantity.TEMPERATURE, units=state.units))
