"""A block of a table's lines read at once: what is plain as columns, what is not line by line.

Plain is what meters print: digits with at most one point, a unit met before, OL. The numbers are
the same to the last bit as those read line by line: a whole number below 10^15 divided by a power
of ten is rounded once.
"""

import csv
from dataclasses import dataclass
from math import inf, nan
from typing import Final

import numpy as np

from benchassist.core.quantity import NEVER_NEGATIVE
from benchassist.core.samples import Column
from benchassist.services.runs.column import CODES, Mask, Places, RowFault, Rows, merged, rows_of
from benchassist.services.runs.row import ABSOLUTE_ZERO, Row, RowError, TableRows, unread

Bytes = np.ndarray[tuple[int], np.dtype[np.uint8]]
WIDEST: Final = 17
"""Characters of a plain number: fifteen digits, a sign, a point."""
MOST_DIGITS: Final = 15
_TENS: Final = np.array([10.0**n for n in range(MOST_DIGITS + 1)])
_COUNTS: Final = np.array([10.0**-n for n in range(MOST_DIGITS + 1)])
"""As `last_decimal` has them."""
_COMMA, _QUOTE, _END, _BLANK, _POINT, _MINUS, _PLUS = (ord(c) for c in ',"\n .-+')


@dataclass(frozen=True, slots=True, eq=False)
class _Cells:
    """Where the cells of a column begin and end in a block, a pair a row."""

    start: Places
    end: Places

    def where(self, rows: Mask | Places) -> "_Cells":
        return _Cells(self.start[rows], self.end[rows])

    @property
    def width(self) -> Places:
        return self.end - self.start


@dataclass(frozen=True, slots=True, eq=False)
class _Numbers:
    """Cells as numbers: only where `plain` do value and decimals mean anything."""

    value: Column
    decimals: Places
    plain: Mask


class TableBlocks:
    """Blocks of whole lines, each ended by a line feed, to rows and faults."""

    def __init__(self, rows: TableRows) -> None:
        """`rows` reads a line by itself, and knows the columns."""
        self._rows = rows

    def read(self, block: bytes, first_line: int) -> tuple[Rows, list[RowFault]]:
        """The rows of a block whose first line has that number, and what is told of the others."""
        data = np.frombuffer(block + b" " * WIDEST, dtype=np.uint8)[: len(block) + WIDEST]
        ends = np.flatnonzero(data == _END)
        starts = np.concatenate((np.zeros(1, dtype=np.int64), ends[:-1] + 1))
        at_once = self._plain(data, starts, ends, first_line)
        odd = np.ones(len(ends), dtype=bool)
        odd[at_once.line - first_line] = False
        one_by_one: list[tuple[int, Row]] = []
        faults: list[RowFault] = []
        spans = zip(starts[odd].tolist(), ends[odd].tolist(), strict=True)
        lines = (first_line + np.flatnonzero(odd)).tolist()
        for line, (start, end) in zip(lines, spans, strict=True):
            try:
                row = self._read_line(block[start:end])
            except RowError as error:
                faults.append(RowFault(line, error.kind, str(error)))
            else:
                if row is not None:
                    one_by_one.append((line, row))
        return merged(at_once, rows_of(one_by_one)), faults

    def _read_line(self, line: bytes) -> Row | None:
        """One line; None for a blank one. Raises RowError saying what is wrong with it."""
        text = line.decode("utf-8", errors="replace")
        if not text.strip():
            return None
        try:
            cells = next(csv.reader([text])) if '"' in text else text.split(",")
        except csv.Error as error:
            raise RowError("csv", unread(error)) from None
        return self._rows.read(cells)

    def _plain(self, data: Bytes, starts: Places, ends: Places, first_line: int) -> Rows:
        """The rows that are plain."""
        commas = np.flatnonzero(data == _COMMA)
        first = np.searchsorted(commas, starts)
        last = np.searchsorted(commas, ends)
        whole = last - first >= self._rows.least - 1
        whole[np.searchsorted(ends, np.flatnonzero(data == _QUOTE))] = False
        at = np.flatnonzero(whole)
        lines = _Lines(data, starts[at], ends[at], commas, first[at], last[at])
        return self._read_plain(lines, at + first_line)

    def _read_plain(self, lines: "_Lines", numbers: Places) -> Rows:
        """The plain ones of lines that have cells enough; `numbers` are their lines in the file."""
        rows, data = self._rows, lines.data
        units = lines.cells(rows.unit)
        same, factor, code, never_negative = self._unit_of(data, units)
        t_s = _numbers(data, lines.cells(rows.t_s))
        cells = lines.cells(rows.value)
        value = _numbers(data, cells)
        over = _is_text(data, cells, b"OL")
        celsius, warm = _optional(lines, rows.celsius, least=ABSOLUTE_ZERO)
        count, counted = _optional(lines, rows.count, least=0.0)
        plain = same & t_s.plain & (over | (value.plain & counted)) & warm
        ohms = value.value * factor
        if never_negative:
            plain &= over | ~(ohms < 0.0)
        stated = np.where(np.isnan(count), _COUNTS[value.decimals], count) * factor
        found = Rows(
            line=numbers,
            t_s=t_s.value,
            value=np.where(over, inf, ohms),
            resolution=np.where(over, nan, stated),
            celsius=celsius,
            quantity=np.full(len(numbers), code),
        )
        return found.where(plain)

    def _unit_of(self, data: Bytes, cells: _Cells) -> tuple[Mask, float, int, bool]:
        """Which rows name the unit that the first of them names that names one; what it is."""
        none = np.zeros(len(cells.start), dtype=bool)
        tried: set[bytes] = set()
        for start, end in zip(cells.start.tolist(), cells.end.tolist(), strict=True):
            name = data[start:end].tobytes()
            if name in tried:
                continue
            if len(tried) > 8:
                break
            tried.add(name)
            try:
                unit = self._rows.units.unit(name.decode("utf-8", errors="replace").strip())
            except RowError:
                continue
            negative = unit.quantity in NEVER_NEGATIVE
            same = _is_text(data, cells, name)
            return same, float(unit.factor), CODES[unit.quantity], negative
        return none, 1.0, 0, False


@dataclass(frozen=True, slots=True, eq=False)
class _Lines:
    """Lines of a block with all the commas that are needed: `commas[first:last]` are a line's."""

    data: Bytes
    starts: Places
    ends: Places
    commas: Places
    first: Places
    last: Places

    def cells(self, column: int) -> _Cells:
        """The cells of a column, without a blank on either side; empty where a line is short."""
        count = self.last - self.first
        padded = np.append(self.commas, 0)
        most = len(padded) - 1
        start = self.starts
        if column:
            before = padded[np.minimum(self.first + column - 1, most)]
            start = np.where(count >= column, before + 1, self.ends)
        after = padded[np.minimum(self.first + column, most)]
        end = np.where(count > column, after, self.ends)
        start = start + ((self.data[start] == _BLANK) & (start < end))
        end = end - ((self.data[end - 1] == _BLANK) & (start < end))
        return _Cells(start, end)


def _is_text(data: Bytes, cells: _Cells, text: bytes) -> Mask:
    """Which cells hold exactly this."""
    found: Mask = cells.width == len(text)
    for i, letter in enumerate(text):
        found[found] = data[cells.start[found] + i] == letter
    return found


def _optional(lines: _Lines, column: int | None, *, least: float) -> tuple[Column, Mask]:
    """A column that may be missing, its cells empty: nan there; and where it is plain.

    A number must be above `least`.
    """
    size = len(lines.starts)
    if column is None:
        return np.full(size, nan), np.ones(size, dtype=bool)
    cells = lines.cells(column)
    numbers = _numbers(lines.data, cells)
    empty = cells.width == 0
    value = np.where(empty, nan, numbers.value)
    return value, empty | (numbers.plain & (value > least))


def _numbers(data: Bytes, cells: _Cells) -> _Numbers:
    """Cells as numbers, a character of all of them at a time."""
    size = len(cells.start)
    width = cells.width
    mantissa = np.zeros(size, dtype=np.int64)
    digits, decimals = np.zeros(size, dtype=np.int64), np.zeros(size, dtype=np.int64)
    points = np.zeros(size, dtype=bool)
    plain: Mask = (width > 0) & (width <= WIDEST)
    longest = int(width[plain].max()) if plain.any() else 0
    for place in range(longest):
        inside = width > place
        letter = data[np.minimum(cells.start + place, len(data) - 1)]
        figure = letter - np.uint8(48)
        is_digit = inside & (figure < 10)
        mantissa = np.where(is_digit, mantissa * 10 + figure, mantissa)
        digits += is_digit
        decimals += is_digit & points
        other = inside & ~is_digit
        if other.any():
            is_point = other & (letter == _POINT) & ~points
            points |= is_point
            fine = is_point
            if not place:
                fine = is_point | (letter == _MINUS) | (letter == _PLUS)
            plain &= ~other | fine
    plain &= (digits > 0) & (digits <= MOST_DIGITS)
    decimals = np.where(plain, decimals, 0)
    sign = np.where(data[cells.start] == _MINUS, -1.0, 1.0)
    value = sign * mantissa / _TENS[decimals]
    return _Numbers(value, decimals, plain)
