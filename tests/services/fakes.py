"""Stand-ins for store, meters and clock, as strict as the real ones where it matters."""

from collections import deque
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from benchassist.core.entry import Entry, Machine
from benchassist.core.link import LinkRequest, PortInfo, ProtocolInfo
from benchassist.core.quantity import Quantity
from benchassist.core.reading import LinkChange, LinkItem, LinkState, Reading
from benchassist.core.record import Acknowledgement, Refused, Stored, VisitSummary
from benchassist.core.visit import Visit, VisitHeader
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

    def commit(self) -> None:
        """Write everything waiting, or refuse it while `why` is set."""
        while self._waiting:
            ticket, what = self._waiting.popleft()
            if self.why:
                self._said.append(Refused(ticket, self.why))
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
                            assert entry.stamp.seq == len(kept) + 1, "a visit has no holes"
                            kept.append(entry)
            self._said.append(Stored(ticket))

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
        return tuple(
            VisitSummary(
                id=h.id,
                slip_number=h.slip_number,
                machine=h.machine,
                complaint=h.interview.complaint,
                words=h.interview.words,
                opened_at=h.opened_at,
                closed_at=None,
                done=0,
                steps=len(h.procedure.checks),
            )
            for h in reversed(self.headers.values())
            if (not machine_id or h.machine.id == machine_id)
            and (not open_only or not self._is_closed(h.id))
        )

    def _is_closed(self, visit_id: str) -> bool:
        return Visit(*self.visit(visit_id)).closed

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


class FakeRoom:
    """One meter that says what the test says."""

    def __init__(self) -> None:
        self.links: list[FakeLink] = []

    def ports(self) -> tuple[PortInfo, ...]:
        return (PortInfo(port="/dev/fake0", description="lead"),)

    def protocols(self) -> tuple[ProtocolInfo, ...]:
        return (ProtocolInfo(name="nibble-14", line="19200-7O1"),)

    def open(self, request: LinkRequest) -> FakeLink:
        link = FakeLink(request.channel)
        link.items.append(
            LinkChange(t_s=0.0, channel=request.channel, state=LinkState.LIVE, identity="fake")
        )
        self.links.append(link)
        return link


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
