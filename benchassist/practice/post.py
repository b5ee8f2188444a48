"""What a line given to the practice meters does to the parts, the engine and the meter."""

import math
import time
from collections.abc import Callable, Mapping
from typing import TypeVar

from benchassist.errors import InputError
from benchassist.practice.engine import Load, Throttle
from benchassist.practice.parts import PartBench
from benchassist.practice.stand import Stand

Obey = Callable[[object, Mapping[str, object]], None]
"""Does what a word stands for: its value, and all that was given with it."""
Place = TypeVar("Place", Throttle, Load)


def posts(stand: Stand, parts: PartBench) -> Mapping[str, Obey]:
    """Every word that moves the probes, the parts or the engine."""
    oven, engine = parts.oven, parts.engine

    def heat(on: object, _all: Mapping[str, object]) -> None:
        oven.advance(time.monotonic())
        oven.heat(on=bool(on))

    def put(celsius: object, named: Mapping[str, object]) -> None:
        wanted, over_s = number(celsius), number(named.get("over_s", 0.0))
        if not math.isfinite(wanted) or not -40.0 <= wanted <= 200.0:
            raise InputError(f"Temperature {wanted}: -40 to 200 celsius would be right")
        oven.put(wanted, over_s=over_s, t_s=time.monotonic())
        parts.advance(time.monotonic())

    def throttle(place: object, _all: Mapping[str, object]) -> None:
        engine.throttle = _one_of(Throttle, place)

    def load(share: object, _all: Mapping[str, object]) -> None:
        engine.load = _one_of(Load, share)

    def bleed(on: object, _all: Mapping[str, object]) -> None:
        engine.bleeds = bool(on)

    def start(_on: object, _all: Mapping[str, object]) -> None:
        parts.advance(time.monotonic())
        engine.start()

    return {
        "touch": lambda what, _all: stand.touch(str(what), time.monotonic()),
        "lift": lambda _on, _all: stand.lift(),
        "short": lambda _on, _all: stand.touch("leads", time.monotonic()),
        "temperature": put,
        "over_s": lambda _seconds, _all: None,
        "heat": heat,
        "pace": lambda pace, _all: parts.set_pace(number(pace)),
        "case": lambda name, _all: parts.change(str(name)),
        "engine": lambda name, _all: engine.change(str(name)),
        "throttle": throttle,
        "load": load,
        "bleed": bleed,
        "start": start,
        "stop": lambda _on, _all: engine.stop(),
        "range": lambda value, _all: stand.set_range(None if value is None else number(value)),
        "mode": lambda name, _all: stand.set_mode(str(name)),
        "stall": lambda on, _all: stand.set_stalled(on=bool(on)),
    }


def number(value: object) -> float:
    """A number of JSON. Raises InputError for anything else."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputError(f"{value!r}: a number would be right")
    return float(value)


def _one_of(places: type[Place], given: object) -> Place:
    try:
        return places(str(given))
    except ValueError:
        raise InputError(f"{given}: there are {', '.join(places)}") from None
