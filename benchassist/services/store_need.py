"""What the use cases need of a store, as protocols: entries, benches, the samples of runs."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import datetime
from typing import Protocol

from benchassist.core.away import Away, Delivered
from benchassist.core.entry import Entry, Machine
from benchassist.core.lease import Lease, TakeUp
from benchassist.core.own_mark import MarkedReading
from benchassist.core.photo import Photo
from benchassist.core.photo_log import VisitPhotos
from benchassist.core.reading import Reading
from benchassist.core.record import Acknowledgement, Found, History, VisitBrief, VisitSummary
from benchassist.core.run import RunGap, RunHeader
from benchassist.core.samples import Column, Samples
from benchassist.core.visit import VisitHeader


class Store(Protocol):
    """What a shop keeps. Submissions return at once; their fate comes by `acknowledgements`.

    Reads may be called from any thread.
    """

    def submit(self, *entries: Entry) -> int:
        """Hand entries to the writer, to be committed together at once. Returns the ticket."""
        ...

    def submit_visit(self, header: VisitHeader) -> int:
        """Hand a new visit (and its machine, if new) to the writer. Returns the ticket."""
        ...

    def submit_machine(self, machine: Machine) -> int:
        """Hand a new or changed machine to the writer. Returns the ticket."""
        ...

    def submit_photo(self, photo: Photo) -> int:
        """Hand what is kept of a photo to the writer, before its entry. Returns the ticket."""
        ...

    def acknowledgements(self) -> Sequence[Acknowledgement]:
        """What became of submissions since the last call, in order; never drops one."""
        ...

    def visit(self, visit_id: str) -> tuple[VisitHeader, tuple[Entry, ...]]:
        """A visit by id, or by slip number. Raises NotFoundError."""
        ...

    def visits(self, *, open_only: bool = False, machine_id: str = "") -> tuple[VisitSummary, ...]:
        """Visits, newest first."""
        ...

    def history(self, machine_id: str, *, but: Collection[str] = ()) -> History:
        """A machine's visits with all their entries, oldest first, without those in `but`.

        One that cannot be read is named and left out. Raises StoreError where out of reach.
        """
        ...

    def machine(self, machine_id: str) -> Machine | None:
        """A machine by its id, None where there is none."""
        ...

    def entry_counts(self, machine_id: str) -> tuple[tuple[str, int], ...]:
        """How far each visit of a machine is written: its id and the number of its last entry."""
        ...

    def photos(self, digests: Iterable[str]) -> Mapping[str, Photo]:
        """What is kept of these photos, by digest; one that is not kept is left out."""
        ...

    def photo_log(self, machine_id: str) -> tuple[VisitPhotos, ...]:
        """The visits of a machine, oldest first, each with what is written of photos on it."""
        ...

    def briefs(self, *, open_only: bool = False, machine_id: str = "") -> tuple[VisitBrief, ...]:
        """Visits by their outside, newest first: cheap, to see whether anything is news."""
        ...

    def closed_since(self, moment: datetime) -> int:
        """How many visits were closed at that moment or later, and are."""
        ...

    def parts_fitted(self, machine_id: str) -> int:
        """How many parts were fitted at a machine's visits."""
        ...

    def find(self, words: str, limit: int) -> Found:
        """Machines that have every word, best first, at most `limit` of them.

        A word may be a part of one, and stand in the machine or in what was said at its visits.
        Where none has all of them, words that are close to them are looked for.
        """
        ...

    def machines_of_tag(self, tag: str) -> tuple[Machine, ...]:
        """Machines with this very tag, whatever its case: one, unless shops were put together."""
        ...

    def machine_count(self) -> int:
        """How many machines there are."""
        ...

    def machines(self) -> tuple[Machine, ...]:
        """Every machine, the one seen last first."""
        ...

    def next_slip_number(self, letter: str = "") -> str:
        """The number a visit opened now would carry, on a bench of that letter."""
        ...

    def part_marks(self, check_key: str) -> tuple[MarkedReading, ...]:
        """What was last said of every reading of a check that was ever marked, by visit."""
        ...

    def mark_count(self, check_key: str) -> int:
        """How many marks were ever set at a check: how long `part_marks` will take."""
        ...

    def close(self) -> None:
        """Write what is still in hand, then stop."""
        ...


class Benches(Protocol):
    """Which bench works on which visit, and the server where there is one."""

    def wear(self, name: str, letter: str) -> None:
        """What this bench is called from now on, and the letter of its slips."""
        ...

    @property
    def on_server(self) -> bool:
        """Whether the shop is on a server, for several computers."""
        ...

    @property
    def letter_user(self) -> str:
        """Another bench that has this one's letter; empty where none was found."""
        ...

    def take_up(self, visit_id: str, *, new: bool = False) -> TakeUp:
        """Ask for a visit; a new one is nobody else's yet. StoreError where it cannot be asked."""
        ...

    def holds(self, visit_id: str) -> bool:
        """Whether a visit is this bench's, as far as is known."""
        ...

    def lost_to(self, visit_id: str) -> str:
        """The bench that has taken a visit over from this one; empty where none has."""
        ...

    def put_down(self, visit_ids: Iterable[str]) -> None:
        """Visits are free again; all that was written in them is on disk."""
        ...

    def elsewhere(self) -> Mapping[str, Lease]:
        """The visits that other benches, or other windows, have on, by id."""
        ...

    @property
    def away(self) -> Away | None:
        """What is known of a server that is lost; None while it is there, or none is needed."""
        ...

    @property
    def delivered(self) -> Delivered | None:
        """What was last brought to a server that had been lost."""
        ...

    def kept_apart(self, visit_id: str) -> tuple[str, str] | None:
        """What a visit under work is called by now, where that changed.

        Its slip number and the visit it is kept beside, empty where it only has another number.
        """
        ...


class Recording(Protocol):
    """Where the samples of a run under way go. `put` is called at the meters' readers."""

    def put(self, reading: Reading) -> None:
        """Keep a reading, whatever its channel; from any thread, never blocking."""
        ...

    def gap(self, gap: RunGap) -> None:
        """Keep that samples are missing; from any thread, never blocking."""
        ...

    @property
    def trouble(self) -> str:
        """Why samples are not on disk yet, in one line; empty while all is well."""
        ...

    def flushed(self, timeout: float) -> bool:
        """Wait until all put so far is on disk; False where it is not within `timeout` seconds."""
        ...

    def close(self) -> None:
        """No more comes; what was put is still written."""
        ...


class RunStore(Protocol):
    """Samples of runs. Reads may be called from any thread."""

    def record(self, header: RunHeader, origins: Mapping[str, float]) -> Recording:
        """Begin to keep a run. `origins` has for each channel the reading time that is second 0.

        Raises StoreError for a run that is kept already or a shop that is closed.
        """
        ...

    def run_samples(
        self,
        run_id: str,
        channel: str,
        *,
        start_s: float = float("-inf"),
        end_s: float = float("inf"),
    ) -> Samples:
        """The samples of a channel, flagged and foreign ones left out. Raises NotFoundError."""
        ...

    def run_envelope(
        self, run_id: str, channel: str, *, start_s: float, end_s: float, buckets: int
    ) -> tuple[Column, Column, Column]:
        """Times, lowest and highest values of at most about so many buckets between two moments."""
        ...

    def run_gaps(self, run_id: str) -> tuple[RunGap, ...]:
        """What is missing, in order of time."""
        ...

    def run_extent(self, run_id: str) -> tuple[float, float]:
        """Seconds of the first and the last sample. Raises NotFoundError."""
        ...
