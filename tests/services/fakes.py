"""Stand-ins for store, meters and clock, as strict as the real ones where it matters."""

from collections import deque
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from benchassist.core.entry import Closed, Entry, Machine
from benchassist.core.link import LinkRequest, ListeningItem, PortInfo, ProtocolInfo
from benchassist.core.quantity import Quantity
from benchassist.core.reading import LinkChange, LinkItem, LinkState, Reading
from benchassist.core.record import Acknowledgement, Refused, Stored, VisitSummary
from benchassist.core.visit import Standing, Visit, VisitHeader
from benchassist.errors import NotFoundError


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
        self.headers: dict[str, VisitHeader] = {}
        self.entries: dict[str, list[Entry]] = {}
        self.kept_machines: dict[str, Machine] = {}
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
                self._said.append(Refused(ticket, why))
                continue
            match what:
                case VisitHeader():
                    self.headers[what.id] = what
                    self.kept_machines[what.machine.id] = what.machine
                case Machine():
                    self.kept_machines[what.id] = what
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

    def machines(self, words: str = "") -> tuple[Machine, ...]:
        return tuple(
            m
            for m in self.kept_machines.values()
            if all(
                w in f"{m.tag} {m.customer} {m.unit} {m.engine} {m.serial} {m.phone}".lower()
                for w in words.lower().split()
            )
        )

    def next_slip_number(self) -> str:
        return f"{len(self.headers) + 1:04d}"

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
