"""Taken readings as a table for a spreadsheet: CSV in UTF-8, one row a reading, base units.

Customer and phone stay out: what is worked on elsewhere is about machines. A text that a
spreadsheet would run as a formula is led by an apostrophe.
"""

import csv
import io
import re
from collections.abc import Iterable, Iterator
from typing import Final

from benchassist.core.entry import Entry, Taken
from benchassist.core.visit import Visit, VisitHeader
from benchassist.storage.account import unit_of
from benchassist.storage.row import judged_quantity

Cell = str | int | float | bool | None

COLUMNS: Final = (
    "slip_number",
    "visit_id",
    "opened_at",
    "machine_tag",
    "machine_unit",
    "engine",
    "serial",
    "engine_class",
    "complaint",
    "check",
    "check_title",
    "entry_id",
    "seq",
    "at",
    "struck",
    "source",
    "meter",
    "method",
    "read_quantity",
    "read_value",
    "read_unit",
    "overload",
    "resolution",
    "range",
    "quantity",
    "value",
    "unit",
    "expanded_uncertainty",
    "coverage_factor",
    "band_low",
    "band_high",
    "band_source",
    "verdict",
    "side",
    "part_temperature_celsius",
    "done_by",
)

WIDE: Final = ("\uff1d", "\uff0b", "\uff0d", "\uff20")
"""Equals, plus, minus and at as the Far East types them; its spreadsheets run them too."""
FORMULA: Final = ("=", "+", "-", "@", "\t", "\r", "\n", *WIDE)
NUMBER: Final = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?", re.ASCII)


def sheets_of(visits: Iterable[tuple[VisitHeader, tuple[Entry, ...]]]) -> Iterator[str]:
    """Yield the taken readings of visits as CSV, struck ones marked: a header, then each visit."""
    yield _lines([COLUMNS])
    for header, entries in visits:
        yield _lines(map(_shown, row) for row in _rows(Visit(header, entries)))


def _lines(rows: Iterable[Iterable[str]]) -> str:
    text = io.StringIO()
    csv.writer(text).writerows(rows)
    return text.getvalue()


def _rows(visit: Visit) -> Iterator[tuple[Cell, ...]]:
    for entry in visit.entries:
        if isinstance(entry, Taken):
            yield (*_of_visit(visit.header), *_of_reading(visit, entry), visit.header.done_by)


def _of_visit(header: VisitHeader) -> tuple[Cell, ...]:
    machine = header.machine
    return (
        header.slip_number,
        header.id,
        header.opened_at.isoformat(),
        machine.tag,
        machine.unit,
        machine.engine,
        machine.serial,
        header.procedure.engine_class,
        header.interview.complaint,
    )


def _of_reading(visit: Visit, taken: Taken) -> tuple[Cell, ...]:
    reading, judgement, band = taken.reading, taken.judgement, taken.band
    quantity, temperature = judged_quantity(taken), taken.conditions.part_temperature
    return (
        taken.check_key,
        visit.procedure.check(taken.check_key).title,
        taken.stamp.id,
        taken.stamp.seq,
        taken.stamp.at.isoformat(),
        visit.is_struck(taken),
        reading.source,
        taken.meter,
        taken.method,
        reading.quantity,
        reading.value,
        unit_of(reading.quantity),
        reading.overload,
        reading.resolution,
        reading.full_scale,
        quantity,
        judgement.value,
        unit_of(quantity),
        judgement.expanded_uncertainty,
        judgement.k,
        band.low if band else None,
        band.high if band else None,
        band.source if band else None,
        judgement.verdict,
        judgement.side,
        temperature.celsius if temperature else None,
    )


def _shown(cell: Cell) -> str:
    """A cell as it is written: nothing for what is absent, no formula for any text."""
    match cell:
        case None:
            return ""
        case bool():
            return "true" if cell else "false"
        case int() | float():
            return repr(cell)
        case _:
            text = str(cell)
    return f"'{text}" if text.startswith(FORMULA) and not NUMBER.fullmatch(text) else text
