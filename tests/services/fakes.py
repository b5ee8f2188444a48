"""Stand-ins for store, meters and clock, as strict as the real ones where it matters."""

from collections import deque
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from benchassist.core.entry import (
    Closed,
    Entry,
    Machine,
    PartFitted,
    PartMarked,
    PhotoAdded,
    PhotoRemoved,
)
from benchassist.core.link import LinkRequest, ListeningItem, PortInfo, ProtocolInfo
from benchassist.core.own_mark import MarkedReading
from benchassist.core.photo import Photo
from benchassist.core.photo_log import VisitPhotos
from benchassist.core.quantity import Quantity
from benchassist.core.reading import LinkChange, LinkItem, LinkState, Reading
from benchassist.core.record import (
    Acknowledgement,
    Found,
    History,
    Refused,
    Stored,
    VisitBrief,
    VisitSummary,
)
from benchassist.core.slip_number import number_of
from benchassist.core.visit import Standing, Visit, VisitHeader
from benchassist.errors import BenchError, NotFoundError, StoreError
from tests.marks import marks_of


class FakeClock:
    """Time that only moves when told to."""

    def __init__(self) -> None:
        self.seconds = 100.0
        self.start = datetime(2026, 6, 9, 8, 0, tzinfo=UTC)

    def monotonic(self) -> float:
        return self.seconds

    def now(self) -> datetime:
        return self.start + timedelta(seconds=self.seconds - 100.0)

    def pass_by(self, seconds: float) -> None:
        self.seconds += seconds


class FakeStore:
    """Keeps in memory; acknowledges only when `commit` is called, or refuses with `why`."""

    def __init__(self, *, at_once: bool = True) -> None:
        self.at_once = at_once
        self.why = ""
        self.final = False
        """Whether a refusal is told to be for good."""
        self.headers: dict[str, VisitHeader] = {}
        self.entries: dict[str, list[Entry]] = {}
        self.kept_machines: dict[str, Machine] = {}
        self.near: list[Machine] = []
        self.kept_photos: dict[str, Photo] = {}
        self._waiting: deque[tuple[int, object]] = deque()
        self._said: list[Acknowledgement] = []
        self._ticket = 0

    def _take(self, what: object) -> int:
        self._ticket += 1
        self._waiting.append((self._ticket, what))
        if self.at_once:
            self.commit()
        return self._ticket

    def commit(self, most: int | None = None) -> None:
        """Write what waits, in order and no more than `most`, or refuse it while `why` is set."""
        while self._waiting and (most is None or most > 0):
            most = None if most is None else most - 1
            ticket, what = self._waiting.popleft()
            if why := self.why or self._hole(what):
                used = why == "the slip number is used"
                self._said.append(Refused(ticket, why, final=self.final, number_used=used))
                continue
            match what:
                case VisitHeader():
                    self.headers[what.id] = what
                    self.kept_machines[what.machine.id] = what.machine
                case Machine():
                    self.kept_machines[what.id] = what
                case Photo():
                    self.kept_photos.setdefault(what.digest, what)
                case tuple():
                    for entry in what:
                        kept = self.entries.setdefault(entry.stamp.visit_id, [])
                        if entry not in kept:
                            kept.append(entry)
            self._said.append(Stored(ticket))

    def _hole(self, what: object) -> str:
        """Why a submission would leave a hole, as the real writer refuses it; empty if not."""
        match what:
            case VisitHeader():
                numbers = {h.slip_number for h in self.headers.values() if h.id != what.id}
                return "the slip number is used" if what.slip_number in numbers else ""
            case (first, *_rest):
                kept = self.entries.get(first.stamp.visit_id, [])
                if first.stamp.visit_id not in self.headers:
                    return "the visit itself is not stored yet"
                return "a visit has no holes" if first.stamp.seq > len(kept) + 1 else ""
            case _:
                return ""

    def submit(self, *entries: Entry) -> int:
        return self._take(entries)

    def submit_visit(self, header: VisitHeader) -> int:
        return self._take(header)

    def submit_machine(self, machine: Machine) -> int:
        return self._take(machine)

    def submit_photo(self, photo: Photo) -> int:
        return self._take(photo)

    def acknowledgements(self) -> Sequence[Acknowledgement]:
        said, self._said = self._said, []
        return said

    def visit(self, visit_id: str) -> tuple[VisitHeader, tuple[Entry, ...]]:
        if visit_id not in self.headers:
            raise NotFoundError(f"no visit '{visit_id}'")
        return self.headers[visit_id], tuple(self.entries.get(visit_id, ()))

    def visits(self, *, open_only: bool = False, machine_id: str = "") -> tuple[VisitSummary, ...]:
        summaries = (self._summary(h) for h in reversed(self.headers.values()))
        return tuple(
            s
            for s in summaries
            if (not machine_id or s.machine.id == machine_id)
            and not (open_only and s.closed_at is not None)
        )

    def _summary(self, header: VisitHeader) -> VisitSummary:
        visit = Visit(*self.visit(header.id))
        closings = [e.stamp.at for e in visit.entries if isinstance(e, Closed)]
        standings = [visit.standing(check.key) for check in header.procedure.checks]
        return VisitSummary(
            id=header.id,
            slip_number=header.slip_number,
            machine=header.machine,
            complaint=header.interview.complaint,
            words=header.interview.words,
            opened_at=header.opened_at,
            closed_at=closings[-1] if visit.closed else None,
            done=sum(standing is not Standing.TO_DO for standing in standings),
            steps=len(standings),
            current_check=visit.current.key,
        )

    def history(self, machine_id: str, *, but: Collection[str] = ()) -> History:
        own = [h for h in self.headers.values() if h.machine.id == machine_id and h.id not in but]
        visits, unread = list[tuple[VisitHeader, tuple[Entry, ...]]](), list[str]()
        for header in sorted(own, key=lambda h: (h.opened_at, h.id)):
            try:
                visits.append(self.visit(header.id))
            except StoreError:
                raise
            except BenchError:
                unread.append(header.slip_number)
        return History(tuple(visits), tuple(unread))

    def machine(self, machine_id: str) -> Machine | None:
        return self.kept_machines.get(machine_id)

    def entry_counts(self, machine_id: str) -> tuple[tuple[str, int], ...]:
        own = sorted(h.id for h in self.headers.values() if h.machine.id == machine_id)
        return tuple((visit_id, len(self.entries.get(visit_id, ()))) for visit_id in own)

    def photos(self, digests: Iterable[str]) -> Mapping[str, Photo]:
        return {d: self.kept_photos[d] for d in digests if d in self.kept_photos}

    def photo_log(self, machine_id: str) -> tuple[VisitPhotos, ...]:
        own = [h for h in self.headers.values() if h.machine.id == machine_id]
        return tuple(
            VisitPhotos(
                visit_id=h.id,
                slip_number=h.slip_number,
                opened_at=h.opened_at,
                closed=Visit(*self.visit(h.id)).closed,
                entries=tuple(
                    e
                    for e in self.entries.get(h.id, ())
                    if isinstance(e, PhotoAdded | PhotoRemoved)
                ),
            )
            for h in sorted(own, key=lambda h: (h.opened_at, h.slip_number))
        )

    def briefs(self, *, open_only: bool = False, machine_id: str = "") -> tuple[VisitBrief, ...]:
        return tuple(
            VisitBrief(
                id=v.id,
                slip_number=v.slip_number,
                machine=v.machine,
                opened_at=v.opened_at,
                closed_at=v.closed_at,
                entries=len(self.entries.get(v.id, ())),
            )
            for v in self.visits(open_only=open_only, machine_id=machine_id)
        )

    def closed_since(self, moment: datetime) -> int:
        return sum(v.closed_at is not None and v.closed_at >= moment for v in self.visits())

    def parts_fitted(self, machine_id: str) -> int:
        own = (h.id for h in self.headers.values() if h.machine.id == machine_id)
        return sum(isinstance(e, PartFitted) for v in own for e in self.entries.get(v, ()))

    def find(self, words: str, limit: int) -> Found:
        """Every word stands in the machine or its visits; `near` is what comes close to others."""
        wanted = words.lower().split()
        fit = [m for m in self.kept_machines.values() if all(w in self._told_of(m) for w in wanted)]
        found = fit if wanted else []
        close = bool(wanted and not found and self.near)
        found = found or (self.near if close else [])
        return Found(machines=tuple(found[:limit]), count=len(found), close=close)

    def _told_of(self, m: Machine) -> str:
        told = (h.interview.words for h in self.headers.values() if h.machine.id == m.id)
        own = (m.tag, m.customer, m.unit, m.engine, m.serial, m.phone)
        return " ".join((*own, *told)).lower()

    def machines_of_tag(self, tag: str) -> tuple[Machine, ...]:
        kept = self.kept_machines.values()
        return tuple(m for m in kept if m.tag.casefold() == tag.casefold())

    def machine_count(self) -> int:
        return len(self.kept_machines)

    def machines(self) -> tuple[Machine, ...]:
        return tuple(self.kept_machines.values())

    def next_slip_number(self, letter: str = "") -> str:
        return number_of(letter, len(self.headers) + 1)

    def part_marks(self, check_key: str) -> tuple[MarkedReading, ...]:
        return marks_of((Visit(*self.visit(visit_id)) for visit_id in self.headers), check_key)

    def mark_count(self, check_key: str) -> int:
        every = (entry for entries in self.entries.values() for entry in entries)
        return sum(isinstance(e, PartMarked) and e.check_key == check_key for e in every)

    def close(self) -> None:
        self.commit()


class FakeLink:
    """A link fed by hand."""

    def __init__(self, channel: str) -> None:
        self._channel = channel
        self.items: deque[LinkItem] = deque()
        self.closed = False

    @property
    def channel(self) -> str:
        return self._channel

    def drain(self) -> Sequence[LinkItem]:
        items = tuple(self.items)
        self.items.clear()
        return items

    def close(self) -> None:
        self.closed = True


class FakeListening:
    """A search that the test plays."""

    def __init__(self, port: str) -> None:
        self.port = port
        self.items: deque[ListeningItem] = deque()
        self.closed = False

    def drain(self) -> Sequence[ListeningItem]:
        items = tuple(self.items)
        self.items.clear()
        return items

    def close(self) -> None:
        self.closed = True


class FakeRoom:
    """One meter that says what the test says."""

    def __init__(self) -> None:
        self.links: list[FakeLink] = []
        self.listenings: list[FakeListening] = []

    def ports(self) -> tuple[PortInfo, ...]:
        return (PortInfo(port="/dev/fake0", description="lead"),)

    def protocols(self) -> tuple[ProtocolInfo, ...]:
        return (ProtocolInfo(name="nibble-14", line="19200-7O1"),)

    def open(self, request: LinkRequest) -> FakeLink:
        link = FakeLink(request.channel)
        name = f"fake at {request.port}" if request.protocol == "scpi" else ""
        link.items.append(
            LinkChange(t_s=0.0, channel=request.channel, state=LinkState.LIVE, identity=name)
        )
        self.links.append(link)
        return link

    def scout(self, port: str) -> "FakeListening":
        self.listenings.append(FakeListening(port))
        return self.listenings[-1]


PLAIN = Reading(
    t_s=0.0,
    channel="A",
    quantity=Quantity.RESISTANCE,
    value=0.0,
    resolution=1.0,
    full_scale=22e3,
    exponent=3,
)


def overload(t_s: float, *, full_scale: float = 220e6) -> Reading:
    """Probes in the air."""
    return replace(PLAIN, t_s=t_s, value=None, overload=True, full_scale=full_scale)
