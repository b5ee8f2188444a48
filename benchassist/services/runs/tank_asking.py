"""The lines of text a tank run asks for: the tank, the air, the gauge."""

from enum import StrEnum
from types import MappingProxyType
from typing import Final

from benchassist.core.plain_text import brief
from benchassist.core.quantity import Quantity
from benchassist.core.run import MarkKind
from benchassist.errors import InputError
from benchassist.services.runs.asking import Asking, Line, read_gauge
from benchassist.services.runs.tank_text import FOOT, LITRES, US_GALLONS, is_us
from benchassist.services.runs.work import Draft, Question
from benchassist.services.translation import _
from benchassist.units import UnitChoice, read_typed, text_of
from benchassist.units.number import read_line, read_number

COLDEST, HOTTEST = -40.0, 60.0
"""Outside these (celsius) air is no place to work in."""
LOWEST, HIGHEST = -450.0, 6000.0
"""Metres above the sea at which people work."""
LARGEST: Final = 20.0
"""Cubic metres; a larger tank is a slip of the finger."""


class Asked(StrEnum):
    """What is typed; the first three are the texts of MarkKind.PLACE."""

    VOLUME = "tank_volume"
    AMBIENT = "ambient"
    ALTITUDE = "altitude"
    GAUGE = "gauge"
    CUT_OUT = "cut_out"
    CUT_IN = "cut_in"


PLACES: Final = (Asked.VOLUME, Asked.AMBIENT, Asked.ALTITUDE)
_MARK: Final = MappingProxyType(
    {
        Asked.GAUGE: MarkKind.PRESSURE,
        Asked.CUT_OUT: MarkKind.CUT_OUT,
        Asked.CUT_IN: MarkKind.CUT_IN,
    }
)
_VOLUME: Final = MappingProxyType(
    {
        **dict.fromkeys(("gal", "gallon", "gallons", "usgal"), 1.0 / US_GALLONS),
        **dict.fromkeys(("l", "litre", "litres", "liter", "liters"), 1.0 / LITRES),
        **dict.fromkeys(("m3", "m³"), 1.0),
        **dict.fromkeys(("ft3", "ft³"), FOOT**3),
    }
)
_HEIGHT: Final = MappingProxyType({**dict.fromkeys(("ft", "feet"), FOOT), "m": 1.0, "km": 1000.0})


class TankAsking(Asking[Asked]):
    """What a tank run waits for."""

    def __init__(self, units: UnitChoice, shop_celsius: float | None) -> None:
        super().__init__(units)
        self._shop_celsius = shop_celsius

    def _question(self, asked: Asked) -> Question:
        units = self._units
        match asked:
            case Asked.VOLUME:
                example = _("60 gal") if is_us(units) else _("200 L")
                hint = _("Such as {example}, off its plate").format(example=example)
                return Question(label=_("Tank volume"), hint=hint)
            case Asked.AMBIENT:
                return Question(label=_("Air temperature"), hint=self._ambient_hint())
            case Asked.ALTITUDE:
                example = _("1200 ft") if is_us(units) else _("350 m")
                hint = _("Such as {example}. Enter alone: near sea level").format(example=example)
                return Question(label=_("Height above the sea"), hint=hint)
            case _:
                unit = units.typed_unit(Quantity.PRESSURE)
                hint = _("{unit} if no unit is typed").format(unit=unit)
                return Question(label=_LABEL[asked], hint=hint)

    def _ambient_hint(self) -> str:
        if self._shop_celsius is None:
            unit = self._units.typed_unit(Quantity.TEMPERATURE)
            return _("{unit} if no unit is typed").format(unit=unit)
        shop = text_of(self._shop_celsius, Quantity.TEMPERATURE, resolution=1.0, units=self._units)
        return _("Enter alone: as the shop, {celsius}").format(celsius=shop)

    def _drafts(self, line: Line[Asked], text: str) -> tuple[Draft, ...]:
        value, resolution = self._value(line.asked, text)
        if value is None:
            return ()
        if line.asked in PLACES:
            place = line.asked.value
            return (Draft(kind=MarkKind.PLACE, t_s=line.t_s, value=value, text=place),)
        kind = _MARK[line.asked]
        return (Draft(kind=kind, t_s=line.t_s, value=value, resolution=resolution),)

    def _value(self, asked: Asked, text: str) -> tuple[float | None, float | None]:
        """The value in its base unit and one count of it; None where left empty and unknown."""
        empty = not text.strip()
        match asked:
            case Asked.VOLUME:
                return (None if empty else read_volume(text, self._units)), None
            case Asked.AMBIENT:
                return (self._shop_celsius if empty else read_air(text, self._units)), None
            case Asked.ALTITUDE:
                return (0.0 if empty else read_altitude(text, self._units)), None
            case _:
                return read_gauge(text, self._units)


_LABEL: Final = MappingProxyType(
    {
        Asked.GAUGE: _("Gauge now"),
        Asked.CUT_OUT: _("Gauge at cut-out"),
        Asked.CUT_IN: _("Gauge at cut-in"),
    }
)


def read_volume(text: str, units: UnitChoice) -> float:
    """A tank's volume in cubic metres. Raises InputError."""
    example = _("60 gal or 227 L")
    value = _read(text, _VOLUME, default="gal" if is_us(units) else "l", example=example)
    if not 0.0 < value <= LARGEST:
        raise InputError(
            _("'{text}' is no tank’s volume: type one such as {example}").format(
                text=brief(text), example=example
            )
        )
    return value


def read_altitude(text: str, units: UnitChoice) -> float:
    """Metres above the sea. Raises InputError."""
    example = _("1200 ft or 350 m")
    value = _read(text, _HEIGHT, default="ft" if is_us(units) else "m", example=example)
    if not LOWEST <= value <= HIGHEST:
        raise InputError(
            _("'{text}' is no height people work at: type one such as {example}").format(
                text=brief(text), example=example
            )
        )
    return value


def read_air(text: str, units: UnitChoice) -> float:
    """Air temperature in celsius. Raises InputError."""
    unit = units.typed_unit(Quantity.TEMPERATURE)
    celsius = read_typed(text, quantity=Quantity.TEMPERATURE, default_unit=unit).value
    if celsius is None or not COLDEST <= celsius <= HOTTEST:
        raise InputError(
            _("'{text}' is no air to work in: type one between −40 and 60 °C").format(
                text=brief(text)
            )
        )
    return celsius


def _read(text: str, table: MappingProxyType[str, float], *, default: str, example: str) -> float:
    line = read_line(text)
    number, unit, has_power = read_number(line, example)
    factor = table.get(unit.lower().replace(" ", "") or default)
    if factor is None or has_power:
        wrong = _("'{text}': type a number and its unit, such as {example}")
        raise InputError(wrong.format(text=brief(line), example=example))
    return float(number) * factor
