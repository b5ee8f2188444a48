"""What goes wrong is said in one line in the window, nothing is lost, and the bench goes on."""

import sqlite3
import stat
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from benchassist.assembly import Place, open_shop
from benchassist.core.visit import Visit
from benchassist.services.bench.view import NumberState
from benchassist.ui.driver import Stage
from benchassist.ui.shell import Shell
from tests.end_to_end.technician import PATIENCE_S, Technician, at_work, bench_only

CARD = {"customer": "Amberley Nursery", "unit": "Tiller"}
COMPLAINT = {"complaint": "quits_hot"}


@pytest.fixture
def place(tmp_path: Path, qapp: QApplication) -> Place:
    """Return a shop of its own, which works the bench only; the application outlives the test."""
    assert qapp is QApplication.instance()
    bench_only(tmp_path / "home")
    return Place(str(tmp_path / "shop.sqlite"), tmp_path / "home")


def begin(technician: Technician) -> None:
    """Open a visit without a meter, up to the first step."""
    technician.new_machine(CARD, "1")
    technician.interview(COMPLAINT)
    technician.press("Return")
    technician.reading("0.2")
    technician.reading("9.98")
    technician.ink()


@contextmanager
def refused(place: Place) -> Iterator[str]:
    """The line on the counter of a window whose shop could not be opened."""

    def load() -> None:
        open_shop(place)

    shell = Shell(load)  # type: ignore[arg-type]  # it never gets as far
    shell.show()
    stage = Stage(shell)
    try:
        assert stage.pump(PATIENCE_S, lambda: bool(shell.counter.message.value))
        assert shell.desks is None
        yield shell.counter.message.value
    finally:
        shell.close()
        shell.deleteLater()
        stage.pump(0.05)


def letter(path: Path) -> None:
    """Put a text there."""
    path.write_text("Dear customer, this is a letter.\n", "utf-8")


def newer(path: Path) -> None:
    """Put a shop of a later program there."""
    open_shop(Place(str(path), path.parent)).close()
    connection = sqlite3.connect(path)
    connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.commit()
    connection.close()


@pytest.mark.parametrize(
    ("spoil", "words"),
    [(letter, "not a shop file"), (Path.mkdir, "is a folder"), (newer, "newer than this program")],
)
def test_a_shop_file_that_is_none(place: Place, spoil: Callable[[Path], None], words: str) -> None:
    """The window stays, and its counter says which file and what would be right."""
    spoil(Path(place.shop))
    with refused(place) as line:
        assert words in line
        assert place.shop in line
        assert "\n" not in line


def test_a_read_only_folder(place: Place, tmp_path: Path) -> None:
    """The same for a place that cannot be written in."""
    folder = tmp_path / "stick"
    folder.mkdir()
    folder.chmod(stat.S_IREAD | stat.S_IXUSR)
    try:
        with refused(Place(str(folder / "shop.sqlite"), place.home)) as line:
            assert str(folder) in line
            assert "read-only" in line
    finally:
        folder.chmod(stat.S_IRWXU)


def test_a_profile_with_faults(place: Place) -> None:
    """It is left out, the counter says where the fault is, and a visit opens as ever."""
    meters = place.home / "profiles" / "meters"
    meters.mkdir(parents=True)
    (meters / "mine.toml").write_text('key = "mine"\nname = 7\n', "utf-8")
    with at_work(place) as technician:
        line = technician.shell.counter.message.value
        assert f"{meters / 'mine.toml'}:" in line
        assert "\n" not in line
        begin(technician)


@pytest.mark.parametrize(
    ("port", "words"),
    [("/dev/no-such-port", "/dev/no-such-port"), ("ftp://192.0.2.7", "socket://")],
)
def test_a_port_that_is_none(place: Place, port: str, words: str) -> None:
    """The meters page says so, and the bench goes on without a meter."""
    with at_work(place) as technician:
        technician.press("F4", "P")
        technician.type(port)
        page = technician.shell.meters
        technician.until("the refusal", lambda: words in page.message.value)
        assert "\n" not in page.message.value
        technician.press("Esc")
        begin(technician)


def test_a_locked_shop_file(place: Place) -> None:
    """A reading stays in pencil while another program holds the file, and turns to ink after."""
    with at_work(place) as technician:
        begin(technician)
        technician.answer("1")
        technician.answer("1")
        technician.ink()
        other = sqlite3.connect(place.shop, isolation_level=None)
        try:
            other.execute("BEGIN IMMEDIATE")
            technician.reading("0.75")
            technician.until("the trouble", lambda: technician.view.banner != "")
            assert "locked" in technician.view.banner
            assert technician.visit.current.key == "plug_gap"
            assert technician.view.number.state is NumberState.WRITING
            technician.press("N")
            technician.type("written while it was locked")
            other.execute("ROLLBACK")
        finally:
            other.close()
        technician.until("ink", lambda: technician.bench.pen.all_in_ink)
        technician.at("plug_resistor")
        technician.ink()
        assert technician.view.banner == ""
        assert technician.visit.next_seq == 1 + len(technician.visit.entries)
        stored = Visit(*technician.shop.store.visit(technician.visit.header.id))
        assert stored.entries == technician.visit.entries
