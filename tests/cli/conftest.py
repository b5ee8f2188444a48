"""A guarded program in a folder of its own, and an invented shop to ask it about."""

from dataclasses import dataclass
from functools import partial
from pathlib import Path

import pytest

from tests.cli.program import Program, run
from tests.end_to_end import demo


@pytest.fixture
def program(tmp_path: Path) -> Program:
    """Return the program, run in this test's folder."""
    return partial(run, tmp_path)


@dataclass(frozen=True, slots=True)
class DemoShop:
    """The demo's shop file and the ids of its visits, oldest first."""

    file: Path
    visits: tuple[str, ...]


@pytest.fixture(scope="session")
def shop(tmp_path_factory: pytest.TempPathFactory) -> DemoShop:
    """Play the demo's visits into a shop file."""
    file = tmp_path_factory.mktemp("demo") / "shop.sqlite"
    return DemoShop(file, tuple(demo.play(file)))
