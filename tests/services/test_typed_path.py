"""A path that is typed: refused in one line where no file can have it."""

from collections.abc import Callable
from pathlib import Path

import pytest

from benchassist.cli import main
from benchassist.errors import InputError
from benchassist.services.logs.page import LogPage
from benchassist.services.record.records_form import path_of as records_path
from benchassist.services.typed_line import path_of
from benchassist.storage.place import ShopFile, place_of
from benchassist.storage.visit_files import files_of
from benchassist.ui.pdf_file import pdf_path
from benchassist.units import UnitChoice

LONG = "W" * 3000


@pytest.mark.parametrize(
    "way",
    [
        lambda text: path_of(text, "type a path"),
        lambda text: LogPage(UnitChoice()).open({"path": text}),
        records_path,
        pdf_path,
        lambda text: files_of([Path(text)]),
    ],
    ids=["typed", "log", "records", "pdf", "import"],
)
def test_a_name_that_is_too_long_is_one_short_line(way: Callable[[str], object]) -> None:
    """It is said before anything is looked for, and not repeated whole."""
    with pytest.raises(InputError, match="no file can have such a name") as error:
        way(LONG)
    assert len(str(error.value)) < 140


def test_the_folder_of_nobody_is_a_name() -> None:
    """~ with a name that is none of this computer is taken as it is written."""
    assert path_of("~nobody_x/a.csv", "") == Path("~nobody_x/a.csv")
    assert path_of("~/a.csv", "") == Path.home() / "a.csv"
    assert place_of("~nobody_x/shop.sqlite") == ShopFile(Path("~nobody_x/shop.sqlite"))


@pytest.mark.parametrize(
    "arguments",
    [
        ("visits", "import", LONG),
        ("visits", "list", "--shop", LONG),
        ("analyse", "heat", LONG),
        ("specs", "check", LONG),
    ],
    ids=lambda arguments: " ".join(arguments[:2]),
)
def test_a_command_says_it_in_a_line(
    arguments: tuple[str, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 2, one line."""
    assert main([*arguments, "--home", str(tmp_path)]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1
    assert "no file can have" in told.err
