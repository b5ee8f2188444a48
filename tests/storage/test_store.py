from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select, update

from benchassist.core.entry import (
    Closed,
    Entry,
    Looked,
    Machine,
    MovedTo,
    Noted,
    Reopened,
    Skipped,
    Struck,
    Taken,
)
from benchassist.core.record import Refused, Stored
from benchassist.core.visit import Standing, Visit, VisitHeader
from benchassist.errors import NotFoundError, ShopFileError, StepError, StoreError
from benchassist.services.needs import Store
from benchassist.storage import open_store, schema
from benchassist.storage.store import SqlStore
from tests.storage.case import CAP, PROCEDURE, SECONDARY, Scribe, header, machine, settled

CHECKS = tuple(check.key for check in PROCEDURE.checks)


def keep(store: SqlStore, visit: VisitHeader, *entries: Entry) -> None:
    """Have a visit and its entries stored."""
    tickets = [store.submit_visit(visit), *map(store.submit, entries)]
    assert settled(store, *tickets) == [Stored(ticket) for ticket in tickets]


def test_the_store_is_what_the_use_cases_ask_for(store: SqlStore) -> None:
    """SqlStore keeps the protocol; mypy holds the types, this line the names."""
    needed: Store = store
    assert all(hasattr(needed, name) for name in dir(Store) if not name.startswith("_"))


def test_a_taken_reading_is_there_after_opening_again(location: str) -> None:
    """What was acknowledged as stored is in the shop when it is opened again."""
    visit = header()
    scribe = Scribe(visit)
    entries = (scribe.taken(9400.0), scribe.taken(5010.0, check_key="cap", band=CAP))
    with open_store(location) as first:
        keep(first, visit, *entries)
    with open_store(location) as second:
        assert second.visit(visit.id) == (visit, entries)
        assert second.visit("0001") == (visit, entries)
        assert second.visit("1") == (visit, entries)


def test_closing_writes_what_is_in_hand(location: str) -> None:
    """A program that closes right after a submission has written it."""
    visit = header()
    scribe = Scribe(visit)
    entries = tuple(scribe.taken(9000.0 + i) for i in range(50))
    store = open_store(location)
    store.submit_visit(visit)
    for entry in entries:
        store.submit(entry)
    store.close()
    assert all(isinstance(said, Stored) for said in store.acknowledgements())
    with open_store(location) as again:
        assert again.visit(visit.id) == (visit, entries)


def test_acknowledgements_keep_their_order_and_come_once(store: SqlStore) -> None:
    """Each ticket is answered once, in the order of submission."""
    visit = header()
    scribe = Scribe(visit)
    tickets = [store.submit_visit(visit)]
    tickets += [store.submit(scribe.taken()) for _ in range(20)]
    assert [said.ticket for said in settled(store, *tickets)] == sorted(tickets)
    assert list(store.acknowledgements()) == []


def test_entries_of_one_submission_stand_or_fall_together(store: SqlStore) -> None:
    """Where one entry of a submission cannot be kept, none is."""
    visit = header()
    keep(store, visit)
    scribe = Scribe(visit)
    first, second = scribe.taken(), scribe.taken()
    spoilt = replace(second, meter="\x00")
    (said,) = settled(store, store.submit(first, spoilt))
    assert isinstance(said, Refused)
    assert store.visit(visit.id) == (visit, ())
    (said,) = settled(store, store.submit(first, second))
    assert isinstance(said, Stored)
    assert store.visit(visit.id) == (visit, (first, second))


def test_handing_in_twice_keeps_once(store: SqlStore) -> None:
    """The same visit and the same entry, handed in again, are stored and there once."""
    visit = header()
    entry = Scribe(visit).taken()
    keep(store, visit, entry)
    keep(store, visit, entry)
    assert store.visit(visit.id) == (visit, (entry,))


def test_an_entry_never_changes(store: SqlStore) -> None:
    """Another entry, or another visit, under an id that is stored is refused; the first stays."""
    visit = header()
    entry = Scribe(visit).taken()
    keep(store, visit, entry)
    altered = replace(entry, meter="another")
    for ticket in (store.submit(altered), store.submit_visit(replace(visit, shop="another"))):
        (said,) = settled(store, ticket)
        assert isinstance(said, Refused)
        assert "never changes" in said.why
    assert store.visit(visit.id) == (visit, (entry,))


def test_a_visit_has_no_holes(store: SqlStore) -> None:
    """An entry is refused while its forerunner is not stored, and taken once that is."""
    visit = header()
    keep(store, visit)
    scribe = Scribe(visit)
    first, second = scribe.taken(), scribe.taken()
    (said,) = settled(store, store.submit(second))
    assert isinstance(said, Refused)
    assert "entry 2 came before entry 1" in said.why
    assert [type(s) for s in settled(store, store.submit(first), store.submit(second))] == [
        Stored,
        Stored,
    ]
    assert store.visit(visit.id) == (visit, (first, second))


def test_what_follows_a_refused_entry_says_the_first_reason(store: SqlStore) -> None:
    """Entries behind a refused one are refused with its reason, which is the one to act on."""
    visit = header()
    keep(store, visit)
    scribe = Scribe(visit)
    spoilt, after = replace(scribe.taken(), meter="\x00"), scribe.taken()
    first, second = settled(store, store.submit(spoilt), store.submit(after))
    assert isinstance(first, Refused)
    assert isinstance(second, Refused)
    assert first.why == second.why


def test_entries_of_an_unknown_visit_are_refused(store: SqlStore) -> None:
    """Entries whose visit is not stored are refused in one line."""
    (said,) = settled(store, store.submit(Scribe(header()).taken()))
    assert isinstance(said, Refused)
    assert said.why == "the visit itself is not stored yet"


def test_a_slip_number_is_given_once(store: SqlStore) -> None:
    """A second visit under a number already given is refused and leaves nothing behind."""
    keep(store, header("0007"))
    other = header("0007")
    (said,) = settled(store, store.submit_visit(other))
    assert isinstance(said, Refused)
    assert "slip number 0007 is already used" in said.why
    assert other.machine not in store.machines()
    with pytest.raises(NotFoundError):
        store.visit(other.id)


@pytest.mark.parametrize(
    ("given", "next_one"),
    [
        ((), "0001"),
        (("0001",), "0002"),
        (("0009", "0002"), "0010"),
        (("9999",), "10000"),
        (("0003", "B-0500", "practice"), "0004"),
    ],
)
def test_slip_numbers_count_up(store: SqlStore, given: tuple[str, ...], next_one: str) -> None:
    """The next number is one above the highest of this bench, whatever other benches gave."""
    for number in given:
        keep(store, header(number))
    assert store.next_slip_number() == next_one


def test_two_windows_on_one_visit_do_not_mix(location: str) -> None:
    """The second of two programs that continue the same visit is refused and told to reopen."""
    visit = header()
    with open_store(location) as first, open_store(location) as second:
        keep(first, visit)
        ours, theirs = Scribe(visit), Scribe(visit)
        kept = ours.taken()
        settled(first, first.submit(kept))
        (said,) = settled(second, second.submit(theirs.taken()))
        assert isinstance(said, Refused)
        assert "from another window" in said.why
        # Opened again it goes on from what is there, in either program.
        later = Scribe(visit, after=1).taken()
        assert isinstance(settled(second, second.submit(later))[0], Stored)
        last = Scribe(visit, after=2).taken()
        assert isinstance(settled(first, first.submit(last))[0], Stored)
        assert first.visit(visit.id) == second.visit(visit.id) == (visit, (kept, later, last))


def test_an_unknown_visit_is_said_in_one_line(store: SqlStore) -> None:
    """Asking for a visit that is not there names it and what would be right."""
    with pytest.raises(NotFoundError, match="there is no visit '0412': give a slip number"):
        store.visit("0412")


def test_a_closed_shop_takes_nothing(location: str) -> None:
    """After close, a submission is refused at once and close may be called again."""
    store = open_store(location)
    store.close()
    store.close()
    with pytest.raises(StoreError, match="closed"):
        store.submit_visit(header())


def test_visits_are_listed_newest_first(store: SqlStore) -> None:
    """The list is ordered by opening time and can be narrowed to open ones and to a machine."""
    tiller, pump = machine("K7"), machine("P2")
    first, second, third = (
        header("0001", of=tiller),
        header("0002", of=pump, day=1),
        header("0003", of=tiller, day=2),
    )
    keep(store, first, Closed(stamp=Scribe(first).stamp(), summary="done"))
    keep(store, second)
    keep(store, third)
    assert [v.slip_number for v in store.visits()] == ["0003", "0002", "0001"]
    assert [v.slip_number for v in store.visits(open_only=True)] == ["0003", "0002"]
    assert [v.slip_number for v in store.visits(machine_id=tiller.id)] == ["0003", "0001"]
    closed = store.visits()[-1]
    assert closed.closed_at == first.opened_at + timedelta(minutes=1, microseconds=1)
    assert (closed.machine, closed.words) == (tiller, "quits after mowing")


def made(scribe: Scribe, step: tuple[str, str], earlier: list[Entry]) -> Entry:
    """Return an entry of a kind at a check, redoing the last answer where that is asked."""
    kind, check_key = step
    answers = [e for e in earlier if isinstance(e, Taken | Looked)]
    stamp = scribe.stamp()
    at_check: dict[str, Callable[[], Entry]] = {
        "taken": lambda: replace(scribe.taken(), stamp=stamp, check_key=check_key),
        "looked": lambda: Looked(stamp=stamp, check_key=check_key, answer_key="yes"),
        "skipped": lambda: Skipped(stamp=stamp, check_key=check_key),
        "moved": lambda: MovedTo(stamp=stamp, check_key=check_key),
        "closed": lambda: Closed(stamp=stamp),
        "reopened": lambda: Reopened(stamp=stamp),
        "noted": lambda: Noted(stamp=stamp, text="quits after mowing"),
    }
    last = answers[-1] if answers else None
    if last is not None:
        at_check["redone"] = lambda: replace(
            scribe.taken(), stamp=stamp, check_key=check_key, supersedes=last.stamp.id
        )
        at_check["struck"] = lambda: Struck(
            stamp=stamp, check_key=last.check_key, entry_id=last.stamp.id
        )
    entry = at_check.get(kind, at_check["noted"])()
    scribe.seq = stamp.seq
    return entry


STEPS = st.tuples(
    st.sampled_from(
        ["taken", "redone", "looked", "struck", "skipped", "moved", "closed", "reopened", "noted"]
    ),
    st.sampled_from(CHECKS),
)


@given(steps=st.lists(STEPS, max_size=12))
@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_the_list_counts_as_the_visit_does(store: SqlStore, steps: list[tuple[str, str]]) -> None:
    """Done, current step and closing in the list are those of the visit's own fold."""
    visit = header(store.next_slip_number())
    scribe, fold = Scribe(visit), Visit(visit)
    for step in steps:
        try:
            fold.apply(made(scribe, step, list(fold.entries)))
        except StepError:
            scribe.seq -= 1
    keep(store, visit, *fold.entries)
    (listed,) = (v for v in store.visits() if v.id == visit.id)
    done = [key for key in CHECKS if fold.standing(key) is not Standing.TO_DO]
    assert (listed.done, listed.steps) == (len(done), len(CHECKS))
    assert listed.current_check == fold.current.key
    assert (listed.closed_at is not None) is fold.closed


def test_the_last_machine_seen_comes_first(store: SqlStore) -> None:
    """Machines are listed by their last visit, those without one at the end."""
    never, early, late = machine("A1"), machine("B2"), machine("C3")
    settled(store, store.submit_machine(never))
    keep(store, header("0001", of=late, day=5))
    keep(store, header("0002", of=early, day=1))
    assert store.machines() == (late, early, never)


def test_a_machine_may_change_and_its_visits_do_not(store: SqlStore) -> None:
    """A corrected name is in the machine and the list; the visit keeps what it was opened with."""
    visit = header()
    keep(store, visit)
    renamed: Machine = replace(visit.machine, customer="Ada Holm")
    (said,) = settled(store, store.submit_machine(renamed))
    assert isinstance(said, Stored)
    assert store.machines() == (renamed,)
    assert store.visits()[0].machine == renamed
    assert store.visit(visit.id)[0].machine == visit.machine


def test_a_new_visit_leaves_a_known_machine_as_it_is(store: SqlStore) -> None:
    """Opening a visit adds its machine where it is new and does not overwrite a known one."""
    visit = header()
    keep(store, visit)
    keep(store, header("0002", of=replace(visit.machine, customer="misspelt")))
    assert store.machines() == (visit.machine,)


def test_reads_come_from_any_thread_while_readings_are_taken(store: SqlStore) -> None:
    """Every read, from any thread, sees a visit without holes while the writer goes on."""
    visit = header()
    keep(store, visit)
    scribe = Scribe(visit)
    entries = tuple(scribe.taken(9000.0 + i) for i in range(30))
    with ThreadPoolExecutor(max_workers=6) as threads:
        seen = [threads.submit(lambda: store.visit(visit.id)[1]) for _ in range(30)]
        tickets = [store.submit(entry) for entry in entries]
        for read in seen:
            there = read.result()
            assert there == entries[: len(there)]
    settled(store, *tickets)
    assert store.visit(visit.id)[1] == entries


def test_a_spoilt_record_is_said_in_one_line(store: SqlStore) -> None:
    """A record that was tampered with is refused when it is read, and names what is wrong."""
    visit = header()
    keep(store, visit, Scribe(visit).taken())
    engine = store._engines.writer
    assert engine is not None
    with engine.begin() as connection:
        connection.execute(update(schema.entry).values(body='{"kind":"taken"}'))
    with pytest.raises(ShopFileError, match="'Taken' cannot be read") as refused:
        store.visit(visit.id)
    assert "\n" not in str(refused.value)


def test_a_quantity_is_found_across_visits(store: SqlStore) -> None:
    """The figures of taken readings stand in columns: raw, corrected, doubt, band and verdict."""
    tiller = machine()
    for day, ohms in enumerate((9400.0, 9800.0)):
        visit = header(f"000{day + 1}", of=tiller, day=day)
        keep(store, visit, Scribe(visit).taken(ohms))
    t, v = schema.taken.c, schema.visit.c
    with store._engines.reader.connect() as connection:
        rows = connection.execute(
            select(t.reading_value, t.corrected, t.expanded_uncertainty, t.band_low, t.verdict)
            .join(schema.visit, v.id == t.visit_id)
            .where(v.machine_id == tiller.id, t.quantity == "resistance")
            .order_by(v.opened_at)
        ).all()
    expected = [Scribe(header()).taken(ohms) for ohms in (9400.0, 9800.0)]
    assert [tuple(row) for row in rows] == [
        (
            e.reading.value,
            e.judgement.value,
            e.judgement.expanded_uncertainty,
            SECONDARY.low,
            e.judgement.verdict.value,
        )
        for e in expected
    ]
