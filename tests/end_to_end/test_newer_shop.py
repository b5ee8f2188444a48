"""A window that was left open while another bench brought the shop to a newer revision."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from benchassist.assembly import Place
from benchassist.services.bench.view import NumberState
from benchassist.storage.schema import HEAD
from tests.end_to_end.technician import Technician, at_work, bench_only
from tests.end_to_end.test_first_paint import HEAVY, loaded
from tests.storage.old_shop import lay, revision_of

CARD = {"customer": "Amberley Nursery", "unit": "Tiller"}
REBUILT = (
    "ALTER TABLE search_tail RENAME TO search_end",
    "ALTER TABLE visit RENAME COLUMN words TO said",
)
WORDS = ("another bench", "to a newer revision", "close and update this program")


@pytest.fixture
def place(tmp_path: Path, qapp: QApplication) -> Place:
    """Return a shop of its own, which works the bench only; the application outlives the test."""
    assert qapp is QApplication.instance()
    bench_only(tmp_path / "home")
    return Place(str(tmp_path / "shop.sqlite"), tmp_path / "home")


def revised(place: Place, to: str, *statements: str) -> None:
    """Another program brings the shop to a revision."""
    with closing(sqlite3.connect(place.shop, isolation_level=None)) as other:
        for statement in (
            "BEGIN IMMEDIATE",
            f"UPDATE alembic_version SET version_num = '{to}'",  # noqa: S608 - ours
            *statements,
            "COMMIT",
        ):
            other.execute(statement)


def taken(place: Place) -> int:
    """How many readings are on disk."""
    with closing(sqlite3.connect(place.shop)) as file:
        (count,) = file.execute("SELECT count(*) FROM taken").fetchone()
    return int(count)


def begin(technician: Technician) -> None:
    """Open a visit without a meter, up to the step before the plug's gap."""
    technician.new_machine(CARD, "1")
    technician.interview({"complaint": "quits_hot"})
    technician.press("Return")
    technician.reading("0.2")
    technician.reading("9.98")
    technician.answer("1")
    technician.answer("1")
    technician.ink()


def told(line: str) -> bool:
    """Whether a line says what happened and what to do."""
    return all(word in line for word in WORDS) and "\n" not in line


def test_what_is_not_on_disk_is_not_taken_and_a_line_says_why(place: Place) -> None:
    """On the bench the reading stays in pencil; the counter says the same; nothing is half kept."""
    with at_work(place) as technician:
        begin(technician)
        before = taken(place)
        revised(place, "0009", *REBUILT)
        technician.reading("0.75")
        technician.until("the line", lambda: told(technician.view.banner))
        assert "pencil is lost" in technician.view.banner
        assert technician.view.number.state is NumberState.WRITING
        assert technician.visit.current.key == "plug_gap"
        assert not technician.bench.pen.all_in_ink
        assert taken(place) == before
        technician.press("Esc")
        assert technician.page == "counter"
        counter = technician.shell.counter
        technician.until("the line at the counter", lambda: told(counter.message.value))
        technician.type("nursery")
        assert told(counter.message.value)
    assert taken(place) == before


def test_a_counter_that_only_looks_on_says_it_too(place: Place) -> None:
    """Within its next look, though nothing is written and every table is as it was."""
    with at_work(place) as technician:
        assert technician.shell.counter.message.value == ""
        revised(place, "0009")
        counter = technician.shell.counter
        technician.until("the line", lambda: told(counter.message.value))


def test_what_stood_in_pencil_is_written_where_the_shop_comes_back(place: Place) -> None:
    """A backup restored by hand: the bench goes on by itself, nothing is lost."""
    with at_work(place) as technician:
        begin(technician)
        before = taken(place)
        revised(place, "0009")
        technician.reading("0.75")
        technician.until("the line", lambda: told(technician.view.banner))
        revised(place, HEAD)
        technician.ink()
        technician.at("plug_resistor")
        assert technician.view.banner == ""
        assert taken(place) == before + 1


def test_the_first_paint_comes_before_a_migration_is_thought_of(tmp_path: Path) -> None:
    """By the way of the command, on a shop of an earlier revision: nothing heavy before it.

    Then the shop is brought up, and the counter opens.
    """
    home = tmp_path / "home"
    (home / "benchassist").mkdir(parents=True)
    shop = str(home / "benchassist" / "shop.sqlite")
    lay(shop, "0002")
    first = loaded("", home)
    assert "benchassist.ui.front" in first
    assert first & HEAVY == set()
    assert not {name for name in first if "migration" in name}
    assert revision_of(shop) == "0002"
    ready = loaded("--ready", home)
    assert "alembic" in ready
    assert revision_of(shop) == HEAD
    again = loaded("--ready", home)
    assert "alembic" not in again
    assert len(list((home / "benchassist" / "backups").glob(f"*-before-{HEAD}.sqlite"))) == 1
