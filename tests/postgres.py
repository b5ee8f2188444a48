"""A private PostgreSQL for the run: a plugin.

`postgres_server` is one server for the whole run, on a socket in a folder of its own, with no
network port and no syncing. `postgres_url` is a fresh database on it for one test.
"""

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import count
from pathlib import Path

import psycopg
import pytest

DEBIAN_HOME = Path("/usr/lib/postgresql")
ACCOUNT = "postgres"
NUMBERS = count(1)


@dataclass(frozen=True, slots=True)
class PostgresServer:
    """A running server: the folder of its socket."""

    folder: Path

    def url(self, database: str = "postgres") -> str:
        """Return the address of a database as SQLAlchemy takes it."""
        return f"postgresql+psycopg://bench@/{database}?host={self.folder}"

    def execute(self, statement: str) -> None:
        """Run one statement outside a transaction, in the server's own database."""
        with psycopg.connect(
            dbname="postgres", user="bench", host=str(self.folder), autocommit=True
        ) as connection:
            connection.execute(statement.encode())


def programs() -> Path | None:
    """Return the folder that holds initdb and pg_ctl, the newest of Debian's first."""
    by_version = sorted(
        DEBIAN_HOME.glob("*/bin/initdb"), key=lambda found: float(found.parts[-3]), reverse=True
    )
    if by_version:
        return by_version[0].parent
    found = shutil.which("initdb")
    return Path(found).resolve().parent if found else None


def unprivileged() -> list[str]:
    """Return what goes before a command so that it does not run as root, which initdb refuses."""
    if os.name == "nt" or os.geteuid() != 0:
        return []
    return ["setpriv", f"--reuid={ACCOUNT}", f"--regid={ACCOUNT}", "--init-groups"]


def command(*arguments: str) -> None:
    """Run a server program; raise CalledProcessError with what it said in the report."""
    done = subprocess.run(
        [*unprivileged(), *arguments],
        cwd="/",
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    if done.returncode:
        pytest.fail(f"{' '.join(arguments)} ended with {done.returncode}:\n{done.stdout}")


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark the tests that use the server, so that -m 'not postgres' leaves them out."""
    for item in items:
        if "postgres_server" in getattr(item, "fixturenames", ()):
            item.add_marker("postgres")


@contextmanager
def serving() -> Iterator[PostgresServer]:
    """Start a server and stop it after. Raises LookupError without PostgreSQL."""
    found = programs()
    if found is None:
        raise LookupError("PostgreSQL is not installed; bootstrap.py test installs it as root")
    # Not pytest's own folder: a socket's path must stay under 108 bytes and its parents open.
    folder = Path(tempfile.mkdtemp(prefix="bench-postgres-"))
    if unprivileged():
        import pwd  # not on Windows

        account = pwd.getpwnam(ACCOUNT)
        os.chown(folder, account.pw_uid, account.pw_gid)
    data = str(folder / "data")
    try:
        command(
            *(str(found / "initdb"), "-D", data, "-A", "trust", "-U", "bench"),
            *("--no-sync", "-E", "UTF8", "--locale=C.UTF-8"),
        )
        settings = (
            f"-c listen_addresses='' -c unix_socket_directories='{folder}' -c fsync=off "
            "-c synchronous_commit=off -c full_page_writes=off"
        )
        control = (str(found / "pg_ctl"), "-D", data, "-w")
        command(*control, "-l", str(folder / "log"), "-o", settings, "start")
        try:
            yield PostgresServer(folder)
        finally:
            command(*control, "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder)


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[PostgresServer]:
    """Start a server for the run and stop it after; skip without PostgreSQL, in CI fail."""
    if programs() is None and not os.environ.get("CI"):
        pytest.skip("PostgreSQL is not installed; bootstrap.py test installs it as root")
    with serving() as server:
        yield server


@pytest.fixture
def postgres_url(postgres_server: PostgresServer) -> Iterator[str]:
    """Return the address of an empty database that is dropped after the test."""
    database = f"shop_{next(NUMBERS)}"
    postgres_server.execute(f"CREATE DATABASE {database}")
    yield postgres_server.url(database)
    postgres_server.execute(f"DROP DATABASE {database} WITH (FORCE)")
