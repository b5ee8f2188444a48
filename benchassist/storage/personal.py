"""What a shop holds of a customer: looked for by name or phone, in whole or in part."""

import re
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field
from gettext import gettext as _
from typing import Any, Final

from sqlalchemy import Connection, func, select

from benchassist.core.entry import Entry, Machine, PhotoAdded
from benchassist.core.holding import Holding, Mention, PersonalData
from benchassist.core.personal import WORDS_OF, word_answers, words_in
from benchassist.core.trace import Traces, digits_of, fold
from benchassist.core.visit import VisitHeader
from benchassist.errors import InputError
from benchassist.storage import schema
from benchassist.storage.codec import KIND_OF, decode_entry, from_text
from benchassist.storage.frozen import HEADER_COLUMNS, Thaw
from benchassist.storage.query import MACHINE, machine_of

INTERVIEW: Final = "interview"
MACHINE_TEXT: Final = "machine"

KINDS: Final = tuple(sorted(KIND_OF[kind] for kind in WORDS_OF))
"""The kinds of entries in which people's words stand."""

MOST: Final = 50
"""Machines that are told in full at once."""

LEAST: Final = 2
"""Letters or digits that can be looked for."""

PORTION: Final = 500


@dataclass(slots=True)
class Owners:
    """Who a machine and its visits say it belongs to."""

    names: dict[str, None] = field(default_factory=dict)
    phones: dict[str, None] = field(default_factory=dict)
    headers: int = 0

    def add(self, customer: str, phone: str) -> None:
        """Somebody, if anybody is named."""
        if customer.strip():
            self.names[customer] = None
        if phone.strip():
            self.phones[phone] = None

    @property
    def traces(self) -> Traces:
        """What tells who they are."""
        return Traces(self.names, self.phones)


@dataclass(frozen=True, slots=True)
class Asked:
    """The words looked for; every one of them must be in a name, or its digits in a number."""

    words: tuple[str, ...]
    digits: str

    @classmethod
    def of(cls, words: str) -> "Asked":
        """Raises InputError where there is too little to look for."""
        asked = cls(tuple(fold(words).split()), digits_of(words))
        if sum(c.isalnum() for c in "".join(asked.words)) < LEAST:
            raise InputError(_("'{words}': name a customer or a phone number").format(words=words))
        return asked

    def fits(self, owners: Owners) -> bool:
        """Whether one of them may be who is looked for."""
        names = [fold(name) for name in owners.names]
        numbers = [digits_of(phone) for phone in owners.phones]
        return all(self._is_in(word, names, numbers) for word in self.words)

    @staticmethod
    def _is_in(word: str, names: list[str], numbers: list[str]) -> bool:
        digits = digits_of(word)
        in_number = len(digits) >= LEAST and any(digits in number for number in numbers)
        return in_number or any(word in name for name in names)

    def is_exact(self, owners: Owners) -> bool:
        """Whether one of them is."""
        whole = " ".join(self.words)
        return any(" ".join(fold(name).split()) == whole for name in owners.names) or any(
            self.digits and digits_of(phone) == self.digits for phone in owners.phones
        )


def find(connection: Connection, thaw: Thaw, words: str) -> PersonalData:
    """Return what is held of whoever fits the words.

    Raises InputError for too few letters, or for more machines than can be told.
    """
    asked = Asked.of(words)
    machines = {row.id: machine_of(row) for row in connection.execute(select(*MACHINE))}
    found = {i: o for i, o in _owners(connection, machines).items() if asked.fits(o)}
    if len(found) > MOST:
        raise InputError(
            _("'{words}' fits {n} machines: type more of the name").format(
                words=words, n=len(found)
            )
        )
    exact = {machine_id for machine_id, owners in found.items() if asked.is_exact(owners)}
    return _personal_data(connection, thaw, [machines[i] for i in found], found, exact)


def held_of(connection: Connection, thaw: Thaw, machine_ids: Iterable[str]) -> PersonalData:
    """Return what is held of the customers of machines; one that is not there is left out."""
    asked = select(*MACHINE).where(schema.machine.c.id.in_(list(machine_ids)))
    machines = [machine_of(row) for row in connection.execute(asked)]
    found = {machine.id: owners_of(connection, machine) for machine in machines}
    return _personal_data(connection, thaw, machines, found, set(found))


def _personal_data(
    connection: Connection,
    thaw: Thaw,
    machines: Iterable[Machine],
    found: dict[str, Owners],
    exact: set[str],
) -> PersonalData:
    holdings = [
        _holding(connection, thaw, machine, found[machine.id], exact=machine.id in exact)
        for machine in machines
    ]
    holdings.sort(key=lambda h: (not h.exact, h.machine.tag))
    everyone = traces_of_all(found.values())
    elsewhere = mentions_elsewhere(connection, thaw, frozenset(found), everyone) if found else ()
    return PersonalData(holdings=tuple(holdings), elsewhere=tuple(elsewhere))


def traces_of_all(owners: Collection[Owners]) -> Traces:
    """Return what tells who any of them is."""
    return Traces(
        (name for one in owners for name in one.names),
        (phone for one in owners for phone in one.phones),
    )


def owners_of(connection: Connection, machine: Machine) -> Owners:
    """Return who a machine and its visits say it belongs to."""
    return _owners(connection, {machine.id: machine}, only=machine.id)[machine.id]


def _owners(
    connection: Connection, machines: dict[str, Machine], *, only: str = ""
) -> dict[str, Owners]:
    owners = defaultdict[str, Owners](Owners)
    for machine in machines.values():
        owners[machine.id].add(machine.customer, machine.phone)
    v = schema.visit.c
    asked = select(v.machine_id, v.header).execution_options(yield_per=PORTION)
    if only:
        asked = asked.where(v.machine_id == only)
    for machine_id, header in connection.execute(asked):
        told = from_text(header)
        who = told.get("machine", {}) if isinstance(told, dict) else {}
        customer, phone = who.get("customer", ""), who.get("phone", "")
        owners[machine_id].add(customer, phone)
        owners[machine_id].headers += bool(customer or phone)
    return owners


def _holding(
    connection: Connection, thaw: Thaw, machine: Machine, owners: Owners, *, exact: bool
) -> Holding:
    traces, mentions, digests, visits = owners.traces, list[Mention](), set[str](), 0
    for header, entries in visits_of(connection, thaw, machine.id):
        visits += 1
        mentions += [
            _mention(header, where, text)
            for where, text in _told(header, entries)
            if traces.holds(text)
        ]
        digests |= {e.digest for e in entries if isinstance(e, PhotoAdded)}
    if traces.holds(machine.unit):
        mentions.append(
            Mention(
                visit_id="", slip_number="", tag=machine.tag, where=MACHINE_TEXT, text=machine.unit
            )
        )
    return Holding(
        machine=machine,
        exact=exact,
        names=tuple(owners.names),
        phones=tuple(owners.phones),
        visits=visits,
        headers=owners.headers,
        mentions=tuple(mentions),
        photos=_kept(connection, digests),
    )


def visits_of(
    connection: Connection, thaw: Thaw, machine_id: str
) -> Iterator[tuple[VisitHeader, tuple[Entry, ...]]]:
    """The visits of a machine, oldest first, with their entries of `KINDS`."""
    v, e = schema.visit.c, schema.entry.c
    asked = select(v.id, *HEADER_COLUMNS).where(v.machine_id == machine_id).order_by(v.opened_at)
    for row in connection.execute(asked).all():
        bodies = connection.scalars(
            select(e.body).where(e.visit_id == row.id, e.kind.in_(KINDS)).order_by(e.seq)
        )
        yield thaw.header(connection, row), tuple(decode_entry(from_text(b)) for b in bodies)


def mentions_elsewhere(
    connection: Connection, thaw: Thaw, machine_ids: frozenset[str], traces: Traces
) -> Iterator[Mention]:
    """Where the visits of other machines have the whole name or the number."""
    for header, entries in visits_elsewhere(connection, thaw, machine_ids, traces):
        for where, text in _told(header, entries):
            if traces.holds(text, whole=True):
                yield _mention(header, where, text)


def visits_elsewhere(
    connection: Connection, thaw: Thaw, machine_ids: frozenset[str], traces: Traces
) -> Iterator[tuple[VisitHeader, tuple[Entry, ...]]]:
    """The visits of other machines that have the whole name or the number, with such entries."""
    v, e = schema.visit.c, schema.entry.c
    said = select(v.id, v.machine_id, v.header).execution_options(yield_per=PORTION)
    hits = {
        visit_id: list[Entry]()
        for visit_id, machine_id, header in connection.execute(said)
        if machine_id not in machine_ids and traces.holds(_unescaped(header), whole=True)
    }
    asked = (
        select(v.id, v.machine_id, e.body)
        .join(schema.entry, e.visit_id == v.id)
        .where(e.kind.in_(KINDS))
        .execution_options(yield_per=PORTION)
    )
    for visit_id, machine_id, body in connection.execute(asked):
        if machine_id not in machine_ids and traces.holds(_unescaped(body), whole=True):
            hits.setdefault(visit_id, []).append(decode_entry(from_text(body)))
    for visit_id, entries in hits.items():
        row = connection.execute(select(*HEADER_COLUMNS).where(v.id == visit_id)).one()
        entries.sort(key=lambda entry: entry.stamp.seq)
        yield thaw.header(connection, row), tuple(entries)


def _unescaped(text: str) -> str:
    """JSON's line breaks and tabs as blanks, so that words stand apart."""
    return re.sub(r"\\[nrt]", " ", text) if "\\" in text else text


def _told(header: VisitHeader, entries: Iterable[Entry]) -> Iterator[tuple[str, str]]:
    """Every text people typed, and where."""
    worded = word_answers(header)
    yield INTERVIEW, header.interview.words
    for key, answer in header.interview.answers:
        if key in worded:
            yield INTERVIEW, answer
    for entry in entries:
        for name in words_in(entry):
            said: Any = getattr(entry, name)
            for text in (said,) if isinstance(said, str) else said:
                yield KIND_OF[type(entry)], text


def _mention(header: VisitHeader, where: str, text: str) -> Mention:
    return Mention(
        visit_id=header.id,
        slip_number=header.slip_number,
        tag=header.machine.tag,
        where=where,
        text=text,
    )


def _kept(connection: Connection, digests: Iterable[str]) -> int:
    """How many photos of these are kept."""
    p, wanted, kept = schema.photo.c, sorted(digests), 0
    for start in range(0, len(wanted), PORTION):
        some = p.digest.in_(wanted[start : start + PORTION])
        kept += connection.scalar(select(func.count()).where(some)) or 0
    return kept
