"""What a machine's file shows, as values: the window paints them and decides nothing.

Every text is final and in the shop's units. Lists run oldest first unless they say otherwise.
"""

from dataclasses import dataclass

from benchassist.core.band import Band, Side, Verdict
from benchassist.core.quantity import Quantity
from benchassist.core.ruler import Ruler
from benchassist.core.trend import Drift, TrendPoint


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantityRow:
    """One visit's value of a quantity; `value` is empty where it was not taken there.

    `when` is the year, the day where a year has two visits, or 'now'. `value` and `doubt` are
    digits in the card's unit, or words for an overload. `before` is what it read before work in
    that same visit, `broken` says that the part was worked on or renewed since the row above.
    """

    visit_id: str
    when: str
    now: bool = False
    value: str = ""
    doubt: str = ""
    before: str = ""
    ruler: Ruler | None = None
    verdict: Verdict | None = None
    side: Side | None = None
    verdict_text: str = ""
    note: str = ""
    broken: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LastGood:
    """The newest value in band of an earlier visit, to stand beside what is measured now.

    `point` is in the base unit at `reference_celsius`; `note` says where the part is another now.
    """

    check_key: str
    text: str
    day_text: str
    quantity: Quantity
    point: TrendPoint
    copper: bool = False
    reference_celsius: float = 20.0
    band: Band | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantityCard:
    """A quantity across visits. `drift_text` says what may be said of it, `detail` its figures."""

    check_key: str
    title: str
    unit_text: str
    rows: tuple[QuantityRow, ...]
    drift: Drift
    drift_text: str
    detail: str = ""
    corrected_text: str = ""
    last_good: LastGood | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitLine:
    """A line of a visit's card: 'Came', 'Found', 'Did', 'Part', 'Note' and what stands there."""

    label: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitCard:
    """A visit in the file's left column."""

    visit_id: str
    title: str
    slip_text: str
    still_open: bool
    lines: tuple[VisitLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLine:
    """A part that was fitted."""

    visit_id: str
    day_text: str
    text: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunRow:
    """A run that ended; `run_id` finds its samples."""

    visit_id: str
    run_id: str
    day_text: str
    words: str
    doubt: str = ""
    verdict: Verdict | None = None
    side: Side | None = None
    verdict_text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunCard:
    """All runs of one check, to be laid over each other."""

    check_key: str
    title: str
    rows: tuple[RunRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineFileView:
    """A machine's file. `visits` run newest first, as the column shows them.

    `unread_text` says which visits could not be read; empty where all could.
    """

    machine_id: str
    title: str
    unit_text: str
    tag_text: str
    visits_text: str
    visits: tuple[VisitCard, ...] = ()
    quantities: tuple[QuantityCard, ...] = ()
    runs: tuple[RunCard, ...] = ()
    parts: tuple[PartLine, ...] = ()
    parts_text: str = ""
    unread_text: str = ""
    open_visit_id: str = ""
