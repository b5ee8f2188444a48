"""Procedures and causes are kept once, whoever writes them and however often."""

from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from sqlalchemy import delete, func, select, text, update

from benchassist.core.cause import CauseBook
from benchassist.core.record import Stored
from benchassist.core.visit import VisitHeader
from benchassist.errors import ShopFileError
from benchassist.storage import frozen, open_store, schema
from benchassist.storage.engine import writing_engine
from benchassist.storage.frozen import Thaw, freeze, keep
from benchassist.storage.place import place_of
from benchassist.storage.row import visit_rows
from benchassist.storage.store import SqlStore
from tests.storage import strategy
from tests.storage.case import header, settled

CAUSES = CauseBook(complaint="quits_hot", causes=(), evidence=(), note="made up")


WAITS = (
    "SELECT count(*) FROM pg_stat_activity "
    "WHERE datname = current_database() AND wait_event = 'transactionid'"
)
"""How many sessions wait for another one's commit."""


def texts(location: str) -> int:
    """How many texts are kept."""
    engine = writing_engine(place_of(location))
    with engine.connect() as connection:
        count = connection.scalar(select(func.count()).select_from(schema.frozen))
    engine.dispose()
    return int(count or 0)


def test_the_same_text_is_kept_once(store: SqlStore, location: str) -> None:
    """Of visits with one procedure; another wording of it is another text."""
    same = [replace(header(f"{n:04d}"), causes=CAUSES) for n in (1, 2, 3)]
    other = header("0004")
    other = replace(other, procedure=replace(other.procedure, version="2"))
    settled(store, *(store.submit_visit(visit) for visit in (*same, other)))
    assert texts(location) == 3
    for visit in (*same, other):
        assert store.visit(visit.id) == (visit, ())


@pytest.mark.postgres
def test_two_benches_keep_the_same_text_at_once(postgres_url: str) -> None:
    """One has written it and not committed yet: the other waits for it, and keeps its visit."""
    visit = replace(header(), causes=CAUSES)
    with open_store(postgres_url) as store:
        engine = writing_engine(place_of(postgres_url))
        with engine.begin() as other:
            keep(other, visit_rows(visit)[1])
            ticket = store.submit_visit(visit)
            # Outside a transaction: within one the server tells of its sessions as they once were.
            with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as looking:
                while not looking.execute(text(WAITS)).scalar():
                    looking.execute(text("SELECT pg_sleep(0.01)"))
        engine.dispose()
        assert settled(store, ticket) == [Stored(ticket)]
        assert store.visit(visit.id) == (visit, ())
    assert texts(postgres_url) == 2


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=30)
@given(visit=strategy.headers())
def test_whatever_is_frozen_is_thawed(visit: VisitHeader, tmp_path: Path) -> None:
    """Every header is read as it was written, also by who has its parts decoded already."""
    location = str(tmp_path / "shop.sqlite")
    open_store(location).close()
    engine, thaw = writing_engine(place_of(location)), Thaw()
    columns, parts = freeze(visit)
    row = Row(**columns)
    with engine.begin() as connection:
        for _ in range(2):
            keep(connection, parts)
            assert thaw.header(connection, row) == visit
        connection.execute(delete(schema.frozen))
        assert thaw.header(connection, row) == visit
        with pytest.raises(ShopFileError, match="missing"):
            Thaw().header(connection, row)
    engine.dispose()


@dataclass(frozen=True, slots=True)
class Row:
    """What a query gives of a header."""

    header: str
    procedure_digest: str
    causes_digest: str | None


@pytest.mark.parametrize("body", ["{}", "not JSON"])
def test_a_text_that_is_not_what_it_was_is_told(store: SqlStore, location: str, body: str) -> None:
    """A procedure that was changed is never read as another: one line says so."""
    visit = header()
    settled(store, store.submit_visit(visit))
    engine = writing_engine(place_of(location))
    with engine.begin() as connection:
        connection.execute(update(schema.frozen).values(body=body))
    engine.dispose()
    with pytest.raises(ShopFileError, match="missing or damaged") as refused:
        store.visit(visit.id)
    assert "\n" not in str(refused.value)


def test_few_are_held_in_memory(store: SqlStore, monkeypatch: pytest.MonkeyPatch) -> None:
    """The one that was not asked for the longest goes first."""
    monkeypatch.setattr(frozen, "KEPT", 2)
    visits = []
    for number in range(1, 5):
        visit = header(f"{number:04d}")
        visits.append(replace(visit, procedure=replace(visit.procedure, version=str(number))))
    settled(store, *(store.submit_visit(visit) for visit in visits))
    for visit in visits * 2:
        assert store.visit(visit.id) == (visit, ())
    assert len(store._thaw._kept) == 2
