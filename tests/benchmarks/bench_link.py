"""From the last byte of a frame on a pty to the reading in the inbox, against a bare read."""

import contextlib
import os
import pty
import threading
import tty
from collections.abc import Callable, Iterator
from statistics import quantiles
from time import monotonic, perf_counter

from benchassist.core.link import LinkRequest
from benchassist.core.reading import LinkState, Reading
from benchassist.meters.link import MeterLink
from benchassist.meters.port import LineSetting, open_port
from benchassist.meters.roster import family
from tests.benchmarks.figure import Aim, Figure

FRAME = bytes.fromhex("32 30 33 38 36 30 33 30 30 30 32 30 0D 0A")
FRAMES = 2_000
FAMILY = family("nibble-14")
SETTING = LineSetting.read(FAMILY.line)


class Post:
    """Writes a frame and waits until the other side says that it has it."""

    def __init__(self, master: int) -> None:
        self.arrived_s = 0.0
        self._master = master
        self._here = threading.Event()

    def arrived(self) -> None:
        """Called by the other side."""
        self.arrived_s = perf_counter()
        self._here.set()

    def send(self) -> float:
        """Seconds from the frame's last byte handed to the pty until it arrived."""
        self._here.clear()
        os.write(self._master, FRAME[:-1])
        threading.Event().wait(0.0005)  # the line is slower than the reader
        start = perf_counter()
        os.write(self._master, FRAME[-1:])
        if not self._here.wait(5.0):
            raise TimeoutError("the frame did not arrive")
        return self.arrived_s - start


@contextlib.contextmanager
def terminal() -> Iterator[tuple[int, str]]:
    """A raw pty: its master, and the path to open."""
    master, meter_side = pty.openpty()
    tty.setraw(meter_side)
    yield master, os.ttyname(meter_side)
    os.close(master)
    os.close(meter_side)


@contextlib.contextmanager
def bare() -> Iterator[Callable[[], float]]:
    """A thread that does nothing but a blocking read of one byte and what waits behind it."""
    with terminal() as (master, path):
        opened = open_port(path, SETTING)
        post, ends = Post(master), threading.Event()

        def read() -> None:
            got = bytearray()
            while not ends.is_set():
                got += opened.read()
                if got.endswith(FRAME):
                    post.arrived()
                    got.clear()

        thread = threading.Thread(target=read)
        thread.start()
        yield post.send
        ends.set()
        thread.join()
        opened.close()


@contextlib.contextmanager
def through_link() -> Iterator[Callable[[], float]]:
    """A link; a frame has arrived when its reading is in the inbox."""
    with terminal() as (master, path):
        post = Post(master)

        def in_inbox(_reading: Reading) -> None:
            post.arrived()

        # The sink is called right after the reading was put into the inbox.
        request = LinkRequest(port=path, protocol=FAMILY.name)
        link = MeterLink(request, FAMILY, SETTING, sink=in_inbox)
        end = monotonic() + 10.0
        while not any(getattr(i, "state", None) is LinkState.LIVE for i in link.drain()):
            os.write(master, FRAME)
            threading.Event().wait(0.05)
            if monotonic() > end:
                raise TimeoutError("the link did not come up")
        threading.Event().wait(0.2)
        yield post.send
        link.close()


def figures() -> list[Figure]:
    """p99 of both, measured in turns."""
    with bare() as read, through_link() as linked:
        pairs = [(linked(), read()) for _frame in range(FRAMES)]
    ours, theirs = (quantiles(times, n=100)[98] for times in zip(*pairs, strict=True))
    middle = sorted(time for time, _read in pairs)[FRAMES // 2]
    return [
        Figure(
            "last byte on a pty to reading in the inbox, p99",
            ours,
            theirs,
            ours / theirs,
            Aim(2.0),
            note=f"against a bare blocking read; our median {middle * 1e6:.0f} µs",
        )
    ]
