"""A migration says how far it is, can be ended anywhere, goes on later, and fails as a whole."""

import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass, field
from functools import partial
from itertools import count
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from sqlalchemy import create_engine, text

from benchassist.errors import ShopFileError
from benchassist.storage import migration, revision, shop_file
from benchassist.storage.backup import room_for
from benchassist.storage.integrity import look_into
from benchassist.storage.migration import Migration, due
from benchassist.storage.place import place_of
from benchassist.storage.pulse import counted
from benchassist.storage.revision import MAKING_LOCK
from benchassist.storage.room import NoRoomError
from benchassist.storage.schema import HEAD
from benchassist.storage.shop_file import standing
from benchassist.storage.stage import COMPACT, COPY, FINE, WEIGHTS
from tests.postgres import PostgresServer
from tests.storage.old_shop import OLD, bare_engine, lay, lay_many, revision_of
from tests.storage.proxy import Proxy
from tests.storage.shop_rows import rows
from tests.storage.test_full_disk import no_room
from tests.storage.test_process import sound

NUMBERS = count(1)
COPIES = 6
PATIENCE = 30.0


class StopError(Exception):
    """Whoever is told has had enough."""


@pytest.fixture(autouse=True)
def fine_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    """A small shop is told of as often as a large one."""
    monkeypatch.setattr(revision, "counted", partial(counted, every=2000))


@dataclass(slots=True)
class Telling:
    """Who is told; `at` is asked each time, and may raise."""

    shelf: Path
    at: Callable[[int], None] = lambda _done: None
    after_copy: Callable[[], None] = lambda: None
    told: list[int] = field(default_factory=list)
    copies: list[Path] = field(default_factory=list)

    def progress(self, done: int, whole: int) -> None:
        """How far it is."""
        assert whole == FINE
        self.told.append(done)
        self.at(done)

    def copied(self, copy: Path) -> None:
        """Where the copy is: it is whole."""
        look_into(copy)
        self.copies.append(copy)
        self.after_copy()

    @property
    def kept(self) -> list[Path]:
        """All copies there are."""
        return sorted(self.shelf.glob("*.sqlite"), reverse=True)

    def run(self, found: Migration | None) -> None:
        """Bring a shop up."""
        assert found is not None
        self.shelf.mkdir(exist_ok=True)
        found.run(
            lambda _need: self.shelf / f"{next(NUMBERS):04d}.sqlite",
            self.kept,
            progress=self.progress,
            copied=self.copied,
        )


def due_at(location: str) -> Migration | None:
    """What is to be done to a shop."""
    return due(place_of(location))


def copy_share(revision: str, location: str) -> int:
    """What has been told when the copy is whole."""
    of_file = "://" not in location
    stages = [COPY, *(r for r in WEIGHTS if r > revision and r[0] == "0")]
    weights = sum(WEIGHTS[s] for s in stages) + (WEIGHTS[COMPACT] if of_file else 0)
    return FINE * WEIGHTS[COPY] // weights


@pytest.mark.parametrize("at", OLD)
def test_how_far_it_is_rises_from_nothing_to_all(location: str, at: str, tmp_path: Path) -> None:
    """The copy and the rows of the last revision are told of in between; then nothing is due."""
    lay_many(location, at, COPIES)
    telling = Telling(tmp_path / "shelf")
    telling.run(due_at(location))
    copy = copy_share(at, location)
    assert telling.told == sorted(telling.told)
    assert telling.told[0] == 0
    assert telling.told[-1] == FINE
    assert any(0 < done < copy for done in telling.told)
    assert any(copy < done < FINE for done in telling.told)
    assert telling.copies == telling.kept
    assert look_into(telling.copies[0]).revision == at
    assert revision_of(location) == HEAD
    assert due_at(location) is None


def test_nothing_is_due_to_a_shop_of_this_revision_or_to_none(location: str) -> None:
    """Nor to one that is newer: opening it says so."""
    assert due_at(location) is None
    lay(location, "0002")
    assert due_at(location) == Migration(place_of(location), "0002")
    with bare_engine(location) as engine, engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    assert due_at(location) is None
    with bare_engine(location) as engine, engine.begin() as connection:
        connection.execute(text(f"UPDATE alembic_version SET version_num = '{HEAD}'"))  # noqa: S608 - ours
    assert due_at(location) is None


def test_ended_anywhere_it_is_the_old_shop_or_the_new_and_goes_on(
    location: str, tmp_path: Path
) -> None:
    """At a dozen moments by turns; the next start takes the copy that is there already."""
    lay_many(location, "0002", COPIES)
    before, telling = rows(location), Telling(tmp_path / "shelf")
    for share in range(40, FINE, 80):

        def stop(done: int, limit: int = share) -> None:
            if done >= limit:
                raise StopError

        telling.at = stop
        with pytest.raises(StopError):
            telling.run(due_at(location))
        assert sound(location)
        if revision_of(location) == HEAD:
            assert share > 700
            break
        assert rows(location) == before
        assert len(telling.kept) <= 1
        assert list(telling.shelf.glob("*.new*")) == []
    telling.at = lambda _done: None
    if (left := due_at(location)) is not None:
        telling.run(left)
    assert revision_of(location) == HEAD
    assert len(telling.kept) == 1
    assert look_into(telling.kept[0]).revision == "0002"
    assert due_at(location) is None


def with_large_headers(path: str) -> None:
    """A shop that is mostly empty once its procedures are kept once."""
    lay_many(path, "0002", 20)
    with bare_engine(path) as engine, engine.begin() as connection:
        connection.execute(
            text("UPDATE visit SET header = replace(header, 'Quits hot', :long)"),
            {"long": "Quits hot " * 3000},
        )


def test_a_file_that_was_not_made_compact_to_the_end_is_at_the_next_start(tmp_path: Path) -> None:
    """Without another copy; until then it can be worked on as ever."""
    path, telling = tmp_path / "shop.sqlite", Telling(tmp_path / "shelf")
    with_large_headers(str(path))
    large = path.stat().st_size

    def stop(done: int) -> None:
        if done > FINE - FINE * WEIGHTS[COMPACT] // sum(WEIGHTS.values()) + 20:
            raise StopError

    telling.at = stop
    with pytest.raises(StopError):
        telling.run(due_at(str(path)))
    assert standing(path) == shop_file.Standing(HEAD, loose=True)
    assert path.stat().st_size > large / 2
    telling.at, telling.told = (lambda _done: None), []
    telling.run(due_at(str(path)))
    assert path.stat().st_size < large / 2
    assert telling.told == sorted(telling.told)
    assert telling.told[-1] == FINE
    assert len(telling.kept) == len(telling.copies) == 1
    assert standing(path) == shop_file.Standing(HEAD)
    assert due_at(str(path)) is None
    assert sound(str(path))


def test_what_cannot_be_made_compact_is_not_tried_again_at_every_start(tmp_path: Path) -> None:
    """A disk that has no room for it: the shop is brought up all the same."""
    path, telling = tmp_path / "shop.sqlite", Telling(tmp_path / "shelf")
    with_large_headers(str(path))
    limit = FINE - FINE * WEIGHTS[COMPACT] // sum(WEIGHTS.values())
    with ExitStack() as stack:

        def fill(done: int) -> None:
            if done > limit and not filled:
                filled.append(stack.enter_context(no_room()))  # type: ignore[func-returns-value]

        filled = list[None]()
        telling.at = fill
        telling.run(due_at(str(path)))
        assert filled
    assert revision_of(str(path)) == HEAD
    assert sound(str(path))


# --- the copy that is there already ---------------------------------------------------------------


def stopped_after_the_copy(location: str, telling: Telling) -> None:
    """Bring a shop up, as far as its copy."""

    def stop() -> None:
        raise StopError

    telling.after_copy = stop
    with pytest.raises(StopError):
        telling.run(due_at(location))
    telling.after_copy = lambda: None


def entry_more(location: str) -> None:
    """A program of that revision has gone on with a visit."""
    with bare_engine(location) as engine, engine.begin() as connection:
        connection.execute(
            text(
                "INSERT INTO entry (id, visit_id, seq, at, kind, body) "
                "SELECT 'one more', visit_id, 999, at, kind, body FROM entry LIMIT 1"
            )
        )


def machine_changed(location: str) -> None:
    """Somebody has written a machine's owner anew."""
    with bare_engine(location) as engine, engine.begin() as connection:
        connection.execute(text("UPDATE machine SET customer = 'Hob Lane Mowers'"))


def leased(location: str) -> None:
    """A visit was looked at."""
    if revision_of(location) >= "0003":
        with bare_engine(location) as engine, engine.begin() as connection:
            connection.execute(text("DELETE FROM lease"))


@pytest.mark.parametrize(
    ("change", "copies"),
    [(leased, 1), (entry_more, 2), (machine_changed, 2)],
    ids=["leased", "entry more", "machine changed"],
)
@pytest.mark.parametrize("at", ["0001", "0003"])
def test_a_copy_serves_as_long_as_nothing_was_written_since(
    location: str, at: str, change: Callable[[str], None], copies: int, tmp_path: Path
) -> None:
    """What one start has copied the next does not copy again, unless it holds less by now."""
    lay(location, at)
    telling = Telling(tmp_path / "shelf")
    stopped_after_the_copy(location, telling)
    change(location)
    telling.run(due_at(location))
    assert len(telling.kept) == copies
    assert telling.copies[-1] == telling.kept[0]
    assert revision_of(location) == HEAD


def test_a_copy_that_is_spoilt_or_of_another_revision_does_not_serve(
    location: str, tmp_path: Path
) -> None:
    """A new one is made."""
    lay(location, "0002")
    telling = Telling(tmp_path / "shelf")
    telling.shelf.mkdir()
    (telling.shelf / "0000.sqlite").write_text("Dear customer", "utf-8")
    lay(str(telling.shelf / "0000-b.sqlite"), "0003")
    telling.run(due_at(location))
    assert [copy.name[:4] == "0000" for copy in telling.kept] == [False, True, True]


# --- what goes wrong ------------------------------------------------------------------------------


def refused(location: str, telling: Telling) -> str:
    """The line in which a migration ends."""
    with pytest.raises(ShopFileError) as error:
        telling.run(due_at(location))
    assert "\n" not in str(error.value)
    return str(error.value)


def test_a_disk_that_is_full_leaves_the_shop_as_it_was(tmp_path: Path) -> None:
    """One line says so, and where the copy is; with room again it goes on, without another copy."""
    location, telling = str(tmp_path / "shop.sqlite"), Telling(tmp_path / "shelf")
    lay_many(location, "0002", COPIES)
    before = rows(location)
    with ExitStack() as stack:
        telling.after_copy = lambda: stack.enter_context(no_room())
        line = refused(location, telling)
    assert line.startswith(
        f"the shop could not be brought up to date and is as it was, with a copy in "
        f"{telling.copies[0]}: "
    )
    assert "disk" in line
    assert "damaged" not in line
    assert rows(location) == before
    telling.after_copy = lambda: None
    telling.run(due_at(location))
    assert len(telling.kept) == 1
    assert revision_of(location) == HEAD


def test_a_file_that_another_program_has_locked_is_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One line says so, and where the copy is."""
    monkeypatch.setattr(shop_file, "BUSY_SECONDS", 0.1)
    location, telling = str(tmp_path / "shop.sqlite"), Telling(tmp_path / "shelf")
    lay(location, "0002")
    before = rows(location)
    with closing(sqlite3.connect(location, isolation_level=None)) as other:
        telling.after_copy = lambda: other.execute("BEGIN IMMEDIATE")
        line = refused(location, telling)
        other.execute("ROLLBACK")
    assert f"is as it was, with a copy in {telling.copies[0]}: " in line
    assert "locked by another program" in line
    assert rows(location) == before


def test_without_room_for_a_copy_nothing_is_begun(
    location: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that fills up meanwhile, and one that is known to be too small before."""
    lay_many(location, "0002", COPIES)
    before, telling = rows(location), Telling(tmp_path / "shelf")
    with no_room(64 * 1024):
        line = refused(location, telling)
    assert line.startswith(
        "the shop is not brought up to date and stays as it was, because no copy"
    )
    if "://" in location:
        return
    asked = list[tuple[Path, int]]()

    def lacking(*needs: tuple[Path, int]) -> None:
        asked.extend(needs)
        raise NoRoomError("no room in there")

    monkeypatch.setattr("benchassist.storage.room.require_room", lacking)
    assert refused(location, telling).endswith("no room in there")
    need = room_for(Path(location))
    assert asked == [
        (telling.shelf, need),
        (Path(location).parent, round(need * migration.REWRITTEN)),
    ]
    assert telling.kept == []
    assert rows(location) == before


@pytest.mark.postgres
def test_a_server_that_is_lost_in_the_middle_has_the_old_shop(
    postgres_server: PostgresServer, postgres_url: str, tmp_path: Path
) -> None:
    """One line says so, and where the copy is; once it is back, the next start goes on."""
    lay_many(postgres_url, "0002", COPIES)
    before, telling = rows(postgres_url), Telling(tmp_path / "shelf")
    with Proxy(postgres_server) as proxy, ExitStack() as stack:
        url = proxy.url(urlsplit(postgres_url).path.strip("/"))
        limit = copy_share("0002", url) + 60

        def cut(done: int) -> None:
            if done > limit and not gone:
                gone.append(True)
                stack.enter_context(proxy.cut())

        gone = list[bool]()
        telling.at = cut
        line = refused(url, telling)
    assert line.startswith(
        f"the shop could not be brought up to date, a copy as it was is in {telling.copies[0]}: "
    )
    assert "cannot be reached" in line
    assert rows(postgres_url) == before
    telling.at = lambda _done: None
    telling.run(due_at(postgres_url))
    assert len(telling.kept) == 1
    assert revision_of(postgres_url) == HEAD


@contextmanager
def making(url: str) -> Iterator[Callable[[], None]]:
    """Another bench that is bringing the shop up just now; called, it has ended."""
    engine = create_engine(url)
    with engine.connect() as other:
        other.execute(text(f"SELECT pg_advisory_lock({MAKING_LOCK})"))
        other.commit()
        yield lambda: other.execute(text(f"SELECT pg_advisory_unlock({MAKING_LOCK})"))
    engine.dispose()


@pytest.mark.postgres
def test_who_waits_for_another_bench_is_told_and_can_leave(
    postgres_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It goes on once that bench has ended, stops where it is told to, and waits not for ever."""
    monkeypatch.setattr(revision, "STEP_S", 0.01)
    lay(postgres_url, "0002")
    telling, tries, ends = Telling(tmp_path / "shelf"), list[int](), threading.Event()

    def stop(_done: int) -> None:
        if telling.copies:
            tries.append(1)
            if len(tries) > 5:
                raise StopError

    telling.at = stop
    with making(postgres_url) as end:
        with pytest.raises(StopError):
            telling.run(due_at(postgres_url))
        telling.at = lambda _done: None
        monkeypatch.setattr(revision, "PATIENCE_S", 0.05)
        assert "another bench is still bringing the shop" in refused(postgres_url, telling)
        monkeypatch.setattr(revision, "PATIENCE_S", PATIENCE)
        telling.at, tries = (lambda _done: tries.append(1)), []
        work = threading.Thread(
            target=lambda: (telling.run(due_at(postgres_url)), ends.set()), daemon=True
        )
        work.start()
        while len(tries) < 20:
            assert not ends.wait(0.005)
        end()
        assert ends.wait(PATIENCE)
        work.join()
    assert revision_of(postgres_url) == HEAD
