"""A row of a log file to a sample: what it must hold, and what is told of one that does not."""

from decimal import Decimal, InvalidOperation
from math import inf, isfinite, nan
from typing import Final, NamedTuple

from benchassist.core.plain_text import brief
from benchassist.core.quantity import NEVER_NEGATIVE, Quantity
from benchassist.errors import UnitError
from benchassist.services.translation import _
from benchassist.units import Unit, find_unit

OVERLOADS: Final = frozenset({"OL", "O.L", "0L", "0.L"})
ABSOLUTE_ZERO: Final = -273.15
MOST_UNKNOWN: Final = 100
"""Unknown units looked up in one file; asking for one costs a millisecond."""


class RowError(Exception):
    """A row that cannot be used: the kind of fault, and its words."""

    def __init__(self, kind: str, text: str) -> None:
        super().__init__(text)
        self.kind = kind


class Row(NamedTuple):
    """A usable row in base units; `value` inf is an overload, nan is 'not known'.

    `note` tells of a cell that was left out although the row is used. A tuple, for a log has
    millions of them.
    """

    t_s: float
    value: float
    resolution: float
    celsius: float
    quantity: Quantity
    note: str = ""


class UnitNames:
    """The units that a file names, each asked for once."""

    def __init__(self) -> None:
        self._known: dict[str, Unit] = {}
        self._unknown: dict[str, str] = {}

    def unit(self, text: str) -> Unit:
        """What a text names. Raises RowError saying why it names none."""
        unit = self._known.get(text)
        if unit is not None:
            return unit
        why = self._unknown.get(text)
        if why is None:
            if len(self._unknown) >= MOST_UNKNOWN:
                raise RowError("unit", _("unit: '{text}' is not known").format(text=brief(text)))
            try:
                unit = self._known[text] = find_unit(text, quantity=None, default=None)
            except UnitError as error:
                why = self._unknown[text] = str(error)
            else:
                return unit
        raise RowError("unit", _("unit: {why}").format(why=why))


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
        self.t_s, self.value, self.unit = (names.index(n) for n in ("t_s", "value", "unit"))
        self.celsius = names.index("temperature_c") if "temperature_c" in names else None
        self.count = names.index("resolution") if "resolution" in names else None
        self.units = UnitNames()
        self.least = 1 + max(self.t_s, self.value, self.unit)
        """How many cells a row must have."""

    def read(self, cells: list[str]) -> Row:
        """One row. Raises RowError naming the cell and what would be right."""
        if len(cells) < self.least:
            raise RowError("short", _("the row ends early: it must hold t_s,value,unit"))
        t_text, text = _cell(cells, self.t_s), _cell(cells, self.value)
        t_s = _number(t_text, "t_s", _("seconds"))
        unit = self.units.unit(_cell(cells, self.unit))
        celsius, warm_note = self._temperature(cells)
        if text.upper() in OVERLOADS:
            return Row(t_s, inf, nan, celsius, unit.quantity, warm_note)
        value = _number(text, "value", _("a number or OL")) * float(unit.factor)
        if value < 0.0 and unit.quantity in NEVER_NEGATIVE:
            raise RowError("negative", _("value '{text}' is below zero").format(text=brief(text)))
        count, count_note = self._resolution(cells, text, float(unit.factor))
        return Row(t_s, value, count, celsius, unit.quantity, warm_note or count_note)

    def _temperature(self, cells: list[str]) -> tuple[float, str]:
        text = _cell(cells, self.celsius) if self.celsius is not None else ""
        if not text:
            return nan, ""
        try:
            celsius = float(text)
        except ValueError:
            celsius = nan
        if isfinite(celsius) and celsius > ABSOLUTE_ZERO:
            return celsius, ""
        return nan, _("temperature_c '{text}' is left out: celsius as a number").format(
            text=brief(text)
        )

    def _resolution(self, cells: list[str], value: str, factor: float) -> tuple[float, str]:
        """One count as stated, else that of the value's last printed decimal."""
        text = _cell(cells, self.count) if self.count is not None else ""
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
        ).format(text=brief(text))


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
                column=column, text=brief(text), right=right
            ),
        )
    return value


def unread(error: Exception) -> str:
    """What is told of a row whose cells cannot be told apart."""
    return _("the row cannot be read: {why}").format(why=error)
