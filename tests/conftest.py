"""What every test gets: a private home, no network but this machine, no thread left behind."""

import os
import socket
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
os.environ["LANGUAGE"] = "en"

pytest_plugins = ("tests.background", "tests.postgres", "tests.screen")

# No deadline: nothing here asserts a time. CI draws the same examples every time.
settings.register_profile("bench", deadline=None, derandomize="CI" in os.environ, print_blob=True)
settings.load_profile("bench")

LOCAL_HOSTS = ("127.", "::1", "localhost")
JOIN_SECONDS = 5.0


def pytest_addoption(parser: pytest.Parser) -> None:
    """Offer --long, which adds the tests that take minutes each."""
    parser.addoption("--long", action="store_true", help="also run the tests marked long")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Set the tests marked `long` aside unless --long asks for them."""
    if config.getoption("--long"):
        return
    long = [item for item in items if item.get_closest_marker("long")]
    if long:
        items[:] = [item for item in items if not item.get_closest_marker("long")]
        config.hook.pytest_deselected(items=long)


@pytest.fixture(scope="session", autouse=True)
def private_home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Keep settings, data and caches of the person at this machine out of the tests."""
    home = tmp_path_factory.mktemp("home")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("HOME", str(home))
        for name in ("CONFIG", "DATA", "CACHE", "STATE"):
            patch.setenv(f"XDG_{name}_HOME", str(home / name.lower()))
        yield home


@pytest.fixture(scope="session", autouse=True)
def this_machine_only() -> Iterator[None]:
    """Fail a test that opens a connection to any other machine."""
    connect = socket.socket.connect

    def guarded(self: socket.socket, address: tuple[str, int] | str) -> None:
        if isinstance(address, tuple) and not str(address[0]).startswith(LOCAL_HOSTS):
            pytest.fail(f"a test tried to connect to {address[0]}")
        connect(self, address)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(socket.socket, "connect", guarded)
        yield


@pytest.fixture(autouse=True)
def no_thread_left() -> Iterator[None]:
    """Fail a test whose threads outlive it."""
    before = set(threading.enumerate())
    yield
    # A thread of Qt's that once called into Python shows as a dummy and cannot be joined.
    left = [t for t in threading.enumerate() if t not in before and not t.name.startswith("Dummy")]
    for thread in left:
        thread.join(JOIN_SECONDS)
    alive = [thread.name for thread in left if thread.is_alive()]
    assert not alive, f"threads still running after the test: {alive}"
