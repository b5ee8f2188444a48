"""A machine's file: its visits, every quantity across them, parts fitted, runs, notes.

Pure: what the store holds goes in, a view comes out. A visit that cannot be read is named and left
out, so that one damaged record does not hide the others.
"""

from collections.abc import Iterator, Sequence

from benchassist.core.band import Verdict
from benchassist.core.entry import (
    Did,
    Looked,
    Machine,
    Noted,
    PartFitted,
    RunEnded,
    Serviced,
)
from benchassist.core.procedure import Check, Leaning
from benchassist.core.record import History
from benchassist.core.run import RunKind
from benchassist.core.run_log import runs_at
from benchassist.core.trend import Drift
from benchassist.core.visit import Visit
from benchassist.errors import BenchError
from benchassist.services import wording
from benchassist.services.findings.repair import fitted_text, service_text
from benchassist.services.front.lease_text import slip_text
from benchassist.services.record.machine_file_view import (
    MachineFileView,
    PartLine,
    QuantityCard,
    RunCard,
    RunRow,
    VisitCard,
    VisitLine,
)
from benchassist.services.record.machine_quantity import check_of, quantity_card
from benchassist.services.runs.line import ended_words
from benchassist.services.slips.line import value_text
from benchassist.services.translation import _, ngettext
from benchassist.units import UnitChoice


def replayed(history: History) -> tuple[list[Visit], list[str]]:
    """The visits of a history, and the slip numbers of those that cannot be read."""
    visits, unread = list[Visit](), list(history.unread)
    for header, entries in history.visits:
        try:
            visits.append(Visit(header, entries))
        except BenchError:
            unread.append(header.slip_number)
    return visits, unread


def file_of(
    machine: Machine,
    visits: Sequence[Visit],
    units: UnitChoice,
    *,
    current: Visit | None = None,
    unread: Sequence[str] = (),
) -> MachineFileView:
    """The file of a machine whose visits these are, oldest first.

    `unread` holds the slip numbers of those that could not be read.
    """
    now = current or next((visit for visit in reversed(visits) if not visit.closed), None)
    cards = [_card(visit, units, first=visit is visits[0]) for visit in reversed(visits)]
    parts = tuple(part for visit in visits for part in _parts(visit))
    return MachineFileView(
        machine_id=machine.id,
        title=" ".join(t for t in (machine.customer, machine.unit) if t) or machine.tag,
        unit_text=machine.engine,
        tag_text=_("tag {tag}").format(tag=machine.tag),
        visits_text=_visits_text(visits),
        visits=tuple(sorted(cards, key=lambda card: not card.still_open)),
        quantities=tuple(sorted(quantities_of(visits, units, now=now), key=_patience)),
        runs=tuple(_runs(visits, units)),
        parts=parts,
        parts_text=_("Parts fitted so far: {n}.").format(n=len(parts)) if parts else "",
        unread_text=_("Not readable: slip {numbers}").format(numbers=", ".join(unread))
        if unread
        else "",
        open_visit_id=now.header.id if now is not None else "",
    )


def quantities_of(
    visits: Sequence[Visit], units: UnitChoice, *, now: Visit | None = None
) -> tuple[QuantityCard, ...]:
    """A card for every quantity taken in these visits (oldest first), in the newest one's order."""
    cards = (quantity_card(check, visits, units, now=now) for check in _checks(visits))
    return tuple(card for card in cards if card is not None)


def _patience(card: QuantityCard) -> int:
    """What is out of band or moves comes first, then what can be compared, then the rest."""
    valued = [row for row in card.rows if row.value]
    moves = card.drift in {Drift.RISING, Drift.FALLING}
    if moves or (valued and valued[-1].verdict in {Verdict.OUT_OF_BAND, Verdict.TOO_CLOSE}):
        return 0
    return 1 if len(valued) > 1 else 2


def _visits_text(visits: Sequence[Visit]) -> str:
    count = len(visits)
    text = ngettext("{n} visit", "{n} visits", count).format(n=count)
    if not visits:
        return text
    year = visits[0].header.opened_at.astimezone().year
    return _("{visits} since {year}").format(visits=text, year=year)


def _checks(visits: Sequence[Visit]) -> tuple[Check, ...]:
    """Every check, the newest of its key, in the newest visit's order; older ones follow."""
    newest: dict[str, Check] = {}
    for visit in reversed(visits):
        for check in visit.procedure.checks:
            newest.setdefault(check.key, check)
    return tuple(newest.values())


# --- a visit's card -------------------------------------------------------------------------------


def _card(visit: Visit, units: UnitChoice, *, first: bool) -> VisitCard:
    header, still_open = visit.header, not visit.closed
    day = wording.day_text(header.opened_at)
    apart = _("worked apart") if header.apart_of else ""
    marks = [day, _("open") if still_open else "", _("first visit") if first else "", apart]
    said = header.interview.words
    came = f"“{said}”" if said else header.interview.complaint
    told = [
        (_("Came"), came),
        (_("Found"), "; ".join(_found(visit, units))),
        (_("Did"), ", ".join(_did(visit, units))),
        (_("Part"), ", ".join(part.text for part in _parts(visit))),
        *((_("Note"), text) for text in _notes(visit)),
    ]
    return VisitCard(
        visit_id=header.id,
        title=", ".join(mark for mark in marks if mark),
        slip_text=slip_text(header.slip_number, apart=bool(header.apart_of)),
        still_open=still_open,
        lines=tuple(VisitLine(label=label, text=text) for label, text in told if text),
    )


def _found(visit: Visit, units: UnitChoice) -> Iterator[str]:
    """What was out of band before any work, what a look spoke against, what runs came to."""
    for check in visit.procedure.checks:
        out = [t for t in visit.taken(check.key) if t.judgement.verdict is Verdict.OUT_OF_BAND]
        if out:
            word = wording.verdict_word(out[0].judgement.verdict, out[0].judgement.side)
            yield _("{name} {value}, {word}").format(
                name=check.short, value=value_text(out[0], units)[0], word=word
            )
        latest = visit.latest(check.key)
        if isinstance(latest, Looked):
            answer = next((a for a in check.answers if a.key == latest.answer_key), None)
            if answer is not None and answer.leaning is Leaning.SUSPECT:
                yield _("{name}: {words}").format(name=check.short, words=answer.text)
        elif isinstance(latest, RunEnded):
            words = ended_words(visit, latest, units)
            yield words.title or _("{name}: {words}").format(name=check.short, words=words.words)


def _did(visit: Visit, units: UnitChoice) -> Iterator[str]:
    for entry in visit.entries:
        match entry:
            case Did():
                yield entry.text
            case Serviced():
                yield service_text(entry, units)
            case _:
                pass


def _notes(visit: Visit) -> Iterator[str]:
    """Notes in order, one on a check with its name."""
    for entry in visit.entries:
        if isinstance(entry, Noted):
            check = check_of(visit, entry.check_key)
            yield (
                entry.text
                if check is None
                else _("{name}: {words}").format(name=check.short, words=entry.text)
            )


def _parts(visit: Visit) -> Iterator[PartLine]:
    for entry in visit.entries:
        if isinstance(entry, PartFitted):
            text, _sep, note = fitted_text(entry).partition("; ")
            yield PartLine(
                visit_id=visit.header.id,
                day_text=wording.day_text(entry.stamp.at),
                text=text,
                note=note,
            )


# --- runs -----------------------------------------------------------------------------------------


def _runs(visits: Sequence[Visit], units: UnitChoice) -> Iterator[RunCard]:
    for check in sorted(_checks(visits), key=_linelessness):
        rows = tuple(row for visit in visits for row in _run_rows(visit, check.key, units))
        if rows:
            yield RunCard(check_key=check.key, title=check.title, rows=rows)


def _linelessness(check: Check) -> int:
    """Runs that leave a line to look at come first: a tank has marks only, a drill answers."""
    kind = check.run.kind if check.run is not None else None
    return 2 if kind is RunKind.DRILL else 1 if kind is RunKind.TANK else 0


def _run_rows(visit: Visit, key: str, units: UnitChoice) -> Iterator[RunRow]:
    for ended in runs_at(visit, key):
        words = ended_words(visit, ended, units)
        yield RunRow(
            visit_id=visit.header.id,
            run_id=ended.run_id,
            day_text=wording.day_text(ended.stamp.at),
            words=words.title or words.words,
            doubt=words.doubt,
            verdict=words.verdict,
            side=words.side,
            verdict_text=words.verdict_text,
        )
