"""The list of visits says of each what the fold of its entries would, in one question."""

from collections.abc import Iterable
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import event

from benchassist.core.entry import (
    Closed,
    Did,
    Entry,
    Looked,
    MovedTo,
    Noted,
    Reopened,
    Skipped,
    Struck,
)
from benchassist.core.record import Stored, VisitSummary
from benchassist.core.visit import Standing, Visit, VisitHeader
from benchassist.storage.store import SqlStore
from tests.storage.case import PROCEDURE, Scribe, header, machine, settled

FREE = replace(PROCEDURE, checks=tuple(replace(c, obliges="") for c in PROCEDURE.checks))
"""A procedure that may be closed at any time."""
KEYS = tuple(check.key for check in FREE.checks)
LOOK = "stop_wire"
DEEDS = ("taken", "looked", "redone", "struck", "skipped", "moved", "did", "noted")
Deed = tuple[str, int, int]
"""What is done, at which check, to which of the answers so far."""


def played(visit: VisitHeader, deeds: Iterable[Deed], *, closed: int) -> list[Entry]:
    """Entries of a visit as its bench would write them; `closed`: how often its door moves."""
    scribe, entries = Scribe(visit), list[Entry]()
    answers = dict[str, str]()
    struck = set[str]()
    for deed, at, which in deeds:
        key = KEYS[at % len(KEYS)]
        stamp = scribe.stamp()
        standing = [i for i in answers if i not in struck]
        target = standing[which % len(standing)] if standing else ""
        match deed:
            case "looked":
                entries.append(Looked(stamp=stamp, check_key=LOOK, answer_key="yes"))
                answers[stamp.id] = LOOK
            case "struck" if target:
                entries.append(Struck(stamp=stamp, check_key=answers[target], entry_id=target))
                struck.add(target)
            case "skipped":
                entries.append(Skipped(stamp=stamp, check_key=key))
            case "moved":
                entries.append(MovedTo(stamp=stamp, check_key=key))
            case "did":
                entries.append(Did(stamp=stamp, check_key=key, text="cleaned"))
            case "noted":
                entries.append(Noted(stamp=stamp, text="dusty"))
            case _:
                key = key if key != LOOK else KEYS[0]
                again = deed == "redone" and bool(target) and answers[target] != LOOK
                key = answers[target] if again else key
                scribe.seq -= 1
                taken = scribe.taken(check_key=key, supersedes=target if again else None)
                entries.append(taken)
                answers[taken.stamp.id] = key
                struck |= {target} if again else set()
    for turn in range(closed):
        stamp = scribe.stamp()
        door = Reopened(stamp=stamp) if turn % 2 else Closed(stamp=stamp)
        entries.append(door)
    return entries


def folded(visit: VisitHeader, entries: Iterable[Entry]) -> tuple[int, str, bool]:
    """Checks done, where the bench is, whether it is closed: by the visit itself."""
    whole = Visit(visit, entries)
    standings = (whole.standing(check.key) for check in visit.procedure.checks)
    done = sum(standing is not Standing.TO_DO for standing in standings)
    return done, whole.current.key, whole.closed


def told(summary: VisitSummary) -> tuple[int, str, bool]:
    """The same, by the list."""
    return summary.done, summary.current_check, summary.closed_at is not None


deeds = st.lists(
    st.tuples(st.sampled_from(DEEDS), st.integers(0, 9), st.integers(0, 9)), max_size=12
)


@settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(visits=st.lists(st.tuples(deeds, st.integers(0, 2), st.integers(0, 2)), max_size=5))
def test_it_is_the_fold_of_every_visit(
    store: SqlStore, visits: list[tuple[list[Deed], int, int]]
) -> None:
    """Whatever was taken, redone, struck, skipped or looked at; all, the open, a machine's."""
    before = {summary.id for summary in store.visits()}
    machines = [machine(f"K{len(before)}-{i}") for i in range(3)]
    wanted = dict[str, tuple[int, str, bool]]()
    owners = dict[str, str]()
    for number, (script, of, closed) in enumerate(visits):
        slip = f"{len(before) + number + 1:04d}"
        visit = replace(header(slip, of=machines[of], day=number), procedure=FREE)
        entries = played(visit, script, closed=closed)
        tickets = [store.submit_visit(visit), *([store.submit(*entries)] if entries else [])]
        assert settled(store, *tickets) == [Stored(ticket) for ticket in tickets]
        wanted[visit.id], owners[visit.id] = folded(visit, entries), machines[of].id
    found = [summary for summary in store.visits() if summary.id not in before]
    assert {summary.id: told(summary) for summary in found} == wanted
    moments = [(summary.opened_at, summary.slip_number) for summary in found]
    assert moments == sorted(moments, reverse=True)
    still_open = {s.id: told(s) for s in store.visits(open_only=True) if s.id not in before}
    assert still_open == {key: fold for key, fold in wanted.items() if not fold[2]}
    for one in machines:
        own = {s.id: told(s) for s in store.visits(machine_id=one.id)}
        assert own == {key: fold for key, fold in wanted.items() if owners[key] == one.id}


def test_a_reading_struck_twice_counts_once(store: SqlStore) -> None:
    """By what superseded it and then by hand: the check is done by the one that stands."""
    visit = header()
    scribe = Scribe(visit)
    first = scribe.taken()
    second = scribe.taken(supersedes=first.stamp.id)
    both = Struck(stamp=scribe.stamp(), check_key="secondary", entry_id=first.stamp.id)
    settled(store, store.submit_visit(visit), store.submit(first, second, both))
    assert store.visits()[0].done == 1
    last = Struck(stamp=scribe.stamp(), check_key="secondary", entry_id=second.stamp.id)
    settled(store, store.submit(last))
    assert store.visits()[0].done == 0


@pytest.mark.parametrize("count", [1, 4])
def test_it_is_one_question(store: SqlStore, count: int) -> None:
    """However many visits there are."""
    for number in range(count):
        visit = header(f"{number + 1:04d}", day=number)
        settled(store, store.submit_visit(visit), store.submit(Scribe(visit).taken()))
    sent = list[str]()
    event.listen(
        store._engines.reader,
        "before_cursor_execute",
        lambda _c, _cursor, said, *_rest: sent.append(said),
    )
    assert len(store.visits()) == count
    assert len([said for said in sent if not said.startswith("BEGIN")]) == 1


def test_a_check_of_every_wording_is_read_by_itself(store: SqlStore) -> None:
    """As its procedure has it, also where another text of it has none; and it stays decoded."""
    worded = [
        replace(PROCEDURE, version=str(n), checks=PROCEDURE.checks[n % 2 :]) for n in range(5)
    ]
    for number, procedure in enumerate(worded):
        visit = replace(header(f"{number + 1:04d}"), procedure=procedure)
        settled(store, store.submit_visit(visit))
    sent = list[str]()
    with store._reading() as connection:
        digests = connection.exec_driver_sql("SELECT procedure_digest FROM visit").scalars().all()
        found = store._thaw.checks(connection, digests, "secondary")
        event.listen(
            store._engines.reader,
            "before_cursor_execute",
            lambda _c, _cursor, said, *_rest: sent.append(said),
        )
        assert store._thaw.checks(connection, digests, "secondary") == found
        assert store._thaw.checks(connection, digests, "no such") == dict.fromkeys(digests)
    (whole,) = {check for check in found.values() if check is not None}
    assert whole == PROCEDURE.checks[0]
    assert sum(check is None for check in found.values()) == 2
    assert len(sent) == 1


def test_marks_are_counted(store: SqlStore) -> None:
    """Every one that was set, also what takes one back; of one check."""
    from tests.storage.test_mark_query import mark

    visit = header()
    scribe = Scribe(visit)
    taken = scribe.taken()
    said = [mark(scribe, taken), mark(scribe, taken, reason="wet boot")]
    settled(store, store.submit_visit(visit), store.submit(taken, *said))
    assert (store.mark_count("secondary"), store.mark_count("cap")) == (2, 0)
