"""A whole shop from a file to a server and back: every row as it was, or no shop at all."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from math import nextafter
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import (
    Boolean,
    Column,
    Connection,
    Double,
    Integer,
    LargeBinary,
    PrimaryKeyConstraint,
    SmallInteger,
    UniqueConstraint,
    create_engine,
    insert,
    inspect,
    text,
)

from benchassist.errors import BenchError, InputError, ShopFileError, StoreError
from benchassist.storage import move as moving
from benchassist.storage import open_store, schema
from benchassist.storage.engine import writing_engine
from benchassist.storage.exchange import export_visits
from benchassist.storage.move import ROWS, move
from benchassist.storage.place import place_of
from benchassist.storage.schema import UtcDateTime
from benchassist.storage.seal import Seal
from benchassist.storage.shop_file import examine
from benchassist.storage.store import SqlStore
from benchassist.storage.whole_file import BESIDE
from tests.storage import strategy
from tests.storage.case import Scribe, header, machine, settled
from tests.storage.killing import killed
from tests.storage.run_case import log, recorded
from tests.storage.test_exchange import whole_visit
from tests.storage.test_process import sound

LATEST_S = 2.0
"""A kill comes within so long of a move's beginning at most; sooner where moves take less."""

TABLES = tuple(schema.metadata.sorted_tables)
SCALARS: dict[type, st.SearchStrategy[Any]] = {
    Boolean: st.booleans(),
    Double: strategy.floats,
    SmallInteger: st.integers(-(2**15), 2**15 - 1),
    Integer: st.integers(-(2**31), 2**31 - 1),
    LargeBinary: st.binary(max_size=50),
    UtcDateTime: strategy.times,
}


@pytest.fixture
def other(location: str, tmp_path: Path, request: pytest.FixtureRequest) -> str:
    """Return a new place of the other kind."""
    if "://" in location:
        return str(tmp_path / "Other's shop #2.db")
    url: str = request.getfixturevalue("postgres_url")
    return url


def fill(store: SqlStore, visits: int = 3) -> None:
    """Keep visits with readings, a run with its samples, a machine that was never here."""
    for number in range(2, 2 + visits):
        visit = header(f"{number:04d}", of=machine(f"K{number}"))
        scribe = Scribe(visit)
        entries = [scribe.taken() for _ in range(20)]
        settled(store, store.submit_visit(visit), store.submit(*entries))
    recorded(store, log(5000).readings())
    settled(store, store.submit_machine(machine("K99", customer="Ægir\u202e Ωmega")))


@contextmanager
def connected(location: str) -> Iterator[Connection]:
    """A connection to a shop's tables, in a transaction."""
    engine = writing_engine(place_of(location))
    try:
        with engine.begin() as connection:
            yield connection
    finally:
        engine.dispose()


def rows_of(location: str) -> dict[str, dict[tuple[Any, ...], dict[str, Any]]]:
    """Return all a shop holds: by table, by key."""
    with connected(location) as connection:
        return {
            table.name: {
                tuple(row[key.name] for key in table.primary_key): dict(row)
                for row in connection.execute(table.select()).mappings()
            }
            for table in TABLES
        }


def exported(location: str) -> dict[str, Any]:
    """Return the export of every visit, with the samples of its runs."""
    with open_store(location, read_only=True) as store:
        ids = sorted(v.id for v in store.visits())
        return export_visits([store.visit(i) for i in ids], store.run_record)


def clear(location: str) -> None:
    """Leave a place as new."""
    if "://" not in location:
        for beside in BESIDE:
            Path(f"{location}{beside}").unlink(missing_ok=True)
        return
    with connected(location) as connection:
        schema.metadata.drop_all(connection)
        connection.execute(text("DROP TABLE IF EXISTS alembic_version"))


def holds_a_shop(location: str) -> bool:
    """Whether a program would open a shop there, instead of making one."""
    if "://" not in location:
        path = Path(location)
        return path.exists() and examine(path, read_only=True) is not None
    with connected(location) as connection:
        return bool(set(inspect(connection).get_table_names()) & schema.metadata.tables.keys())


# --- there and back -----------------------------------------------------------------------------


def test_there_and_back_is_the_same_shop(location: str, other: str) -> None:
    """Every table row by row, and every export; a program goes on in the new place at once."""
    with open_store(location) as store:
        fill(store)
        whole, entries = whole_visit()
        settled(store, store.submit_visit(whole), store.submit(*entries))
    before, told = rows_of(location), exported(location)
    there = move(location, other)
    assert rows_of(location) == rows_of(other) == before
    clear(location)
    back = move(other, location)
    assert rows_of(location) == before
    assert exported(location) == exported(other) == told
    assert there.tables == back.tables
    assert there.rows == sum(map(len, before.values()))
    assert there.visits == len(before["visit"]) == 4
    assert (there.source, there.target) == (place_of(location).name, place_of(other).name)
    with open_store(other) as store:
        fresh = header(store.next_slip_number())
        settled(store, store.submit_visit(fresh), store.submit(Scribe(fresh).taken()))
        assert len(store.visit(fresh.id)[1]) == 1
    assert sound(location)
    assert sound(other)


def drawn_column(column: Column[Any], parents: dict[str, list[dict[str, Any]]]) -> Any:  # noqa: ANN401
    """Return values a column may hold."""
    if column.foreign_keys:
        (key,) = column.foreign_keys
        ids = [row[key.column.name] for row in parents[key.column.table.name]]
        return st.sampled_from(ids or [None])
    longest = getattr(column.type, "length", None) or 20
    words = st.text(st.characters(exclude_characters="\x00", codec="utf-8"), max_size=longest)
    drawn = next((s for kind, s in SCALARS.items() if isinstance(column.type, kind)), words)
    return st.none() | drawn if column.nullable else drawn


@st.composite
def shops(draw: st.DrawFn) -> dict[str, list[dict[str, Any]]]:
    """Rows for every table, of whatever its columns may hold, each belonging where it should."""
    shop = dict[str, list[dict[str, Any]]]()
    for table in TABLES:
        row = st.fixed_dictionaries({c.name: drawn_column(c, shop) for c in table.c})
        rows = draw(st.lists(row, max_size=3))
        # What must be told apart, by each rule of the table, and what must belong somewhere.
        for rule in (table.primary_key, *table.constraints):
            if isinstance(rule, PrimaryKeyConstraint | UniqueConstraint):
                rows = list({tuple(r[c.name] for c in rule.columns): r for r in rows}.values())
        needs = [c.name for c in table.c if c.foreign_keys and not c.nullable]
        shop[table.name] = [r for r in rows if all(r[name] is not None for name in needs)]
    return shop


@given(shop=shops())
@settings(max_examples=25, suppress_health_check=list(HealthCheck))
def test_whatever_a_shop_holds_comes_there_and_back(
    location: str, other: str, shop: dict[str, list[dict[str, Any]]]
) -> None:
    """Times, floats to the last bit, bytes and texts: in every column of every table."""
    clear(location)
    clear(other)
    open_store(location).close()
    with connected(location) as connection:
        for table in TABLES:
            if shop[table.name]:
                connection.execute(insert(table), shop[table.name])
    before = rows_of(location)
    assert {name: len(rows) for name, rows in shop.items()} == {
        name: len(rows) for name, rows in before.items()
    }
    there = move(location, other)
    assert rows_of(other) == before
    clear(location)
    assert move(other, location).tables == there.tables
    assert rows_of(location) == before


def test_a_digest_tells_every_change() -> None:
    """One bit of a float, a microsecond, a letter, a byte, a row twice: each is another digest.

    The order of the rows is none.
    """
    moment = datetime(2025, 3, 1, 9, 30, 0, 1, tzinfo=UTC)
    row = (1, 0.1, "ab", b"ab", moment, None, True)
    others: list[tuple[Any, ...]] = [
        (1, nextafter(0.1, 1.0), "ab", b"ab", moment, None, True),
        (1, 0.1, "ab", b"ab", moment + timedelta(microseconds=1), None, True),
        (1, 0.1, "aB", b"ab", moment, None, True),
        (1, 0.1, "ab", b"aB", moment, None, True),
        (1, 0.1, b"ab", "ab", moment, None, True),
        (1, 0.1, "a", b"bab", moment, None, True),
        (1, 0.1, "ab", b"ab", moment, "", True),
        (1, 0.1, "ab", b"ab", moment, None, False),
        (1.0, 0.1, "ab", b"ab", moment, None, True),
    ]
    sealed = [sealed_of(rows) for rows in ([row], [row, row], [], *([o] for o in others))]
    assert len(set(sealed)) == len(sealed)
    assert sealed_of([row, *others]) == sealed_of([*others[::-1], row])


def sealed_of(rows: list[tuple[Any, ...]]) -> str:
    """Return the digest of rows."""
    seal = Seal()
    seal.add(rows)
    return seal.digest


def test_what_arrived_otherwise_is_not_kept(
    location: str, other: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A row that is another after it was written: nothing is moved."""
    with open_store(location) as store:
        fill(store)
    real = moving.Seal.add
    seals = list[Seal]()

    def one_bit(self: Seal, rows: list[tuple[Any, ...]]) -> None:
        if self not in seals:
            seals.append(self)
        if len(seals) > len(TABLES) and rows:
            rows = [*rows[1:], (*rows[0][:-1], "other")]
        real(self, rows)

    monkeypatch.setattr(moving.Seal, "add", one_bit)
    with pytest.raises(ShopFileError, match="did not arrive as it was: nothing is moved"):
        move(location, other)
    assert not holds_a_shop(other)


def test_rows_in_portions_and_a_bar(location: str, other: str) -> None:
    """Progress rises to the whole by portions; a row counts when written and when read back."""
    with open_store(location) as store:
        fill(store, 120)
    steps = list[tuple[int, int]]()
    moved = move(location, other, lambda done, whole: steps.append((done, whole)))
    assert {whole for _done, whole in steps} == {2 * moved.rows}
    assert [done for done, _whole in steps] == sorted({done for done, _whole in steps})
    assert steps[-1][0] == steps[-1][1]
    assert max(b - a for (a, _w), (b, _v) in pairwise(steps)) == ROWS


# --- where to, and what is refused ---------------------------------------------------------------


def test_the_source_is_not_touched(tmp_path: Path) -> None:
    """Not a byte of a shop file that nobody has open, nor one beside it."""
    source = tmp_path / "old" / "shop.sqlite"
    source.parent.mkdir()
    with open_store(source) as store:
        fill(store)
    before = {p.name: p.read_bytes() for p in source.parent.iterdir()}
    move(str(source), str(tmp_path / "new.sqlite"))
    after = {p.name: p.read_bytes() for p in source.parent.iterdir()}
    assert {n: b for n, b in after.items() if not n.endswith(("-wal", "-shm"))} == before
    assert all(after.get(f"{source.name}{b}", b"") == b"" for b in ("-wal", "-journal"))
    assert [p.name for p in tmp_path.iterdir() if "new" in p.name] == ["new.sqlite"]


def test_an_empty_shop_takes_one_in(location: str, other: str) -> None:
    """One that was opened, and nothing written to yet; also a file of no bytes."""
    with open_store(location) as store:
        fill(store)
    open_store(other).close()
    move(location, other)
    assert rows_of(other) == rows_of(location)
    if "://" not in other:
        clear(other)
        Path(other).touch()
        move(location, other)
        assert rows_of(other) == rows_of(location)


def test_a_place_with_a_shop_is_refused(location: str, other: str) -> None:
    """With one machine in it even; it stays as it was."""
    with open_store(location) as store:
        fill(store)
    with open_store(other) as store:
        settled(store, store.submit_machine(machine("Z9")))
    before = rows_of(other)
    for target, word in ((other, "holds a shop already"), (location, "is the shop itself")):
        with pytest.raises(InputError, match=word) as error:
            move(location, target)
        assert "\n" not in str(error.value)
    assert rows_of(other) == before


def test_what_is_no_place_is_refused(store: SqlStore, location: str, tmp_path: Path) -> None:
    """A letter, a folder, a folder that is not there, another scheme, a server that is not."""
    assert store.name
    letter = tmp_path / "letter.txt"
    letter.write_text("dear", "utf-8")
    for target in (
        str(letter),
        str(tmp_path),
        str(tmp_path / "none" / "shop.sqlite"),
        "mysql://bench@here/shop",
        f"postgresql://bench@/shop?host={tmp_path}",
    ):
        with pytest.raises(BenchError) as error:
            move(location, target)
        assert "\n" not in str(error.value)
    assert letter.read_text("utf-8") == "dear"


def test_tables_of_another_program_are_refused(location: str, postgres_url: str) -> None:
    """They stay."""
    if location == postgres_url:
        pytest.skip("the one database is the source here")
    open_store(location).close()
    server = create_engine(postgres_url)
    with server.begin() as connection:
        connection.execute(text("CREATE TABLE machine (name TEXT)"))
    server.dispose()
    with pytest.raises(ShopFileError, match="a table 'machine' of another program"):
        move(location, postgres_url)


@pytest.mark.parametrize(
    ("revision", "word"), [("0002", "open it in the program once"), ("9999", "newer than this")]
)
def test_a_source_of_another_revision_is_refused(
    location: str, other: str, revision: str, word: str
) -> None:
    """Older: it is to be opened once; newer: the program is to be updated. Nothing is made."""
    with open_store(location) as store:
        fill(store, 1)
    with connected(location) as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = :r"), {"r": revision})
    with pytest.raises(ShopFileError, match=word):
        move(location, other)
    assert not holds_a_shop(other)


def test_a_source_that_is_not_there_is_refused(tmp_path: Path) -> None:
    """No empty shop is made of a name mistyped."""
    with pytest.raises(InputError, match="no shop file"):
        move(str(tmp_path / "shpo.sqlite"), str(tmp_path / "new.sqlite"))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("what", ["reading", "name"])
def test_a_source_that_is_written_to_meanwhile_is_refused(
    location: str, other: str, what: str
) -> None:
    """What came during the move would be lost to the new place."""
    with open_store(location) as store:
        visit = header("0001", of=machine("K1"))
        scribe = Scribe(visit)
        settled(store, store.submit_visit(visit), store.submit(scribe.taken()))
        begun = list[int]()

        def goes_on(done: int, _whole: int) -> None:
            if not begun:
                begun.append(done)
                settled(
                    store,
                    store.submit(scribe.taken())
                    if what == "reading"
                    else store.submit_machine(replace(visit.machine, phone="555 01")),
                )

        with pytest.raises(StoreError, match="was written to while it was moved: close it"):
            move(location, other, goes_on)
        assert not holds_a_shop(other)
        move(location, other)
        assert rows_of(other) == rows_of(location)


def test_a_move_can_be_ended(location: str, other: str) -> None:
    """What its progress raises ends it; nothing is left of it, and it can be begun anew."""
    with open_store(location) as store:
        fill(store)

    def end(done: int, whole: int) -> None:
        if done > whole * 0.7:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        move(location, other, end)
    assert not holds_a_shop(other)
    if "://" not in other:
        assert not list(Path(other).parent.glob(f"{Path(other).name}*"))
    move(location, other)
    assert rows_of(other) == rows_of(location)


def test_what_an_ended_program_left_is_cleared_away(tmp_path: Path) -> None:
    """Once it has not been written to for an hour; what another move is at stays."""
    source, target = tmp_path / "shop.sqlite", tmp_path / "new.sqlite"
    open_store(source).close()
    old, young = (tmp_path / f"new.sqlite.{n}-{n}.new" for n in (1, 2))
    for left in (old, young):
        left.write_bytes(b"half")
    os.utime(old, (0, 0))
    move(str(source), str(target))
    assert (old.exists(), young.exists(), target.exists()) == (False, True, True)


# --- killed --------------------------------------------------------------------------------------


def killed_in_mid_move(location: str, other: str, rounds: int, seed: int) -> set[str]:
    """Kill a program that moves a shop; return what was found at the new place."""
    with open_store(location) as store:
        fill(store, 40)
    before, found = rows_of(location), set[str]()
    for _kill in killed(rounds, seed, LATEST_S, "move", location, other):
        if holds_a_shop(other):
            assert sound(other)
            assert rows_of(other) == before
            found.add("whole")
        else:
            found.add("none")
        clear(other)
        for left in Path(other).parent.glob("*.new*") if "://" not in other else ():
            left.unlink()
    assert rows_of(location) == before
    return found


def test_a_kill_in_mid_move_leaves_no_half_shop(location: str, other: str) -> None:
    """Killed with -9 fifteen times each way: the whole shop stands there, or none."""
    assert killed_in_mid_move(location, other, 15, seed=21) <= {"none", "whole"}


@pytest.mark.long
@pytest.mark.timeout(1800)
def test_three_hundred_kills_in_mid_move(location: str, other: str) -> None:
    """The same, three hundred times each way."""
    assert killed_in_mid_move(location, other, 300, seed=22) == {"none", "whole"}
