"""A visit as the fold of its entries: where it stands, what stands for each check, what is open.

The visit never edits: an entry applied stays in `entries`. What a redo replaces stays too, struck.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from benchassist.core.accuracy import LeadZero
from benchassist.core.band import Band
from benchassist.core.cause import CauseBook
from benchassist.core.entry import (
    Closed,
    Did,
    Entry,
    Interview,
    LeadsZeroed,
    Looked,
    Machine,
    Moment,
    MovedTo,
    Noted,
    OptionChosen,
    PartMarked,
    PhotoAdded,
    PhotoRemoved,
    Reopened,
    RunEnded,
    RunStarted,
    SelfChecked,
    Skipped,
    Struck,
    Taken,
    TemperatureSet,
)
from benchassist.core.estimate import PartTemperature
from benchassist.core.obligation import open_obligations
from benchassist.core.procedure import BandOption, Check, Procedure
from benchassist.errors import StepError


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitHeader:
    """What is fixed when a visit is opened; the procedure's texts and bands are frozen into it.

    `slip_number` is text ("0412", or "B-0412" on a second bench). `k` is the coverage factor.
    """

    id: str
    slip_number: str
    machine: Machine
    interview: Interview
    procedure: Procedure
    opened_at: datetime
    visit_of_machine: int = 1
    shop: str = ""
    bench: str = ""
    done_by: str = ""
    k: float = 2.0
    causes: CauseBook | None = None
    """The causes of its complaint with their weights as they stood; None where there are none."""
    apart_of: str = ""
    """The visit of which this holds what another bench wrote while it was cut off; empty: none."""


class Standing(StrEnum):
    """Where a check stands."""

    TO_DO = "to_do"
    TAKEN = "taken"
    LOOKED = "looked"
    RUN = "run"
    """A run has ended here, whatever it found."""
    SKIPPED = "skipped"


@dataclass(frozen=True, slots=True)
class ZeroedLeads:
    """A channel's lead zero and when it was made."""

    zero: LeadZero
    at: datetime
    meter: str = ""


SAID_LATER = (Noted, PartMarked, PhotoAdded, PhotoRemoved, Reopened)
"""What may be written on a closed visit: it changes nothing of what was done."""

AtCheck = Taken | Looked | Struck | MovedTo | Skipped | RunStarted | RunEnded


class Visit:
    """One stay of a machine in the shop. `apply` is the only way in; it raises StepError."""

    def __init__(self, header: VisitHeader, entries: Iterable[Entry] = ()) -> None:
        self.header = header
        self._entries: list[Entry] = []
        self._struck: set[str] = set()
        self._current = header.procedure.checks[0].key
        self._options: dict[str, str] = {}
        self._zeros: dict[str, ZeroedLeads] = {}
        self._temperature: TemperatureSet | None = None
        self._closed = False
        for entry in entries:
            self.apply(entry)

    @property
    def procedure(self) -> Procedure:
        """The procedure as frozen when the visit was opened."""
        return self.header.procedure

    @property
    def entries(self) -> tuple[Entry, ...]:
        """Everything written so far, in order."""
        return tuple(self._entries)

    @property
    def next_seq(self) -> int:
        """The number the next entry carries."""
        return self._entries[-1].stamp.seq + 1 if self._entries else 1

    @property
    def current(self) -> Check:
        """The check the bench is on."""
        return self.procedure.check(self._current)

    @property
    def closed(self) -> bool:
        """Whether the visit has been handed over."""
        return self._closed

    @property
    def temperature(self) -> PartTemperature | None:
        """The part's temperature as last set."""
        return self._temperature.temperature if self._temperature else None

    def leads(self, channel: str) -> ZeroedLeads | None:
        """The lead zero of a channel as last made."""
        return self._zeros.get(channel)

    def apply(self, entry: Entry) -> None:
        """Write one entry. Raises StepError where the visit's state does not allow it."""
        if entry.stamp.seq != self.next_seq:
            raise StepError(f"entry {entry.stamp.seq} is out of order: {self.next_seq} comes next")
        if self._closed and not isinstance(entry, SAID_LATER):
            raise StepError("the visit is closed: open it again first")
        match entry:
            case Closed():
                self._refuse_open_obligations()
                self._closed = True
            case Reopened():
                self._closed = False
            case Taken() | Looked() | Struck() | MovedTo() | Skipped() | RunStarted() | RunEnded():
                self._at_check(entry)
            case OptionChosen():
                self._options[entry.option_group] = entry.option_key
            case LeadsZeroed():
                self._zeros[entry.channel] = ZeroedLeads(entry.zero, entry.stamp.at, entry.meter)
            case TemperatureSet():
                self._temperature = entry
            case _:  # said of the visit, and moves nothing
                pass
        self._entries.append(entry)

    def _at_check(self, entry: AtCheck) -> None:
        """What happens at a check moves the bench there; a skip leaves it where it is."""
        self._require(entry.check_key)
        if isinstance(entry, Struck):
            if entry.entry_id in self._struck or entry.entry_id not in self._ids():
                raise StepError("there is nothing taken here to redo")
            self._struck.add(entry.entry_id)
        if isinstance(entry, Taken | Looked) and entry.supersedes is not None:
            self._struck.add(entry.supersedes)
        if not isinstance(entry, Skipped):
            self._current = entry.check_key

    def _refuse_open_obligations(self) -> None:
        if open_looks := self.open_obligations():
            titles = ", ".join(check.title for check in open_looks)
            raise StepError(f"the visit cannot close yet: answer '{titles}' first")

    def _ids(self) -> set[str]:
        return {e.stamp.id for e in self._entries if isinstance(e, Taken | Looked | RunEnded)}

    def _require(self, check_key: str) -> None:
        try:
            self.procedure.check(check_key)
        except KeyError:
            raise StepError(f"this visit has no step '{check_key}'") from None

    def is_struck(self, entry: Entry) -> bool:
        """Whether a taken reading or a look has been redone since."""
        return entry.stamp.id in self._struck

    def taken(self, check_key: str) -> tuple[Taken, ...]:
        """All readings taken at a check that are not struck, oldest first."""
        return tuple(
            e
            for e in self._entries
            if isinstance(e, Taken) and e.check_key == check_key and not self.is_struck(e)
        )

    def latest(self, check_key: str) -> Taken | Looked | RunEnded | None:
        """What stands for a check now, None if nothing does."""
        for e in reversed(self._entries):
            if not isinstance(e, Taken | Looked | RunEnded) or e.check_key != check_key:
                continue
            if not self.is_struck(e):
                return e
        return None

    def before_and_after(self, check_key: str) -> tuple[Taken, Taken] | None:
        """The last reading before work was done at a check and the last one after it."""
        done = [
            e.stamp.seq for e in self._entries if isinstance(e, Did) and e.check_key == check_key
        ]
        if not done:
            return None
        taken = self.taken(check_key)
        before = [t for t in taken if t.stamp.seq < done[0]]
        after = [t for t in taken if t.stamp.seq > done[-1]]
        return (before[-1], after[-1]) if before and after else None

    def awaits_after(self, check_key: str) -> bool:
        """Whether work was done at a check and nothing has been taken there since."""
        done = [e for e in self._entries if isinstance(e, Did) and e.check_key == check_key]
        latest = self.latest(check_key)
        return bool(done) and (latest is None or latest.stamp.seq < done[-1].stamp.seq)

    def standing(self, check_key: str) -> Standing:
        """Where a check stands: an answer counts, even after it was once skipped."""
        latest = self.latest(check_key)
        if isinstance(latest, Taken):
            return Standing.TAKEN
        if isinstance(latest, Looked):
            return Standing.LOOKED
        if isinstance(latest, RunEnded):
            return Standing.RUN
        skipped = any(isinstance(e, Skipped) and e.check_key == check_key for e in self._entries)
        return Standing.SKIPPED if skipped else Standing.TO_DO

    def option(self, check: Check) -> BandOption | None:
        """The marking or type chosen for a check's group, None while not chosen."""
        key = self._options.get(check.option_group)
        return next((o for o in check.options if o.key == key), None)

    def needs_option(self, check: Check) -> bool:
        """Whether the marking has to be asked before this check can be judged."""
        return bool(check.options) and self.option(check) is None

    def band(self, check: Check) -> Band | None:
        """The band a check is judged against now, None where it is only recorded."""
        option = self.option(check)
        return option.band if option is not None else check.band

    def next_to_do(self) -> Check | None:
        """The next check in order that has no answer, looking on from the current one."""
        keys = [c.key for c in self.procedure.checks]
        here = keys.index(self._current)
        for key in keys[here + 1 :] + keys[: here + 1]:
            if self.standing(key) is Standing.TO_DO:
                return self.procedure.check(key)
        return None

    def neighbour(self, step: int) -> Check | None:
        """The check `step` places on (or back, negative), None past either end."""
        checks = self.procedure.checks
        here = [c.key for c in checks].index(self._current) + step
        return checks[here] if 0 <= here < len(checks) else None

    def open_obligations(self) -> tuple[Check, ...]:
        """Looks that bar closing: something was undone for a check and must be put back."""
        return open_obligations(self.procedure, self._entries, self.latest)

    def self_check(self, moment: Moment) -> SelfChecked | None:
        """The last self-check of that moment."""
        return next(
            (
                e
                for e in reversed(self._entries)
                if isinstance(e, SelfChecked) and e.moment is moment
            ),
            None,
        )

    def is_amid(self, check: SelfChecked) -> bool:
        """Whether a step was answered before this self-check."""
        return any(
            isinstance(e, Taken | Looked | RunEnded) and e.stamp.seq < check.stamp.seq
            for e in self._entries
        )

    def notes(self, check_key: str) -> tuple[str, ...]:
        """Notes on a check (empty key: on the visit), oldest first."""
        return tuple(
            e.text for e in self._entries if isinstance(e, Noted) and e.check_key == check_key
        )
