"""A migration that is ended without warning leaves the shop as it was, or brought up: all of it."""

import logging
import shutil
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import cycle
from pathlib import Path

import pytest

from benchassist.assembly import Place
from benchassist.assembly.keeping import shelf_of
from benchassist.storage import open_store
from benchassist.storage.integrity import look_into
from benchassist.storage.schema import HEAD
from benchassist.storage.whole_file import BESIDE
from tests.postgres import PostgresServer
from tests.storage.killing import killed
from tests.storage.old_shop import OLD, lay_many
from tests.storage.shop_rows import Plain, rows
from tests.storage.test_process import sound

log = logging.getLogger(__name__)

COPIES = 10
LATEST_S = 1.0

Rows = dict[str, list[Plain]]


@dataclass(frozen=True, slots=True)
class Model:
    """A shop of an earlier revision: what it holds, and what it holds once it is brought up."""

    location: str
    at: str
    before: Rows
    after: Rows


class Shelf:
    """Shops to be made again and again, as files or as databases of a server."""

    def __init__(self, folder: Path, server: PostgresServer | None) -> None:
        self._folder = folder
        self._server = server
        self._known: list[str] = []

    def place(self, name: str) -> str:
        """Return where a shop of that name is."""
        return (
            str(self._folder / f"{name}.sqlite") if self._server is None else self._server.url(name)
        )

    def make(self, name: str) -> str:
        """Make an empty place, instead of the one there was."""
        self.drop(name)
        if self._server is not None:
            self._server.execute(f"CREATE DATABASE {name}")
            self._known.append(name)
        return self.place(name)

    def copy(self, model: str, name: str) -> str:
        """Make a shop as the model is, instead of the one there was."""
        self.drop(name)
        if self._server is None:
            shutil.copyfile(self.place(model), self.place(name))
        else:
            self._server.execute(f"CREATE DATABASE {name} TEMPLATE {model}")
            self._known.append(name)
        return self.place(name)

    def drop(self, name: str) -> None:
        """Take a shop away, whoever is still at work in it."""
        if self._server is not None:
            self._server.execute(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")
            return
        for beside in BESIDE:
            Path(f"{self.place(name)}{beside}").unlink(missing_ok=True)

    def clear(self) -> None:
        """Leave nothing on the server."""
        for name in dict.fromkeys(self._known):
            self.drop(name)


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def shelf(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Shelf]:
    """Return where shops are made."""
    server = request.getfixturevalue("postgres_server") if request.param == "postgresql" else None
    made = Shelf(tmp_path, server)
    yield made
    made.clear()


def model_of(shelf: Shelf, at: str) -> Model:
    """Make a shop of a revision so large that its migration takes a while."""
    location = shelf.make(f"model_{at}")
    lay_many(location, at, COPIES)
    whole = shelf.copy(f"model_{at}", "whole")
    open_store(whole).close()
    return Model(f"model_{at}", at, rows(location), rows(whole))


def killed_in_mid_migration(
    shelf: Shelf, home: Path, rounds: int, seed: int, revisions: tuple[str, ...]
) -> Counter[str]:
    """Kill a program that opens an older shop; return what it was at how often, and revisions.

    The shop must be the old one or the new one, to the last row, with a whole backup of the old one
    where it is the new one; opened again it is the new one.
    """
    models = cycle([model_of(shelf, at) for at in revisions])
    model, found = next(models), Counter[str]()
    location = shelf.copy(model.location, "shop")
    place = Place(location, home)
    for number, _kill in enumerate(
        killed(rounds, seed, LATEST_S, "migrate", location, str(home)), 1
    ):
        here = rows(location)
        (version,) = here["alembic_version"]
        revision = str(version["version_num"])
        assert revision in (model.at, HEAD)
        assert here == (model.before if revision == model.at else model.after)
        assert sound(location)
        kept = [k.file for k in shelf_of(place).kept()]
        assert len(kept) <= 1
        assert kept or revision == model.at
        for file in kept:
            assert look_into(file).revision == model.at
            assert counted(rows(str(file))) == counted(model.before)
        shutil.rmtree(home, ignore_errors=True)
        found.update((revision, _phase(revision, kept)))
        if number % 5 == 0:
            open_store(location).close()
            assert rows(location) == model.after
            revision = HEAD
        if revision == HEAD:
            model = next(models)
            shelf.copy(model.location, "shop")
    return found


def _phase(revision: str, kept: list[Path]) -> str:
    """What the program was at when it was killed."""
    if revision == HEAD:
        return "done"
    return "migration" if kept else "backup"


def counted(shop: Rows) -> dict[str, int]:
    """How many rows each table has."""
    return {name: len(table) for name, table in shop.items()}


def test_a_kill_in_mid_migration_leaves_the_old_state_or_the_new(
    shelf: Shelf, tmp_path: Path
) -> None:
    """Killed with -9 thirty times, in the backup before it and in the migration itself."""
    found = killed_in_mid_migration(shelf, tmp_path / "home", 30, 41, ("0002",))
    assert found["migration"] >= 3


@pytest.mark.long
@pytest.mark.timeout(3600)
def test_three_hundred_kills_in_mid_migration(shelf: Shelf, tmp_path: Path) -> None:
    """The same, three hundred times, from every revision by turns."""
    found = killed_in_mid_migration(shelf, tmp_path / "home", 300, 42, OLD)
    log.info("%s", found)
    assert found.keys() == {*OLD, HEAD, "backup", "migration", "done"}
