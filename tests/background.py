"""Child processes that run beside the other tests: a plugin.

A test marked `background(command)` gets its command started when the run begins; it stands last
and asks the fixture `finished` for the outcome. So forty seconds of soak cost no waiting. Where
several workers share the tests, such a test comes first and waits: the others go on meanwhile.
"""

import subprocess
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import IO

import pytest

ROOT = Path(__file__).resolve().parent.parent


@dataclass(frozen=True, slots=True)
class Finished:
    """How a background command ended: its exit code and what it said, both streams together."""

    code: int
    output: str


@dataclass(frozen=True, slots=True)
class Job:
    """A running command and the file that catches what it says."""

    process: subprocess.Popen[str]
    caught: IO[str]


JOB = pytest.StashKey[Job]()


def commanded(items: Iterable[pytest.Item]) -> list[tuple[pytest.Item, list[str]]]:
    """Return the items that carry a background command, with it."""
    marked = ((item, item.get_closest_marker("background")) for item in items)
    return [(item, list(marker.args[0])) for item, marker in marked if marker]


def shares(config: pytest.Config) -> bool:
    """Whether this process is one of several workers, each with some of the tests."""
    return hasattr(config, "workerinput")


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Put the tests that wait for a background command last, for a worker first."""
    waits_first = shares(config)
    items.sort(key=lambda item: (item.get_closest_marker("background") is None) == waits_first)


def pytest_collection_finish(session: pytest.Session) -> None:
    """Start the commands of the tests that are going to run."""
    if session.config.option.collectonly or shares(session.config):
        return
    for item, command in commanded(session.items):
        item.stash[JOB] = started(command)


def started(command: list[str]) -> Job:
    """Start a command, what it says caught in a file."""
    caught = tempfile.TemporaryFile("w+", encoding="utf-8", errors="replace")  # noqa: SIM115 - closed when the session ends
    process = subprocess.Popen(
        command,
        cwd=ROOT,
        stdin=subprocess.DEVNULL,
        stdout=caught,
        stderr=subprocess.STDOUT,
        text=True,
    )
    return Job(process, caught)


@pytest.fixture
def finished(request: pytest.FixtureRequest) -> Finished:
    """Return how the background command of this test ended, waiting for it."""
    item = request.node
    if JOB not in item.stash:
        ((_item, command),) = commanded([item])
        item.stash[JOB] = started(command)
    job = item.stash[JOB]
    code = job.process.wait()
    job.caught.seek(0)
    return Finished(code, job.caught.read())


def pytest_sessionfinish(session: pytest.Session) -> None:
    """End what is still running, after an interrupted run."""
    for item in getattr(session, "items", ()):
        if job := item.stash.get(JOB, None):
            job.process.kill()
            job.process.wait()
            job.caught.close()
