"""What is saved of a damaged shop file is sound, and is what stood there."""

import random
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from benchassist.core.visit import Visit
from benchassist.errors import ShopFileError
from benchassist.storage import open_store
from benchassist.storage.backup import back_up
from benchassist.storage.integrity import fault, look_into
from benchassist.storage.run_record import record_account
from benchassist.storage.salvage import salvage
from benchassist.storage.schema import HEAD
from tests.storage.killing import spoil
from tests.storage.old_shop import OLD, lay
from tests.storage.run_case import log, recorded
from tests.storage.test_backup import fill
from tests.storage.test_process import sound


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Return a closed shop file with forty visits of twenty readings each, and a run."""
    path = tmp_path / "shop.sqlite"
    with open_store(path) as store:
        for number in range(1, 41):
            fill(store, f"{number:04d}", 20)
        recorded(store, log(30_000).readings())
    return path


def test_of_a_sound_file_everything_is_saved(path: Path, tmp_path: Path) -> None:
    """Every visit, entry, taken row and sample."""
    made = salvage(path, tmp_path / "saved.sqlite")
    assert made.visits == 40
    assert "not saved: 0 visits, 0 entries, 0 runs and what stood at 0 places" in made.lost
    assert tables(made.file) == tables(path)


def tables(path: Path) -> dict[str, list[tuple[object, ...]]]:
    """Return every row of a shop file."""
    with closing(sqlite3.connect(path)) as connection:
        names = connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")
        return {
            name: sorted(connection.execute(f"SELECT * FROM {name}"), key=repr)  # noqa: S608 - names of the file's own tables
            for (name,) in names.fetchall()
        }


def test_of_a_damaged_file_what_can_be_read_is_saved(path: Path, tmp_path: Path) -> None:
    """Two pages of entries are gone: their visits end before them, all others are whole."""
    with open_store(path, read_only=True) as store:
        before = {v.id: store.visit(v.id) for v in store.visits()}
    spoil(path)
    spoilt = path.read_bytes()
    assert fault(path, quick=True) is not None
    made = salvage(path, tmp_path / "saved.sqlite")
    assert path.read_bytes() == spoilt
    assert made.visits == 40
    assert sound(str(made.file))
    with open_store(made.file) as saved:
        after = {v.id: saved.visit(v.id) for v in saved.visits()}
        fill(saved, "0041", 1)
    whole = [v for v in before if after[v] == before[v]]
    assert 36 <= len(whole) < 40
    for visit_id, (header, entries) in after.items():
        assert header == before[visit_id][0]
        assert entries == before[visit_id][1][: len(entries)]


def test_what_stands_in_lost_rows_is_told_again_from_the_others(path: Path, tmp_path: Path) -> None:
    """Machines from the headers of their visits, figures of readings from their entries."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("DELETE FROM taken")
        connection.execute("DELETE FROM machine")
    made = salvage(path, tmp_path / "saved.sqlite")
    saved = tables(made.file)
    assert (len(saved["machine"]), len(saved["taken"])) == (40, 800)


def test_a_visit_ends_where_its_entries_no_longer_follow(path: Path, tmp_path: Path) -> None:
    """An entry is missing, one cannot be read, a header is not one."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        ids = [i for (i,) in connection.execute("SELECT id FROM visit ORDER BY slip_number")]
        connection.execute(
            "DELETE FROM taken WHERE entry_id IN (SELECT id FROM entry WHERE seq = 5)"
        )
        connection.execute("DELETE FROM entry WHERE visit_id = ? AND seq = 5", (ids[0],))
        connection.execute("UPDATE entry SET body = 'x' WHERE visit_id = ? AND seq = 10", (ids[1],))
        connection.execute("UPDATE visit SET header = '{}' WHERE id = ?", (ids[2],))
    made = salvage(path, tmp_path / "saved.sqlite")
    assert made.visits == 39
    assert "not saved: 1 visits, 46 entries, 0 runs" in made.lost
    assert sound(str(made.file))
    with open_store(made.file, read_only=True) as saved:
        assert [len(saved.visit(i)[1]) for i in ids[:2]] == [4, 9]


def test_a_lost_procedure_is_taken_from_a_backup(path: Path, tmp_path: Path) -> None:
    """Many visits go by one: a text of the same digest is the same text, wherever it lies."""
    backup = back_up(path, tmp_path / "backup.sqlite").file
    with open_store(path, read_only=True) as store:
        before = {v.id: store.visit(v.id) for v in store.visits()}
    # One digit of one band: nothing that SQLite's own checks would find.
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("UPDATE frozen SET body = replace(body, '13000.0', '19000.0')")
    with (
        open_store(path, read_only=True) as store,
        pytest.raises(ShopFileError, match="damaged") as refused,
    ):
        store.visit("0001")
    assert "\n" not in str(refused.value)
    made = salvage(path, tmp_path / "saved.sqlite", [path, tmp_path / "none.sqlite", backup])
    with open_store(made.file, read_only=True) as saved:
        assert {v.id: saved.visit(v.id) for v in saved.visits()} == before
    alone = salvage(path, tmp_path / "alone.sqlite")
    assert (alone.visits, "not saved: 40 visits" in alone.lost) == (0, True)


@pytest.mark.parametrize("at", OLD)
def test_of_a_damaged_file_of_an_older_revision_too(tmp_path: Path, at: str) -> None:
    """What can be read is saved, and brought up to this program's revision on the way."""
    path = tmp_path / "shop.sqlite"
    old = lay(str(path), at)
    sound_made = salvage(path, tmp_path / "sound.sqlite")
    assert "not saved: 0 visits, 0 entries, 0 runs and what stood at 0 places" in sound_made.lost
    assert look_into(sound_made.file).revision == HEAD
    with open_store(sound_made.file) as saved:
        for visit, entries in old.visits:
            assert saved.visit(visit.id) == (visit, entries)
            assert saved.find(visit.machine.tag, 99).count
        for run in old.runs:
            assert record_account(saved.run_record(run.header.id)) == record_account(run)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("DELETE FROM entry WHERE seq = 2")
        connection.execute("DELETE FROM alembic_version")
        connection.commit()
    spoil(path, b'"kind":"taken"', 1)
    assert fault(path) is not None
    made = salvage(path, tmp_path / "saved.sqlite")
    assert made.visits == len(old.visits)
    assert sound(str(made.file))
    with open_store(made.file) as saved:
        for visit, entries in old.visits:
            header, left = saved.visit(visit.id)
            assert header == visit
            assert left == entries[: len(left)]
            assert len(left) <= 1


def test_marks_and_photos_are_saved_and_a_lease_is_not(tmp_path: Path) -> None:
    """Nobody is at work in what was saved."""
    path = tmp_path / "shop.sqlite"
    lay(str(path), "0003")
    before = tables(path)
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("DELETE FROM part_mark")
    after = tables(salvage(path, tmp_path / "saved.sqlite").file)
    assert after["part_mark"] == before["part_mark"] != []
    assert after["photo"] == before["photo"] != []
    assert [row[-1] for row in after["machine"]] == [row[-1] for row in before["machine"]]
    assert (len(before["lease"]), after["lease"]) == (1, [])


def test_what_is_newer_than_the_program_is_not_touched(path: Path, tmp_path: Path) -> None:
    """It says so in one line."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(ShopFileError, match="newer than this program"):
        salvage(path, tmp_path / "saved.sqlite")
    assert not (tmp_path / "saved.sqlite").exists()


def test_a_run_whose_samples_are_spoilt_is_left_out(path: Path, tmp_path: Path) -> None:
    """And counted; the visits stay."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("UPDATE run_chunk SET body = x'00ff00ff'")
    made = salvage(path, tmp_path / "saved.sqlite")
    assert "1 runs" in made.lost
    assert tables(made.file)["run_bins"] == []
    assert made.visits == 40


@pytest.mark.parametrize(
    "spoilt",
    [
        "visit SET opened_at = '2\x0b25-03-01 09:30:00.000000', steps = 'many', slip_serial = 9999",
        "visit SET closed_at = 'never', words = x'00ff', slip_number = slip_number || '\x0b'",
        "entry SET \"at\" = 'then', kind = x'00', check_key = 7, strikes = 'nothing'",
        "machine SET tag = x'00ff', erased_at = 'once'",
    ],
)
def test_what_stands_beside_a_header_or_a_body_is_told_again(
    path: Path, tmp_path: Path, spoilt: str
) -> None:
    """A byte in a column that no page check sees: header and body are the truth."""
    before = tables(path)
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute(f"UPDATE {spoilt}")
    made = salvage(path, tmp_path / "saved.sqlite")
    assert "not saved: 0 visits, 0 entries" in made.lost
    after = tables(made.file)
    for name in ("visit", "entry", "taken", "machine"):
        assert after[name] == before[name]


@pytest.mark.parametrize("seed", [*range(12), 29, 57])
def test_whatever_is_spoilt_what_is_saved_is_sound(path: Path, tmp_path: Path, seed: int) -> None:
    """Random bytes over random pages: one line, or a shop in which every visit replays."""
    chance, size = random.Random(seed), 4096
    backup = back_up(path, tmp_path / "backup.sqlite").file
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")
    with path.open("r+b") as file:
        pages = path.stat().st_size // size
        for _ in range(chance.randint(1, pages // 8)):
            file.seek(chance.randrange(100, pages * size))
            file.write(chance.randbytes(chance.choice((1, 16, size))))
    try:
        made = salvage(path, tmp_path / "saved.sqlite", [backup])
    except ShopFileError as error:
        said = str(error)
        assert not (tmp_path / "saved.sqlite").exists()
    else:
        said = made.lost
        assert look_into(made.file).visits == made.visits
        with open_store(made.file, read_only=True) as saved:
            replayed = [Visit(*saved.visit(v.id)).header.id for v in saved.visits()]
        assert len(replayed) == made.visits
        # Where the whole table is out of reach, the entries still tell of its visits.
        assert replayed or "not saved: 0 visits" not in said
    assert said.count("\n") == 0


def test_a_file_whose_tables_have_no_names_is_told_in_one_line(path: Path, tmp_path: Path) -> None:
    """SQLite's own words about it are no text then; wherever it is opened, one line says so."""
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")
    data = path.read_bytes()
    spoilt = data.replace(b"run_gaprun_gap", b"\x97un_gap\x97un_gap").replace(
        b"CREATE TABLE run_gap", b"CREATE \x97ABLE run_gap"
    )
    assert spoilt != data
    path.write_bytes(spoilt)
    asked: tuple[Callable[[], object], ...] = (
        lambda: open_store(path),
        lambda: look_into(path),
        lambda: back_up(path, tmp_path / "backup.sqlite"),
        lambda: salvage(path, tmp_path / "saved.sqlite"),
    )
    for ask in asked:
        with pytest.raises(ShopFileError, match="damaged or cannot be read") as refused:
            ask()
        assert "\n" not in str(refused.value)
    assert fault(path) is not None
