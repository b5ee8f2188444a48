"""What a machine's file shows, as values: the window paints them and decides nothing.

Every text is final and in the shop's units. Lists run oldest first unless they say otherwise.
"""

from dataclasses import dataclass
from typing import Protocol

from benchassist.core.band import Band, Side, Verdict
from benchassist.core.quantity import Quantity
from benchassist.core.ruler import Ruler
from benchassist.core.run_plot import RunPlot
from benchassist.core.trend import Drift, TrendPoint
from benchassist.services.record.photo_view import PhotoDesk, PhotoStrip


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
    entry_id: str = ""
    """Of the reading the value is; empty where there is none."""
    good: bool = False
    mark_text: str = ""
    """What a person said of the part it was taken at: known good, or set aside and why."""
    remark: str = ""
    """All that has to be known of it besides: what it read before the work, the note, the mark."""


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
    limits: tuple[tuple[float, str], ...] = ()
    """The newest band's limits as the rulers have them, low first, and their digits."""
    foot: str = ""
    """The figures a change stands on and what was last in band before, in sentences."""

    def row_of(self, visit_id: str) -> QuantityRow | None:
        """A visit's row, None where it has none."""
        return next((row for row in self.rows if row.visit_id == visit_id), None)


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


# --- the page -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidRun:
    """A run of the overlay. `dash` is how its line is drawn, `selected` whose is the strong one."""

    run_id: str
    visit_id: str
    day_text: str
    words: str
    doubt: str = ""
    verdict: Verdict | None = None
    side: Side | None = None
    verdict_text: str = ""
    dash: int = 0
    selected: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RunsView:
    """The runs of one check laid over each other, oldest first. `plot` None: nothing to draw.

    `empty_text` then says why. `place_text` counts the checks that have runs: '1 of 2'.
    """

    check_key: str
    title: str
    place_text: str = ""
    rows: tuple[LaidRun, ...] = ()
    plot: RunPlot | None = None
    empty_text: str = ""
    busy: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class MachinePageView:
    """Everything the page of a machine's file shows. `file` None: it is being read.

    `busy_text` says that it is, `trouble` what went wrong, `said` what became of the last key.
    `enter_text` is what Enter does: it goes on with `enter_visit_id`, or opens a visit where that
    is empty. `note_text` says which visit a note goes to; empty: there is none.
    """

    file: MachineFileView | None = None
    busy_text: str = ""
    trouble: str = ""
    said: str = ""
    enter_text: str = ""
    enter_visit_id: str = ""
    note_text: str = ""
    runs: RunsView | None = None
    photos: PhotoStrip | None = None
    meter_text: str = ""
    meter_live: bool = False
    may_mark: bool = False
    may_edit: bool = False


class MachineFileDesk(Protocol):
    """A machine's file. It is read beside everything else; `view` never waits."""

    @property
    def machine_id(self) -> str:
        """Whose file it is."""
        ...

    @property
    def photos(self) -> PhotoDesk | None:
        """Its photos; None where the shop keeps none."""
        ...

    def tick(self) -> None:
        """Fetch what was read, look whether anything was written. From the GUI thread."""
        ...

    def view(self) -> MachinePageView:
        """What the page shows now."""
        ...

    def note(self, text: str) -> None:
        """Note something on the open visit, else the newest. Raises InputError, StepError."""
        ...

    def mark(self, check_key: str, visit_id: str) -> None:
        """Mark the part known good that a visit's value of a quantity was taken at.

        Raises StepError where it cannot be.
        """
        ...

    def set_aside(self, check_key: str, visit_id: str, reason: str) -> None:
        """Take that back, with the reason. Raises InputError without one, StepError."""
        ...

    def lay_over(self, check_key: str, run_id: str = "") -> None:
        """Lay the runs of a check over each other, that run the strong one; empty: no more.

        Raises StepError where the check has no run.
        """
        ...

    def run_window(self, start_s: float, end_s: float, buckets: int) -> RunPlot:
        """The runs laid over each other between two moments. Raises NotFoundError for none."""
        ...
