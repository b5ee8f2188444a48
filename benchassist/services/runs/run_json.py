"""Rows of the JSON lines that `log` writes; a second channel in celsius goes beside the first.

A line laid out as `log` lays it out is taken apart by its layout, which is read once; what it gives
is what reading it as JSON gives.
"""

import json
import re
from contextlib import suppress
from dataclasses import dataclass
from math import inf, isfinite, nan
from typing import Final

from benchassist.core.plain_text import brief
from benchassist.core.quantity import NEVER_NEGATIVE, Quantity
from benchassist.core.reading import Flag
from benchassist.services.runs.column import RowFault, Rows, rows_of
from benchassist.services.runs.row import Row, RowError, UnitNames, last_decimal
from benchassist.services.translation import _

TEMPERATURE_AGE_S: Final = 5.0
"""Beyond this a temperature of another channel no longer belongs to a reading."""
BARRED: Final = frozenset({Flag.HOLD, Flag.REL, Flag.MIN, Flag.MAX})
MOST_LAYOUTS: Final = 1000

_NUMBER = r"-?(?:0|[1-9]\d{0,14})(?:\.\d{1,15})?"
_LINE: Final = re.compile(
    rf'\{{"t_s": ({_NUMBER}), ("channel": "\w*", "function": (?:null|"\w+")), '
    rf'"value": (null|{_NUMBER}), "unit": "(\w+)", "resolution": ({_NUMBER}), '
    rf'("range": (?:null|{_NUMBER}), "overload": (?:true|false), "flags": \[[\w", ]*\])\}}',
    re.ASCII,
)


@dataclass(frozen=True, slots=True)
class _Layout:
    """What lines of a layout are: of which channel, in which unit, with a number or an overload."""

    channel: str
    quantity: Quantity
    factor: float
    offset: float
    overload: bool


class LineBlocks:
    """Blocks of lines, each ended by a line feed, to rows and faults."""

    def __init__(self, wanted: frozenset[Quantity]) -> None:
        self._rows = LineRows(wanted)

    def read(self, block: bytes, first_line: int) -> tuple[Rows, list[RowFault]]:
        """Its rows, and what is told of the other lines; blank lines are no rows."""
        read: list[tuple[int, Row]] = []
        faults: list[RowFault] = []
        lines = block.decode("utf-8", errors="replace").split("\n")
        for number, text in enumerate(lines, start=first_line):
            if not text or text.isspace():
                continue
            try:
                row = self._rows.read(text)
            except RowError as error:
                faults.append(RowFault(number, error.kind, str(error)))
            else:
                if row is not None:
                    read.append((number, row))
        return rows_of(read), faults


class LineRows:
    """Lines to rows, one after the other; remembers the channel and the temperature beside it."""

    def __init__(self, wanted: frozenset[Quantity]) -> None:
        self._wanted = wanted
        self._channel: str | None = None
        self._warm = (-inf, nan)
        self._units = UnitNames()
        self._layouts: dict[tuple[str, str, str], _Layout | None] = {}

    def read(self, text: str) -> Row | None:
        """One line; None for a reading of the second channel.

        Raises RowError naming the key and what would be right.
        """
        found = _LINE.fullmatch(text)
        if found is not None:
            t_text, head, value_text, unit, count_text, tail = found.groups()
            layout = self._layout((head, unit, tail), text)
            count = float(count_text)
            if layout is not None and count > 0.0 and layout.overload is (value_text == "null"):
                value = inf if layout.overload else float(value_text)
                if layout.quantity not in NEVER_NEGATIVE or value >= 0.0:
                    return self._row(float(t_text), value, count, layout)
        return self._read(text)

    def _layout(self, key: tuple[str, str, str], text: str) -> _Layout | None:
        """What lines of a layout are; None where each must be read by itself."""
        if key in self._layouts:
            return self._layouts[key]
        layout = None
        with suppress(ValueError, RowError):
            layout = self._layout_of(json.loads(text))
        if len(self._layouts) < MOST_LAYOUTS:
            self._layouts[key] = layout
        return layout

    def _layout_of(self, given: dict[str, object]) -> _Layout:
        _refuse_barred(given)
        unit = self._units.unit(str(given.get("unit")))
        return _Layout(
            channel=str(given.get("channel", "")),
            quantity=unit.quantity,
            factor=float(unit.factor),
            offset=float(unit.offset),
            overload=given.get("overload") is True,
        )

    def _row(self, t_s: float, value: float, count: float, layout: _Layout) -> Row | None:
        """A reading that is a live one. Raises RowError for another channel's."""
        quantity, channel = layout.quantity, layout.channel
        if quantity is Quantity.TEMPERATURE and quantity not in self._wanted:
            celsius = value * layout.factor + layout.offset
            self._warm = (t_s, celsius if isfinite(celsius) else nan)
            return None
        if self._channel is None and quantity in self._wanted:
            self._channel = channel
        if channel != self._channel:
            raise RowError(
                "channel", _("channel '{name}' is another one").format(name=brief(channel))
            )
        warm_s, celsius = self._warm
        if not 0.0 <= t_s - warm_s <= TEMPERATURE_AGE_S:
            celsius = nan
        if layout.overload:
            return Row(t_s, inf, nan, celsius, quantity)
        value *= layout.factor
        if value < 0.0 and quantity in NEVER_NEGATIVE:
            raise RowError("negative", _("value {value:g} is below zero").format(value=value))
        return Row(t_s, value, count * layout.factor, celsius, quantity)

    def _read(self, text: str) -> Row | None:
        """A line as JSON."""
        try:
            given = json.loads(text)
        except (ValueError, RecursionError):
            given = None
        if not isinstance(given, dict):
            raise RowError("json", _("'{text}' is no JSON object").format(text=brief(text)))
        t_s = _plain(given, "t_s")
        layout = self._layout_of(given)
        if layout.overload:
            return self._row(t_s, inf, nan, layout)
        return self._row(t_s, _plain(given, "value"), _count(given), layout)


def _refuse_barred(given: dict[str, object]) -> None:
    """Raise RowError for a row that was no live plain reading."""
    flags = given.get("flags")
    for flag in flags if isinstance(flags, list) else ():
        if isinstance(flag, str) and flag in BARRED:
            raise RowError(
                "flag", _("the meter showed {flag}: no live value").format(flag=flag.upper())
            )
    if "function" in given and given["function"] is None:
        raise RowError("function", _("diode or continuity: no plain reading"))


def _count(given: dict[str, object]) -> float:
    """One count as stated, else that of the value's last printed decimal."""
    count = _number(given.get("resolution"))
    return count if count is not None and count > 0.0 else last_decimal(str(given["value"]))


def _plain(given: dict[str, object], key: str) -> float:
    value = _number(given.get(key))
    if value is None:
        told = brief(json.dumps(given.get(key)))
        raise RowError(
            key,
            _("{key} {value} cannot be read: a number would be right").format(key=key, value=told),
        )
    return value


def _number(value: object) -> float | None:
    """A finite number; None for anything else, and for one that no float holds."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        number = float(value)
    except OverflowError:
        return None
    return number if isfinite(number) else None
