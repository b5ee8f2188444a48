"""What can be done on the practice bench, in the words of the trade, and how it is shown."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from benchassist.practice.engine import Load, Throttle
from benchassist.practice.hand import LIFT, SHORT
from benchassist.practice.parts import CLAMP
from benchassist.services.translation import _


class Bay(StrEnum):
    """One of the sides of the window: what is done there."""

    PROBES = "probes"
    HEAT = "heat"
    ENGINE = "engine"


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
    columns: int = 3
    deeds: tuple[Deed, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HandsView:
    """All that the window shows.

    `label` says what `holds` is: what the probes hold, or what is to be seen. `reads` is what the
    thermometer or the gauges show now. `trouble`: why the last deed was refused, empty if it was
    done.
    """

    label: str
    holds: str
    manner: str
    reads: tuple[str, str]
    trouble: str
    bay: Bay
    tabs: Group
    groups: tuple[Group, ...]


TABS: Final[Mapping[str, tuple[Bay, str]]] = MappingProxyType(
    {
        "J": (Bay.PROBES, _("Probes")),
        "U": (Bay.HEAT, _("Heat")),
        "I": (Bay.ENGINE, _("Engine")),
    }
)
PLACES: Final[Mapping[str, str]] = MappingProxyType(
    {
        LIFT: _("Nothing"),
        SHORT: _("Each other"),
        "leads": _("Each other"),
        "coil_primary": _("Coil primary"),
        "coil_secondary": _("Coil secondary"),
        "cap": _("Plug cap"),
        "lead": _("Plug lead"),
        "path": _("Whole path"),
        "plug_resistor": _("Spark plug"),
        "stop_insulation": _("Stop wire"),
        "stop_switch": _("Stop switch"),
        "low_oil": _("Low-oil switch"),
        "self_check": _("Known resistor"),
        "idle_low": _("Low speed"),
        "idle_high": _("High speed"),
        CLAMP: _("Clamp on plug lead"),
    }
)
"""What the probes can touch, in the words of the trade."""
TOUCHED_BY: Final[Mapping[str, str]] = MappingProxyType(
    {
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
        "G": "lead",
    }
)
CLIPPED_BY: Final[Mapping[str, str]] = MappingProxyType(
    {press: TOUCHED_BY[press] for press in "234"}
)
"""Where a clip goes for a heat run: the same keys as by hand."""
CASES: Final[Mapping[str, tuple[str, str]]] = MappingProxyType(
    {
        "Z": ("sound", _("Sound")),
        "X": ("coil-opens-hot", _("Coil opens hot")),
        "C": ("cap-high", _("Cap high")),
        "V": ("stop-wire-leaks", _("Stop wire leaks")),
        "B": ("broken-lead", _("Broken lead")),
    }
)
HOT_CASES: Final[Mapping[str, tuple[str, str]]] = MappingProxyType(
    {
        "Z": CASES["Z"],
        "X": CASES["X"],
        "5": ("coil-joint", _("Slow joint")),
        "6": ("coil-turns", _("Turns short")),
        "7": ("clip-loose", _("Loose clip")),
        "B": ("cap-drifts", _("Cap drifts")),
        "H": ("cap-opens", _("Cap opens")),
    }
)
ENGINE_CASES: Final[Mapping[str, tuple[str, str]]] = MappingProxyType(
    {
        "Z": ("sound", _("Sound")),
        "X": ("dies", _("Quits hot")),
        "4": ("hunts", _("Hunts")),
        "5": ("sticks", _("Idle-down sticks")),
        "6": ("slow", _("Recovers late")),
        "7": ("doubled", _("Pulses doubled")),
        "K": ("rings", _("Clamp rings")),
    }
)
HOT_AT_ONCE: Final[Mapping[str, float]] = MappingProxyType({"R": 45.0, "G": 70.0, "V": 90.0})
"""Celsius that the parts have at once."""
PACES: Final[Mapping[str, tuple[float, str]]] = MappingProxyType(
    {
        "8": (1.0, _("As in life")),
        "9": (10.0, _("10 times")),
        "0": (20.0, _("20 times")),
    }
)
"""How much faster than life heat and air go; at four readings a second no more than 20."""
THROTTLES: Final[Mapping[str, tuple[Throttle, str]]] = MappingProxyType(
    {
        "G": (Throttle.LOW, _("Throttle low")),
        "H": (Throttle.HIGH, _("Throttle high")),
        "B": (Throttle.TANK, _("By the tank")),
    }
)
LOADS: Final[Mapping[str, tuple[Load, str]]] = MappingProxyType(
    {
        "W": (Load.NONE, _("No load")),
        "R": (Load.HALF, _("Half load")),
        "Y": (Load.FULL, _("Full load")),
    }
)
