"""A SCPI instrument that is not ours: a third-party simulator in a process of its own."""

import json
import os
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from benchassist.core.link import LinkRequest
from benchassist.core.quantity import Quantity
from benchassist.core.reading import LinkState
from benchassist.meters.room import Room
from tests.meters.stage import PATIENCE_S, changes, drained, readings, states

HERE = Path(__file__).parent
S = LinkState
READ = [["+3.86000000E+03", 0.02]]
OVER = [["+9.90000000E+37", 0.02], ["9.91E37", 0.02], ["OVLOAD", 0.02]]


def free_port() -> int:
    """A TCP port nobody listens on now."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        number: int = server.getsockname()[1]
        return number


@contextmanager
def instrument(folder: Path, script: list[list[object]]) -> Iterator[dict[str, str]]:
    """Run the simulator with a meter on TCP and on a pty; yields both addresses."""
    number, link = free_port(), folder / "dmm"
    devices = [
        {
            "class": "Dmm",
            "package": "dmm",
            "name": "dmm",
            "script": script,
            "transports": [
                {"type": "tcp", "url": ["127.0.0.1", number]},
                {"type": "serial", "url": str(link)},
            ],
        }
    ]
    configuration = folder / "devices.json"
    configuration.write_text(json.dumps({"devices": devices}))
    process = subprocess.Popen(
        [sys.executable, "-m", "sinstruments", "-c", str(configuration)],
        env={**os.environ, "PYTHONPATH": str(HERE)},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    )
    try:
        wait_until_served(process, number, link)
        yield {"tcp": f"socket://127.0.0.1:{number}", "pty": str(link)}
    finally:
        process.kill()
        process.communicate()


def wait_until_served(process: subprocess.Popen[bytes], number: int, link: Path) -> None:
    """Wait until both of its ports are there."""
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        assert process.poll() is None, process.communicate()[1].decode()
        try:
            socket.create_connection(("127.0.0.1", number), timeout=1.0).close()
        except OSError:
            threading.Event().wait(0.05)
        else:
            if link.exists():
                return
    raise AssertionError("the simulator did not start")


@pytest.mark.parametrize("way", ["tcp", "pty"])
def test_it_is_read(tmp_path: Path, way: str) -> None:
    """Identified, its error queue emptied, its resistance read with range and resolution."""
    with instrument(tmp_path, READ) as at:
        link = Room().open(LinkRequest(port=at[way], protocol="scpi"))
        items = drained(link, lambda seen: len(readings(seen)) >= 5)
        link.close()
    found = readings(items)[0]
    assert (found.value, found.quantity) == (3860.0, Quantity.RESISTANCE)
    assert (found.full_scale, found.resolution) == (10_000.0, 0.003)
    live = next(item for item in changes(items) if item.state is S.LIVE)
    assert live.identity == "GENERIC,DMM,1,1"


def test_its_over_range_is_no_number(tmp_path: Path) -> None:
    """Three ways of saying it."""
    with instrument(tmp_path, OVER) as at:
        link = Room().open(LinkRequest(port=at["tcp"], protocol="scpi"))
        items = drained(link, lambda seen: len(readings(seen)) >= 4)
        link.close()
    assert all(reading.overload for reading in readings(items))


def test_its_slow_answer_does_not_slip(tmp_path: Path) -> None:
    """One answer takes longer than its patience: it is left behind, the next ones are theirs."""
    script: list[list[object]] = [[f"{n}.0", 2.6 if n == 3 else 0.02] for n in range(1, 12)]
    with instrument(tmp_path, script) as at:
        link = Room().open(LinkRequest(port=at["tcp"], protocol="scpi"))
        items = drained(link, lambda seen: len(readings(seen)) >= 6)
        link.close()
    assert [r.value for r in readings(items)][:6] == [1.0, 2.0, 4.0, 5.0, 6.0, 7.0]
    assert S.RESYNC in states(items)


def test_it_goes_away(tmp_path: Path) -> None:
    """Its process ends in the middle: lost, and nothing is left of the link."""
    with instrument(tmp_path, READ) as at:
        link = Room().open(LinkRequest(port=at["tcp"], protocol="scpi"))
        drained(link, lambda seen: len(readings(seen)) >= 2)
    drained(link, lambda seen: S.LOST in states(seen))
    link.close()
    assert states(link.drain())[-1:] == [S.CLOSED]
