"""What is measured of a drawn shop is measured of what it should be."""

from pathlib import Path

import pytest

from tests.benchmarks import shop_times
from tests.benchmarks.bench_shop import told
from tests.benchmarks.bench_twenty_years import backup_of, grown, look_through
from tests.benchmarks.shop_fill import fill_file
from tests.benchmarks.shop_plan import SMALL
from tests.benchmarks.shop_times import Desk, measured

# An opened shop can print: without an application it would start one that has no widgets.
pytestmark = pytest.mark.usefixtures("qapp")


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a small drawn shop's file."""
    path = tmp_path_factory.mktemp("times") / "shop.sqlite"
    fill_file(path, SMALL)
    return path


@pytest.fixture(autouse=True)
def few(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ask a few times only."""
    for name, count in {"ANSWERS": 4, "LISTS": 2, "STARTS": 2, "VIEWS": 2}.items():
        monkeypatch.setattr(shop_times, name, count)


def test_every_figure_of_a_shop_is_there(drawn: Path) -> None:
    """All of them from one measurement, of two shops in turns, none of them nothing."""
    first, second = measured([str(drawn), str(drawn)])
    figures = [*told("SQLite", first), *grown("SQLite", first, second)]
    assert len({figure.name for figure in figures}) == len(figures) == 20
    assert all(figure.ours > 0.0 for figure in figures)
    assert all(figure.verdict for figure in figures if figure.aim is not None)


def test_the_statements_sent_plainly_are_those_of_the_answer(drawn: Path) -> None:
    """A machine's file asks what it is, what grew, its visits, their entries, and no more."""
    with Desk(str(drawn)) as desk:
        answer = desk.answer("machine_file", 0)
        answer()
        asked, sent = desk.statements(answer)
        tables = [said.rpartition("FROM ")[2].split()[0] for said, _given in sent]
        assert sorted(tables) == ["entry", "machine", "visit", "visit"]
        assert len(asked) == len(sent)


def test_a_backup_is_timed_with_what_it_tells(
    drawn: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And so is the check at start; nothing is left of either but the shop itself."""
    path = tmp_path / "shop.sqlite"
    path.write_bytes(drawn.read_bytes())
    monkeypatch.setattr("tests.benchmarks.bench_twenty_years.FULL", SMALL)
    assert "against a copy" in backup_of(path).note
    assert look_through(path).ours > 0.0
    assert {p.name.partition("-")[0] for p in tmp_path.iterdir()} == {"shop.sqlite"}
