"""How SQLite answers what the window asks while a person waits: by an index, never row by row."""

from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import event

from benchassist.storage import open_store
from benchassist.storage.shop_file import connect
from benchassist.storage.store import SqlStore
from tests.benchmarks.shop_fill import fill_file
from tests.benchmarks.shop_plan import SMALL

LARGE = ("visit", "entry", "taken", "part_mark", "run_tail", "run_chunk", "run_bins", "later")
"""Tables that grow with the years, and what one is called where it stands twice."""

ASKED: dict[str, Callable[[SqlStore, str, str], object]] = {
    "open visits": lambda store, _visit, _machine: store.visits(open_only=True),
    "visits of a machine": lambda store, _visit, machine: store.visits(machine_id=machine),
    "history": lambda store, _visit, machine: store.history(machine),
    "visit": lambda store, visit, _machine: store.visit(visit),
    "slip": lambda store, _visit, _machine: store.visit("12"),
    "machine": lambda store, _visit, machine: store.machine(machine),
    "entry counts": lambda store, _visit, machine: store.entry_counts(machine),
    "parts fitted": lambda store, _visit, machine: store.parts_fitted(machine),
    "photo log": lambda store, _visit, machine: store.photo_log(machine),
    "closed since": lambda store, _v, _m: store.closed_since(datetime(2024, 1, 1, tzinfo=UTC)),
    "next slip number": lambda store, _visit, _machine: store.next_slip_number(),
    "part marks": lambda store, _visit, _machine: store.part_marks("coil_secondary"),
    "mark count": lambda store, _visit, _machine: store.mark_count("coil_secondary"),
    "tag": lambda store, _visit, _machine: store.machines_of_tag("M-003"),
    "search": lambda store, _visit, _machine: store.find("mower", 5),
    "search of two": lambda store, _visit, _machine: store.find("mower 555", 5),
}


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a small drawn shop's file."""
    path = tmp_path_factory.mktemp("plan") / "shop.sqlite"
    fill_file(path, SMALL)
    return path


def scans(path: Path, ask: Callable[[SqlStore, str, str], object]) -> list[str]:
    """The large tables that SQLite goes through from one end to the other to answer."""
    sent: list[tuple[str, object]] = []
    with open_store(path, read_only=True) as store:
        newest = store.visits()[0]
        event.listen(
            store._engines.reader,
            "before_cursor_execute",
            lambda _c, _cursor, said, given, *_rest: sent.append((said, given)),
        )
        ask(store, newest.id, newest.machine.id)
    questions = [told for told in sent if told[0].lstrip().startswith(("SELECT", "WITH"))]
    assert questions
    with closing(connect(path, read_only=True)) as connection:
        steps = [
            row[3]
            for said, given in questions
            for row in connection.execute(f"EXPLAIN QUERY PLAN {said}", given)
        ]
    return [step for step in steps if step.startswith("SCAN") and step.split()[1] in LARGE]


@pytest.mark.parametrize("asked", ASKED)
def test_it_is_found_by_an_index(drawn: Path, asked: str) -> None:
    """No table that grows with the years is gone through."""
    assert scans(drawn, ASKED[asked]) == []


def test_a_list_of_everything_goes_through_everything(drawn: Path) -> None:
    """So that one knows that this test sees it: all visits are listed by a command alone."""
    assert scans(drawn, lambda store, _visit, _machine: store.visits()) != []
