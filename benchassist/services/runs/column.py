"""Rows of a log to columns: one quantity, times that never go back, every row left out told."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final, NamedTuple

import numpy as np

from benchassist.core.quantity import Quantity
from benchassist.core.samples import Column, Samples
from benchassist.services.runs.row import Row
from benchassist.services.translation import _

Places = np.ndarray[tuple[int], np.dtype[np.int64]]
Mask = np.ndarray[tuple[int], np.dtype[np.bool_]]
CODES: Final[Mapping[Quantity, int]] = MappingProxyType({q: i for i, q in enumerate(Quantity)})
"""A quantity as a number in a column."""
QUANTITIES: Final = tuple(Quantity)
NEVER_OVER: Final = frozenset({Quantity.FREQUENCY, Quantity.SPEED})
"""Quantities of which an overload says nothing: no engine turns beyond every range."""


class RowFault(NamedTuple):
    """What is wrong with a line, or with a cell of it; `kind` is what equal faults share."""

    line: int
    kind: str
    text: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Rows:
    """Rows that could be read, in the order of the file; columns of one length.

    `quantity` holds `CODES`; `notes` tells by line of cells left out of a row that is used.
    """

    line: Places
    t_s: Column
    value: Column
    resolution: Column
    celsius: Column
    quantity: Places
    notes: Mapping[int, RowFault] = field(default_factory=dict)

    def __len__(self) -> int:
        """How many."""
        return len(self.line)

    def where(self, kept: Mask) -> "Rows":
        """Some of them."""
        return Rows(
            line=self.line[kept],
            t_s=self.t_s[kept],
            value=self.value[kept],
            resolution=self.resolution[kept],
            celsius=self.celsius[kept],
            quantity=self.quantity[kept],
            notes=self.notes,
        )


def rows_of(read: Sequence[tuple[int, Row]]) -> Rows:
    """Rows read one by one, each with its line."""
    lines, rows = zip(*read, strict=True) if read else ((), ())
    t_s, value, resolution, celsius, quantities, notes = (
        zip(*rows, strict=True) if rows else ((),) * 6
    )
    return Rows(
        line=np.array(lines, dtype=np.int64),
        t_s=np.array(t_s, dtype=np.float64),
        value=np.array(value, dtype=np.float64),
        resolution=np.array(resolution, dtype=np.float64),
        celsius=np.array(celsius, dtype=np.float64),
        quantity=np.array([CODES[quantity] for quantity in quantities], dtype=np.int64),
        notes={
            line: RowFault(line, note.split("'", 1)[0], note)
            for line, note in zip(lines, notes, strict=True)
            if note
        },
    )


def merged(some: Rows, others: Rows) -> Rows:
    """Both in the order of the file."""
    if not len(others):
        return some
    order = np.argsort(np.concatenate((some.line, others.line)), kind="stable")

    def both(a: Column, b: Column) -> Column:
        joined: Column = np.concatenate((a, b))[order]
        return joined

    return Rows(
        line=np.concatenate((some.line, others.line))[order],
        t_s=both(some.t_s, others.t_s),
        value=both(some.value, others.value),
        resolution=both(some.resolution, others.resolution),
        celsius=both(some.celsius, others.celsius),
        quantity=np.concatenate((some.quantity, others.quantity))[order],
        notes={**some.notes, **others.notes},
    )


class Columns:
    """Rows kept so far, in order of time."""

    def __init__(self, wanted: Iterable[Quantity]) -> None:
        """`wanted`: the quantities that a log may hold; the first one met is the log's."""
        self._wanted = tuple(sorted(wanted))
        self.quantity: Quantity | None = None
        self.used = 0
        self.rejected = 0
        self._last_s = -np.inf
        self._kept: list[Rows] = []

    def keep(self, rows: Rows) -> list[RowFault]:
        """Add what can be used; returns what is told of the rest, and of cells left out."""
        faults: list[RowFault] = []
        fits = self._fitting(rows, faults)
        times = np.where(fits, rows.t_s, -np.inf)
        # What is kept never goes back, so the latest time kept is the largest one that fits.
        latest = np.maximum.accumulate(np.concatenate(([self._last_s], times)))
        back = fits & (rows.t_s < latest[:-1])
        for i in np.flatnonzero(back).tolist():
            text = _("time goes back from {before:g} s to {now:g} s").format(
                before=latest[i], now=rows.t_s[i]
            )
            faults.append(RowFault(int(rows.line[i]), "time", text))
        self._last_s = float(latest[-1])
        used = fits & ~back
        self.rejected += len(faults)
        if used.any():
            kept = rows.where(used)
            self.used += len(kept)
            self._kept.append(kept)
        if rows.notes:
            left_out = set(rows.line[~used].tolist())
            faults += [note for line, note in rows.notes.items() if line not in left_out]
        return faults

    def _fitting(self, rows: Rows, faults: list[RowFault]) -> Mask:
        """Which rows are of the log's quantity; the others are told."""
        codes = rows.quantity
        wanted = np.isin(codes, [CODES[q] for q in self._wanted])
        over = wanted & np.isposinf(rows.value) & np.isin(codes, [CODES[q] for q in NEVER_OVER])
        fits: Mask = wanted & ~over
        if self.quantity is None and fits.any():
            self.quantity = QUANTITIES[codes[int(np.argmax(fits))]]
        if self.quantity is not None:
            fits &= codes == CODES[self.quantity]
        for i in np.flatnonzero(~fits).tolist():
            found, line = QUANTITIES[codes[i]], int(rows.line[i])
            if not wanted[i]:
                text = _("this is {found}, and {wanted} would be right").format(
                    found=found, wanted=_(" or ").join(self._wanted)
                )
                faults.append(RowFault(line, "quantity", text))
            elif over[i]:
                text = _("OL is no {found}: a number would be right").format(found=found)
                faults.append(RowFault(line, "over", text))
            else:
                text = _("{found} among {before}: one log holds one of them").format(
                    found=found, before=self.quantity
                )
                faults.append(RowFault(line, "mixed", text))
        return fits

    def samples(self) -> Samples:
        """All that were kept."""
        return Samples(*(self._column(name) for name in ("t_s", "value", "resolution")))

    def celsius(self) -> Column | None:
        """Temperatures beside them, nan where not known; None where none is."""
        celsius = self._column("celsius")
        return None if bool(np.isnan(celsius).all()) else celsius

    def _column(self, name: str) -> Column:
        if not self._kept:
            return np.empty(0)
        column: Column = np.concatenate([getattr(rows, name) for rows in self._kept])
        return column
