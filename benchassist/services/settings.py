"""What a shop has set: names, units, habits. One JSON file in the home folder.

The window asks for its theme before the first paint, so what is heavy is imported where it is used.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from math import inf
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from benchassist.core.plain_text import brief
from benchassist.core.slip_number import is_letter
from benchassist.errors import InputError, StoreError
from benchassist.services.translation import _

if TYPE_CHECKING:
    from benchassist.units import UnitChoice


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """Choices of the shop. Temperatures in celsius, resistances in ohm, whatever is shown."""

    shop_name: str = ""
    bench_name: str = ""
    bench_letter: str = ""
    """Before the numbers of this bench's slips, where a shop has several; empty for one bench."""
    done_by: str = ""
    temperature_unit: str = "celsius"
    length_unit: str = "mm"
    pressure_unit: str = "kpa"
    shop_celsius: float = 20.0
    k: float = 2.0
    zero_lasts_h: float = 8.0
    known_resistor: float = 10_000.0
    known_tolerance_percent: float = 1.0
    theme: str = "system"
    paper: str = "a4"
    pedal_key: str = ""
    sound: bool = True
    spoken: bool = False
    meter_card: str = ""
    meter_accuracy: str = ""
    currency: str = "$"
    """A sign or a code; empty: amounts without a name."""
    currency_decimals: str = "2"
    labour_rate: float = 0.0
    """An hour, in that currency."""
    hidden_level: float = 0.05
    """The chance of a fault that merely hid, below which the shop lets a machine go."""
    own_content: float = 0.95
    """The share of good parts that a band learned from the shop's own is to hold."""
    own_confidence: float = 0.95
    """How sure the shop wants to be that it does."""

    @property
    def bench_label(self) -> str:
        """What other benches call this one: its letter, its name, or both; empty for neither."""
        if self.bench_letter and self.bench_name:
            return f"{self.bench_letter} ({self.bench_name})"
        return self.bench_letter or self.bench_name

    @property
    def units(self) -> UnitChoice:
        """The units the shop works in."""
        from benchassist.units import LengthUnit, PressureUnit, TemperatureUnit, UnitChoice

        return UnitChoice(
            temperature=TemperatureUnit(self.temperature_unit),
            length=LengthUnit(self.length_unit),
            pressure=PressureUnit(self.pressure_unit),
        )


ALLOWED: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "temperature_unit": ("celsius", "fahrenheit"),
        "length_unit": ("mm", "thousandths"),
        "pressure_unit": ("kpa", "psi"),
        "theme": ("system", "light", "dark"),
        "paper": ("a4", "letter"),
        "currency_decimals": ("0", "2", "3"),
    }
)
LIMITS: Final[Mapping[str, tuple[float, float]]] = MappingProxyType(
    {
        "shop_celsius": (-40.0, 300.0),
        "k": (1.0, 4.0),
        "zero_lasts_h": (0.1, 10_000.0),
        "known_resistor": (0.1, 1e8),
        "known_tolerance_percent": (0.0, 20.0),
        "labour_rate": (0.0, 1e6),
        "hidden_level": (0.0001, 0.5),
        "own_content": (0.5, 0.999),
        "own_confidence": (0.5, 0.999),
    }
)
"""The least and the most that makes sense; for the shop's temperature, that of a part."""
KINDS: Final[Mapping[type, str]] = MappingProxyType(
    {str: _("text"), float: _("a number"), bool: _("true or false")}
)


class SettingsFile:
    """Reads and writes the settings; a damaged file is named and never overwritten unread."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def read(self) -> Settings:
        """The settings, defaults where the file does not exist. Raises InputError if unreadable."""
        try:
            given = json.loads(self._path.read_text("utf-8"))
        except FileNotFoundError:
            return Settings()
        except (OSError, ValueError, RecursionError) as error:
            raise InputError(
                _("{path}: not a settings file ({why})").format(path=self._path, why=error)
            ) from None
        if not isinstance(given, dict):
            raise InputError(_("{path}: settings are one JSON object").format(path=self._path))
        defaults = asdict(Settings())
        for name, value in given.items():
            if fault := _fault(name, value, defaults):
                raise InputError(f"{self._path}: {fault}")
        numbers = {n: float(v) for n, v in given.items() if isinstance(defaults[n], float)}
        return replace(Settings(), **given | numbers)

    def write(self, settings: Settings) -> None:
        """Replace the file in one step. Raises StoreError where that cannot be."""
        fresh = self._path.with_suffix(".new")
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            fresh.write_text(json.dumps(asdict(settings), indent=2) + "\n", "utf-8")
            fresh.replace(self._path)
        except OSError as error:
            raise StoreError(
                _("{path}: the settings cannot be kept ({why})").format(
                    path=self._path, why=error.strerror
                )
            ) from None


def is_currency(text: str) -> bool:
    """Whether a text can name a currency: a sign, a code without digits or spaces, or nothing."""
    return len(text) <= 4 and not any(c.isspace() or c.isdigit() or c in ".,+-" for c in text)


def _fault(name: str, value: object, defaults: Mapping[str, object]) -> str:
    """What is wrong with a setting and what would be right; empty where nothing is."""
    if name not in defaults:
        return _("no setting '{name}'; there are {known}").format(
            name=brief(name), known=", ".join(sorted(defaults))
        )
    kind = type(defaults[name])
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    if not (is_number if kind is float else isinstance(value, kind)):
        return _("{name} must be {kind}, not {value!r}").format(
            name=name, kind=KINDS[kind], value=value
        )
    if name in ALLOWED and value not in ALLOWED[name]:
        return _("{name} is one of {allowed}").format(name=name, allowed=", ".join(ALLOWED[name]))
    low, high = LIMITS.get(name, (-inf, inf))
    if isinstance(value, int | float) and not low <= value <= high:
        return _("{name} is {low:g} to {high:g}, not {value}").format(
            name=name, low=low, high=high, value=value
        )
    if name == "bench_letter" and not is_letter(str(value)):
        return _("bench_letter '{value}': use one of A to Z, or nothing").format(
            value=brief(str(value))
        )
    if name == "currency" and not is_currency(str(value)):
        return _("currency '{value}': use a sign or up to 4 letters").format(
            value=brief(str(value))
        )
    if name == "meter_accuracy" and isinstance(value, str) and value:
        from benchassist.units import read_accuracies

        try:
            read_accuracies(value)
        except InputError as error:
            return f"{name}: {error}"
    return ""
