"""Every storage test runs on SQLite and on a real PostgreSQL."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from benchassist.storage import open_store
from benchassist.storage.store import SqlStore

DATABASES = (
    pytest.param("sqlite", id="sqlite"),
    pytest.param("postgresql", id="postgresql", marks=pytest.mark.postgres),
)


@pytest.fixture(params=DATABASES)
def location(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Return where a shop can be made: a path with letters a URL has to quote, or an address."""
    if request.param == "sqlite":
        return str(tmp_path / "Müller's shop #1.db")
    url: str = request.getfixturevalue("postgres_url")
    return url


@pytest.fixture
def store(location: str) -> Iterator[SqlStore]:
    """Return an open shop with nothing in it."""
    with open_store(location) as opened:
        yield opened
