"""Rows of a log file to samples: what a row must hold, and what is told of one that does not."""

import json
from array import array
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from math import inf, isfinite, nan
from typing import Final

from benchassist.core.quantity import NEVER_NEGATIVE, Quantity
from benchassist.core.reading import Flag
from benchassist.errors import UnitError
from benchassist.services.translation import _
from benchassist.units import Unit, find_unit

OVERLOADS: Final = frozenset({"OL", "O.L", "0L", "0.L"})
TEMPERATURE_AGE_S: Final = 5.0
"""Beyond this a temperature of another channel no longer belongs to a reading."""
BARRED: Final = frozenset({Flag.HOLD, Flag.REL, Flag.MIN, Flag.MAX})
ABSOLUTE_ZERO: Final = -273.15


class RowError(Exception):
    """A row that cannot be used: the kind of fault, and its words."""

    def __init__(self, kind: str, text: str) -> None:
        super().__init__(text)
        self.kind = kind


@dataclass(frozen=True, slots=True)
class Row:
    """A usable row in base units; `value` inf is an overload, nan is 'not known'.

    `note` tells of a cell that was left out although the row is used.
    """

    t_s: float
    value: float
    resolution: float
    celsius: float
    quantity: Quantity
    note: str = ""


class Columns:
    """Rows kept so far, in order of time, as flat arrays."""

    def __init__(self, wanted: frozenset[Quantity]) -> None:
        self._wanted = wanted
        self.quantity: Quantity | None = None
        self.t_s, self.value = array("d"), array("d")
        self.resolution, self.celsius = array("d"), array("d")

    def keep(self, row: Row) -> None:
        """Add a row. Raises RowError for another quantity, or where time goes back."""
        if row.quantity not in self._wanted:
            names = _(" or ").join(sorted(self._wanted))
            raise RowError(
                "quantity",
                _("this is {found}, and {wanted} would be right").format(
                    found=row.quantity, wanted=names
                ),
            )
        if self.quantity is None:
            self.quantity = row.quantity
        elif row.quantity is not self.quantity:
            raise RowError(
                "mixed",
                _("{found} among {before}: one log holds one of them").format(
                    found=row.quantity, before=self.quantity
                ),
            )
        if self.t_s and row.t_s < self.t_s[-1]:
            raise RowError(
                "time",
                _("time goes back from {before:g} s to {now:g} s").format(
                    before=self.t_s[-1], now=row.t_s
                ),
            )
        self.t_s.append(row.t_s)
        self.value.append(row.value)
        self.resolution.append(row.resolution)
        self.celsius.append(row.celsius)


class TableRows:
    """Rows of a CSV file, by the columns its header names."""

    def __init__(self, header: list[str]) -> None:
        names = [cell.strip().lower().lstrip("\ufeff") for cell in header]
        missing = [name for name in ("t_s", "value", "unit") if name not in names]
        if missing:
            raise RowError(
                "header",
                _("no column {names}: the header must be t_s,value,unit").format(
                    names=", ".join(missing)
                ),
            )
        self._t, self._value, self._unit = (names.index(n) for n in ("t_s", "value", "unit"))
        self._celsius = names.index("temperature_c") if "temperature_c" in names else None
        self._count = names.index("resolution") if "resolution" in names else None
        self._units: dict[str, Unit] = {}

    def read(self, cells: list[str]) -> Row:
        """One row. Raises RowError naming the cell and what would be right."""
        if len(cells) <= max(self._t, self._value, self._unit):
            raise RowError("short", _("the row ends early: it must hold t_s,value,unit"))
        t_text, text = _cell(cells, self._t), _cell(cells, self._value)
        t_s = _number(t_text, "t_s", _("seconds"))
        unit = self._read_unit(_cell(cells, self._unit))
        celsius, warm_note = self._temperature(cells)
        if text.upper() in OVERLOADS:
            return Row(t_s, inf, nan, celsius, unit.quantity, warm_note)
        value = _number(text, "value", _("a number or OL")) * float(unit.factor)
        if value < 0.0 and unit.quantity in NEVER_NEGATIVE:
            raise RowError("negative", _("value '{text}' is below zero").format(text=_brief(text)))
        count, count_note = self._resolution(cells, text, float(unit.factor))
        return Row(t_s, value, count, celsius, unit.quantity, warm_note or count_note)

    def _read_unit(self, text: str) -> Unit:
        unit = self._units.get(text)
        if unit is None:
            try:
                unit = self._units[text] = find_unit(text, quantity=None, default=None)
            except UnitError as error:
                raise RowError("unit", _("unit: {why}").format(why=error)) from None
        return unit

    def _temperature(self, cells: list[str]) -> tuple[float, str]:
        text = _cell(cells, self._celsius) if self._celsius is not None else ""
        if not text:
            return nan, ""
        try:
            celsius = float(text)
        except ValueError:
            celsius = nan
        if isfinite(celsius) and celsius > ABSOLUTE_ZERO:
            return celsius, ""
        return nan, _("temperature_c '{text}' is left out: celsius as a number").format(
            text=_brief(text)
        )

    def _resolution(self, cells: list[str], value: str, factor: float) -> tuple[float, str]:
        """One count as stated, else that of the value's last printed decimal."""
        text = _cell(cells, self._count) if self._count is not None else ""
        if not text:
            return last_decimal(value) * factor, ""
        try:
            count = float(text)
        except ValueError:
            count = nan
        if isfinite(count) and count > 0.0:
            return count * factor, ""
        return last_decimal(value) * factor, _(
            "resolution '{text}' is left out: one count, above zero"
        ).format(text=_brief(text))


class LineRows:
    """Rows of the JSON lines that `log` writes; a second channel in celsius goes beside the first.

    `read` returns None for a reading of that second channel.
    """

    def __init__(self, wanted: frozenset[Quantity]) -> None:
        self._wanted = wanted
        self._channel: str | None = None
        self._warm: tuple[float, float] | None = None

    def read(self, text: str) -> Row | None:
        """One line. Raises RowError naming the key and what would be right."""
        try:
            given = json.loads(text)
        except (ValueError, RecursionError):
            given = None
        if not isinstance(given, dict):
            raise RowError("json", _("'{text}' is no JSON object").format(text=_brief(text)))
        t_s = _plain(given, "t_s")
        quantity, factor = self._unit(given)
        channel = str(given.get("channel", ""))
        if quantity is Quantity.TEMPERATURE and quantity not in self._wanted:
            self._warm = (t_s, _plain(given, "value"))
            return None
        if self._channel is None and quantity in self._wanted:
            self._channel = channel
        if channel != self._channel:
            raise RowError("channel", _("channel '{name}' is another one").format(name=channel))
        _refuse_barred(given)
        celsius = nan
        if self._warm is not None and 0.0 <= t_s - self._warm[0] <= TEMPERATURE_AGE_S:
            celsius = self._warm[1]
        if given.get("overload") is True:
            return Row(t_s, inf, nan, celsius, quantity)
        value = _plain(given, "value") * factor
        if value < 0.0 and quantity in NEVER_NEGATIVE:
            raise RowError("negative", _("value {value:g} is below zero").format(value=value))
        return Row(t_s, value, _count(given) * factor, celsius, quantity)

    @staticmethod
    def _unit(given: dict[str, object]) -> tuple[Quantity, float]:
        try:
            unit = find_unit(str(given.get("unit", "")), quantity=None, default=None)
        except UnitError as error:
            raise RowError("unit", _("unit: {why}").format(why=error)) from None
        return unit.quantity, float(unit.factor)


def _refuse_barred(given: dict[str, object]) -> None:
    """Raise RowError for a row that was no live plain reading."""
    flags = given.get("flags")
    barred = [flag for flag in flags if flag in BARRED] if isinstance(flags, list) else []
    if barred:
        raise RowError(
            "flag", _("the meter showed {flag}: no live value").format(flag=barred[0].upper())
        )
    if "function" in given and given["function"] is None:
        raise RowError("function", _("diode or continuity: no plain reading"))


def _count(given: dict[str, object]) -> float:
    """One count as stated, else that of the value's last printed decimal."""
    count = given.get("resolution")
    if isinstance(count, int | float) and not isinstance(count, bool) and 0.0 < count < inf:
        return float(count)
    return last_decimal(str(given["value"]))


def last_decimal(text: str) -> float:
    """One count of the last printed digit: '8.610' is 0.001, '8610' is 1; nan where it has none."""
    try:
        exponent = Decimal(text.strip()).as_tuple().exponent
    except InvalidOperation:
        return nan
    return 10.0**exponent if isinstance(exponent, int) else nan


def _cell(cells: list[str], index: int) -> str:
    return cells[index].strip() if index < len(cells) else ""


def _number(text: str, column: str, right: str) -> float:
    if not text:
        raise RowError(f"{column} missing", _("{column} is missing").format(column=column))
    try:
        value = float(text)
    except ValueError:
        value = nan
    if not isfinite(value):
        raise RowError(
            column,
            _("{column} '{text}' cannot be read: {right} would be right").format(
                column=column, text=_brief(text), right=right
            ),
        )
    return value


def _plain(given: dict[str, object], key: str) -> float:
    value = given.get(key)
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
        raise RowError(
            key,
            _("{key} {value} cannot be read: a number would be right").format(
                key=key, value=_brief(json.dumps(value))
            ),
        )
    return float(value)


def _brief(text: str) -> str:
    plain = "".join(c if c.isprintable() else "?" for c in text[:40])
    return plain + "..." if len(text) > 40 else plain
