"""A command that needs a shop of this program's revision brings an older one up, and says so."""

import shutil
from pathlib import Path

import pytest

from benchassist.assembly import Place, migration
from benchassist.cli.migration import up_to_date
from benchassist.cli.output import ProgressBar
from benchassist.errors import ShopFileError
from benchassist.storage.integrity import look_into
from benchassist.storage.schema import HEAD
from tests.cli.conftest import DemoShop
from tests.cli.program import Program
from tests.storage.old_shop import lay, revision_of

COPY = "the shop is up to date; the copy is "


@pytest.fixture
def export(program: Program, shop: DemoShop, tmp_path: Path) -> Path:
    """Return a visit of the demo's in a file."""
    out = tmp_path / "visits.json"
    done = program("visits", "export", shop.visits[0], "--out", out, "--shop", shop.file)
    assert done.code == 0, done.err
    return out


def test_an_import_into_an_older_shop_brings_it_up_first(
    program: Program, export: Path, tmp_path: Path
) -> None:
    """How far it is and where the copy is stands on standard error; the answer is JSON alone."""
    file, home = tmp_path / "old.sqlite", tmp_path / "home"
    lay(str(file), "0002")
    done = program("visits", "import", export, "--json", "--shop", file, "--home", home)
    assert done.json == {"imported": 1, "unchanged": 0, "conflicts": []}
    first, *lines = done.err.splitlines()
    assert first == "the shop is brought up to date, after a copy of it as it was"
    percents = [int(line.removesuffix(" %")) for line in lines if line.endswith(" %")]
    assert percents == sorted(set(percents))
    assert percents[-1] == 100
    (copy,) = [Path(line.removeprefix(COPY)) for line in lines if line.startswith(COPY)]
    assert look_into(copy).revision == "0002"
    assert revision_of(str(file)) == HEAD
    again = program("visits", "import", export, "--shop", file, "--home", home)
    assert (again.code, again.err) == (0, "")


def test_erasing_in_an_older_shop_brings_it_up_first(program: Program, tmp_path: Path) -> None:
    """Only where something is erased: a look leaves it as it is, and says what to do."""
    file, home = tmp_path / "old.sqlite", tmp_path / "home"
    lay(str(file), "0002")
    looked = program("privacy", "erase", "P2", "--shop", file, "--home", home)
    looked.refused("older than this program", code=1)
    assert revision_of(str(file)) == "0002"
    erased = program("privacy", "erase", "P2", "--yes", "--shop", file, "--home", home)
    assert erased.code == 0, erased.err
    assert erased.err.startswith("the shop is brought up to date")
    assert revision_of(str(file)) == HEAD


def test_a_migration_that_fails_ends_the_command_in_a_line(
    program: Program, export: Path, tmp_path: Path
) -> None:
    """The shop is of its revision still."""
    file, home = tmp_path / "old.sqlite", tmp_path / "home"
    lay(str(file), "0002")
    home.mkdir()
    (home / "backups").write_text("in the way")
    done = program("visits", "import", export, "--shop", file, "--home", home)
    assert done.code == 1
    assert done.out == ""
    assert "backups" in done.err.splitlines()[-1]
    assert revision_of(str(file)) == "0002"


def test_a_bar_that_stops_gives_its_line_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """On a terminal: what went wrong does not stand behind the bar."""
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    place = Place(str(tmp_path / "old.sqlite"), tmp_path / "home")
    lay(place.shop, "0002")

    def fail(_place: Place, _due: object, progress: ProgressBar, _copied: object) -> None:
        progress(40, 100)
        raise ShopFileError("the disk is full")

    monkeypatch.setattr(migration, "migrate", fail)
    with pytest.raises(ShopFileError):
        up_to_date(place)
    assert capsys.readouterr().err.endswith("]  40 %\n")


def test_a_shop_of_this_revision_is_left_alone(shop: DemoShop, tmp_path: Path) -> None:
    """Nothing is said, nothing copied."""
    file = Path(shutil.copy(shop.file, tmp_path / "own.sqlite"))
    place = Place(str(file), tmp_path / "home")
    before = file.read_bytes()
    assert up_to_date(place) is place
    assert file.read_bytes() == before
    assert not place.home.exists()
