"""What a shop has set: names, units, habits. One JSON file in the home folder."""

import json
import os
from dataclasses import asdict, dataclass, fields, replace
from pathlib import Path
from typing import Any

from benchassist.errors import InputError, StoreError
from benchassist.services.translation import _
from benchassist.units import LengthUnit, PressureUnit, TemperatureUnit, UnitChoice


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """Choices of the shop. Temperatures in celsius, resistances in ohm, whatever the units shown."""

    shop_name: str = ""
    bench_name: str = ""
    done_by: str = ""
    temperature_unit: str = "celsius"
    length_unit: str = "mm"
    pressure_unit: str = "kpa"
    shop_celsius: float = 20.0
    k: float = 2.0
    known_resistor: float = 10_000.0
    known_tolerance_percent: float = 1.0
    theme: str = "system"
    paper: str = "a4"
    pedal_key: str = ""
    spoken: bool = False
    meter_card: str = ""
    meter_accuracy: str = ""

    @property
    def units(self) -> UnitChoice:
        """The units the shop works in."""
        return UnitChoice(
            temperature=TemperatureUnit(self.temperature_unit),
            length=LengthUnit(self.length_unit),
            pressure=PressureUnit(self.pressure_unit),
        )


ALLOWED: dict[str, tuple[str, ...]] = {
    "temperature_unit": ("celsius", "fahrenheit"),
    "length_unit": ("mm", "thousandths"),
    "pressure_unit": ("kpa", "psi"),
    "theme": ("system", "light", "dark"),
    "paper": ("a4", "letter"),
}


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
        except (OSError, UnicodeDecodeError, json.JSONDecodeError) as error:
            raise InputError(f"{self._path}: not a settings file ({error})") from None
        if not isinstance(given, dict):
            raise InputError(f"{self._path}: settings are one JSON object")
        return replace(Settings(), **{name: self._checked(name, v) for name, v in given.items()})

    def _checked(self, name: str, value: Any) -> Any:
        defaults = {f.name: f.default for f in fields(Settings)}
        if name not in defaults:
            known = ", ".join(sorted(defaults))
            raise InputError(f"{self._path}: no setting '{name}'; there are {known}")
        if name in ALLOWED and value not in ALLOWED[name]:
            raise InputError(f"{self._path}: {name} is one of {', '.join(ALLOWED[name])}")
        wanted = type(defaults[name])
        if wanted is float and isinstance(value, int) and not isinstance(value, bool):
            return float(value)
        if not isinstance(value, wanted):
            raise InputError(f"{self._path}: {name} must be a {wanted.__name__}, not {value!r}")
        return value

    def write(self, settings: Settings) -> None:
        """Replace the file in one step. Raises StoreError where that cannot be."""
        fresh = self._path.with_suffix(".new")
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            fresh.write_text(json.dumps(asdict(settings), indent=2) + "\n", "utf-8")
            os.replace(fresh, self._path)
        except OSError as error:
            raise StoreError(
                _("{path}: the settings cannot be kept ({why})").format(
                    path=self._path, why=error.strerror
                )
            ) from None
