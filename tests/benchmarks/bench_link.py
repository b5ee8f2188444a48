"""From the last byte of a frame on a pty to the reading in the inbox, against a bare read.

Both wait on a pty of their own by the same means (the port's own read) and are sent the same frames
in turns, so that what else the machine does meets both. A p99 is the tenth worst of a round and
swings with the machine: the figure is the middle one of several rounds, its spread beside it.
"""

import contextlib
import os
import pty
import threading
import tty
from collections.abc import Callable, Iterator
from statistics import median, quantiles
from time import monotonic, perf_counter
from typing import NamedTuple

from benchassist.core.link import LinkRequest
from benchassist.core.reading import LinkState, Reading
from benchassist.meters.link import MeterLink
from benchassist.meters.port import LineSetting, open_port
from benchassist.meters.roster import family
from tests.benchmarks.figure import Aim, Figure

FRAMES = 1_000
ROUNDS = 9
BUSY = 3.0
"""A bare read whose p99 swings by more than that between rounds waited for other programs."""
END = b"\r\n"
FAMILY = family("nibble-14")
SETTING = LineSetting.read(FAMILY.line)
Send = Callable[[bytes], float]


class Round(NamedTuple):
    """99th percentiles and medians of one round, in seconds."""

    ours: float
    bare: float
    our_median: float
    bare_median: float


def frame(number: int) -> bytes:
    """A frame whose digits are no two times running the same."""
    return b"2%05d300020\r\n" % (4_000 + 7 * number % 9_000)


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

    def send(self, block: bytes) -> float:
        """Seconds from the frame's last byte handed to the pty until it arrived."""
        self._here.clear()
        os.write(self._master, block[:-1])
        threading.Event().wait(0.0005)  # the line is slower than the reader
        start = perf_counter()
        os.write(self._master, block[-1:])
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
def bare() -> Iterator[Send]:
    """A thread that does nothing but wait for bytes and read them."""
    with terminal() as (master, path):
        opened = open_port(path, SETTING)
        post, ends = Post(master), threading.Event()

        def read() -> None:
            got = bytearray()
            while not ends.is_set():
                got += opened.read()
                if got.endswith(END):
                    post.arrived()
                    got.clear()

        thread = threading.Thread(target=read)
        thread.start()
        yield post.send
        ends.set()
        thread.join()
        opened.close()


@contextlib.contextmanager
def through_link() -> Iterator[Send]:
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
            os.write(master, frame(0))
            threading.Event().wait(0.05)
            if monotonic() > end:
                raise TimeoutError("the link did not come up")
        threading.Event().wait(0.2)
        yield post.send
        link.close()


def figures() -> list[Figure]:
    """p99 of both, measured in turns; the middle one of the rounds."""
    with bare() as read, through_link() as linked:
        rounds = [measured(linked, read) for _round in range(ROUNDS)]
    ratios = sorted(one.ours / one.bare for one in rounds)
    ours, theirs, our_median, bare_median = (median(c) for c in zip(*rounds, strict=True))
    bares = [one.bare for one in rounds]
    busy = "; the machine was busy" if max(bares) > BUSY * min(bares) else ""
    return [
        Figure(
            "last byte on a pty to reading in the inbox, p99",
            ours,
            theirs,
            median(ratios),
            Aim(2.0),
            note=(
                f"middle of {ROUNDS} rounds of {FRAMES}, ratios {ratios[0]:.2f} to "
                f"{ratios[-1]:.2f}; against a bare read by the same wait; medians "
                f"{our_median * 1e6:.0f} and {bare_median * 1e6:.0f} µs{busy}"
            ),
        )
    ]


def measured(linked: Send, read: Send) -> Round:
    """One round, a frame to each in turn."""
    pairs = [(linked(frame(number)), read(frame(number))) for number in range(FRAMES)]
    ours, bare = (list(times) for times in zip(*pairs, strict=True))
    return Round(quantiles(ours, n=100)[98], quantiles(bare, n=100)[98], median(ours), median(bare))
