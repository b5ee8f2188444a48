"""A drawn shop is what the program would have left: read, replayed, exported, compared by table."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import numpy as np
import pytest
from sqlalchemy import create_engine, select

from benchassist.core.entry import Closed, Struck, Taken
from benchassist.core.record import Stored
from benchassist.core.visit import Visit
from benchassist.storage import open_store, schema
from benchassist.storage.codec import decode_entry, from_text
from benchassist.storage.exchange import export_visit
from benchassist.storage.row import entry_row
from benchassist.storage.store import SqlStore
from tests.benchmarks import shop_words
from tests.benchmarks.shop_day import uuid
from tests.benchmarks.shop_draw import DrawnVisit, Shop
from tests.benchmarks.shop_fill import fill_file, fill_server, visits_in_order
from tests.benchmarks.shop_ledger import record
from tests.benchmarks.shop_plan import FULL, SMALL, STILL_OPEN, TENTH, ShopSize, plan
from tests.storage.case import PATIENCE

SEED = 7


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a small shop drawn into a file."""
    path = tmp_path_factory.mktemp("drawn") / "shop.sqlite"
    fill_file(path, SMALL, SEED)
    return path


@pytest.fixture(scope="module")
def visits() -> list[DrawnVisit]:
    """Return the visits of the same shop."""
    return [visit for _number, visit in visits_in_order(Shop(SMALL, SEED))]


def submitted(store: SqlStore, visits: list[DrawnVisit]) -> None:
    """Hand in everything as the program does."""
    for visit in visits:
        tickets = [store.submit_visit(visit.header), store.submit(*visit.entries)]
        assert [store.wait(PATIENCE) for _ in tickets] == [Stored(t) for t in tickets]
        for run in visit.runs:
            record(store, run.header, run.log)


def tables(location: str) -> Iterator[tuple[str, list[tuple[object, ...]]]]:
    """Every table of a shop with its rows in order."""
    engine = create_engine(location)
    with engine.connect() as connection:
        for table in schema.metadata.sorted_tables:
            rows = connection.execute(select(table).order_by(*table.primary_key)).fetchall()
            yield table.name, [tuple(row) for row in rows]
    engine.dispose()


def test_it_is_what_submitting_the_same_visits_leaves(
    drawn: Path, visits: list[DrawnVisit], tmp_path: Path
) -> None:
    """Table by table, every row and every digit, the searched words and the runs too."""
    own = tmp_path / "submitted.sqlite"
    with open_store(own) as store:
        submitted(store, visits)
    ours, theirs = (dict(tables(f"sqlite:///{path}")) for path in (drawn, own))
    assert ours.keys() == theirs.keys()
    for name, rows in theirs.items():
        assert ours[name] == rows, name
    filled = {name for name, rows in ours.items() if rows}
    assert filled >= {
        *("machine", "visit", "entry", "taken", "frozen", "part_mark"),
        *("run", "run_dial", "run_chunk", "run_bins", "search_place", "search_tail"),
    }


@pytest.mark.postgres
def test_on_a_server_it_is_the_same(drawn: Path, postgres_url: str) -> None:
    """Copied at once, every row is there as in the file, and the store reads it."""
    fill_server(postgres_url, drawn)
    ours = dict(tables(f"sqlite:///{drawn}"))
    theirs = dict(tables(postgres_url))
    for name, rows in ours.items():
        # Text in another order of letters: compared as sets.
        assert sorted(map(repr, theirs[name])) == sorted(map(repr, rows)), name
    with open_store(drawn, read_only=True) as file, open_store(postgres_url) as server:
        assert file.visits() == server.visits()
        machine = file.visits()[0].machine.id
        assert file.history(machine) == server.history(machine)


def test_every_visit_replays_and_exports(drawn: Path, visits: list[DrawnVisit]) -> None:
    """The store gives back what was drawn; closed except the last dozen."""
    with open_store(drawn, read_only=True) as store:
        summaries = store.visits()
        assert len(summaries) == SMALL.visits
        assert [s.slip_number for s in summaries if s.closed_at is None] == [
            f"{SMALL.visits - n:04d}" for n in range(STILL_OPEN)
        ]
        for drawn_visit in visits:
            header, entries = store.visit(drawn_visit.header.id)
            assert (header, entries) == (drawn_visit.header, drawn_visit.entries)
            visit = Visit(header, entries)
            document = export_visit(header, entries, store.run_record)
            assert document["visit"]["slip_number"] == header.slip_number
            assert visit.closed == any(isinstance(e, Closed) for e in entries)


def test_a_body_is_written_as_the_program_writes_it(drawn: Path) -> None:
    """Read and written again, every entry's row says the same."""
    with closing(sqlite3.connect(drawn)) as connection:
        rows = connection.execute("SELECT id, visit_id, seq, kind, check_key, body FROM entry")
        for *columns, body in rows:
            again = entry_row(decode_entry(from_text(body)))
            assert [again[name] for name in ("id", "visit_id", "seq", "kind", "check_key")] == (
                columns
            )
            assert again["body"] == body


def test_the_same_seed_draws_the_same_shop(drawn: Path, tmp_path: Path) -> None:
    """Whatever number of processes draws it, and another seed draws another one."""
    again = tmp_path / "again.sqlite"
    fill_file(again, SMALL, SEED)
    assert dict(tables(f"sqlite:///{again}")) == dict(tables(f"sqlite:///{drawn}"))
    other = next(Shop(SMALL, SEED + 1).history(0))
    assert other.header.id != next(Shop(SMALL, SEED).history(0)).header.id


@pytest.mark.parametrize("size", [SMALL, TENTH, FULL], ids=lambda size: size.name)
def test_the_plan_adds_up(size: ShopSize) -> None:
    """So many visits, readings and runs, and a machine's visits days apart, in working hours."""
    drawn = plan(size, SEED)
    assert len(drawn.machine) == size.visits
    assert int(drawn.readings.sum()) == size.readings
    assert sorted(drawn.run[drawn.run >= 0].tolist()) == list(range(size.runs))
    assert (np.diff(drawn.opened_s) >= 0).all()
    histories = drawn.of_machine()
    assert len(histories) == size.machines
    assert all(len(history) for history in histories)
    for history in histories:
        assert (np.diff(drawn.opened_s[history]) > 3 * 86_400).all()
    hours = drawn.opened_s % 86_400 // 3600
    assert hours.min() >= 8
    assert hours.max() < 17


def test_the_spread_is_a_shops() -> None:
    """Most machines came two to six times, one in a hundred more than twenty times."""
    times = np.bincount(plan(FULL, SEED).machine)
    low, middle, many, often = np.percentile(times, (25, 50, 95, 99.5))
    assert (low, middle) == (2, 4)
    assert 8 <= many <= 14
    assert 24 <= often <= 36


def test_the_readings_are_as_many_as_planned(visits: list[DrawnVisit]) -> None:
    """All of them taken at checks of the visit; some redone, struck, worked on between."""
    entries = [entry for visit in visits for entry in visit.entries]
    assert sum(isinstance(e, Taken) for e in entries) == SMALL.readings
    assert any(isinstance(e, Struck) for e in entries)
    assert any(isinstance(e, Taken) and e.supersedes for e in entries)
    assert sum(len(visit.runs) for visit in visits) == SMALL.runs
    verdicts = {e.judgement.verdict for e in entries if isinstance(e, Taken)}
    assert len(verdicts) >= 4


def test_ids_are_random_ones_of_version_4() -> None:
    """As the program's own."""
    from random import Random
    from uuid import UUID

    chance = Random(1)
    ids = [uuid(chance) for _ in range(100)]
    assert len(set(ids)) == 100
    assert {UUID(one).version for one in ids} == {4}
    assert all(str(UUID(one)) == one for one in ids)


def test_a_mistyped_text_is_one_letter_off() -> None:
    """Swapped, lost, doubled or wrong, never in the first letter."""
    from random import Random

    chance, words = Random(3), "dies after twenty minutes"
    off = {shop_words.mistyped(chance, words) for _ in range(200)}
    assert len(off) > 50
    assert all(abs(len(text) - len(words)) <= 1 and text[0] == "d" for text in off)
