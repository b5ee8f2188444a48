"""Frames a second that two meters at once get through to the bench, with its window open.

Both meters are in one process of their own and write as fast as their terminals take it.

    python -m tests.benchmarks.bench_two_meters FRAMES      are those meters
"""

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from time import monotonic, sleep

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Gap, LinkChange, LinkState, Reading
from benchassist.practice.frame import FRAMES as FAMILIES
from benchassist.practice.meter import Face
from tests.benchmarks.bench_frame_to_pixels import FAMILY, KILOHM_SPAN, run_until
from tests.benchmarks.figure import Figure

FRAMES = 60_000
PATIENCE_S = 60.0
SETTLE_S = 0.6
"""What comes in the first moments after a port has opened is thrown away."""
CHANNELS = "AB"
OPEN = frozenset({LinkState.IDENTIFYING, LinkState.WAITING})
"""The port is open; what was sent before that is lost by the opening itself."""


class Count:
    """Readings and gaps of both channels, and when they came in."""

    def __init__(self) -> None:
        self.readings = 0
        self.gaps = 0
        self.start_s = 0.0
        self.last_s = 0.0

    def add(self, items: tuple[object, ...]) -> None:
        """Take in what a link gave."""
        fresh = sum(isinstance(item, Reading) for item in items)
        self.gaps += sum(isinstance(item, Gap) for item in items)
        if fresh:
            self.last_s = monotonic()
            self.readings += fresh

    @property
    def all_in(self) -> bool:
        """Whether every frame came, or nothing has come for a second."""
        silent = self.readings > 0 and monotonic() - self.last_s > 1.0
        return self.readings >= len(CHANNELS) * FRAMES or silent

    @property
    def per_second(self) -> float:
        """Frames of both meters together."""
        return self.readings / (self.last_s - self.start_s)


def figures() -> Iterator[Figure]:
    """With the window open, against the same links drained by a bare loop."""
    from PySide6.QtWidgets import QApplication

    app = QApplication.instance() or QApplication(["bench", "-platform", "offscreen"])
    bare = without_window()
    with tempfile.TemporaryDirectory(prefix="bench-two-") as folder:
        open_ = with_window(Path(folder))
    del app
    yield Figure(
        name="two meters, frames a second",
        ours=open_.per_second,
        baseline=bare.per_second,
        ratio=open_.per_second / bare.per_second,
        unit="1/s",
        note=(
            f"{open_.readings} of {len(CHANNELS) * FRAMES} with the bench window open, "
            f"{open_.gaps} gaps; baseline: the same links drained without it"
        ),
    )


@contextmanager
def meters() -> Iterator[tuple[list[str], subprocess.Popen[str]]]:
    """The process of the two meters; the ports they are on."""
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.benchmarks.bench_two_meters", str(FRAMES)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdin is not None
    assert process.stdout is not None
    try:
        yield process.stdout.readline().split(), process
    finally:
        process.stdin.close()
        process.stdout.close()
        process.wait()


def start(process: subprocess.Popen[str], count: Count) -> None:
    """Let the meters send; the clock runs from here."""
    count.start_s = monotonic()
    assert process.stdin is not None
    process.stdin.write("go\n")
    process.stdin.flush()


def without_window() -> Count:
    """Two links drained by a loop that does nothing else."""
    from benchassist.core.link import LinkRequest
    from benchassist.meters.room import Room

    count = Count()
    with meters() as (ports, process):
        room = Room()
        links = [
            room.open(LinkRequest(port=port, protocol=FAMILY, channel=channel))
            for port, channel in zip(ports, CHANNELS, strict=True)
        ]
        listening = 0
        while listening < len(links):
            listening += sum(_is_listening(item) for link in links for item in link.drain())
        sleep(SETTLE_S)
        start(process, count)
        end = monotonic() + PATIENCE_S
        while not count.all_in and monotonic() < end:
            for link in links:
                count.add(tuple(link.drain()))
            os.sched_yield()
        for link in links:
            link.close()
    return count


def _is_listening(item: object) -> bool:
    return isinstance(item, LinkChange) and item.state is LinkState.IDENTIFYING


def with_window(folder: Path) -> Count:
    """The same, taken in by the bench at its own ticks while it paints."""
    from benchassist.assembly import Place
    from benchassist.services.metering.meter import Meter
    from tests.end_to_end.technician import at_work

    count = Count()
    take_in = Meter.take_in

    def counted(self: Meter) -> tuple[object, ...]:
        items = take_in(self)
        count.add(items)
        return items

    Meter.take_in = counted  # type: ignore[assignment, method-assign]
    try:
        with (
            meters() as (ports, process),
            at_work(Place(str(folder / "shop.sqlite"), folder / "home")) as technician,
        ):
            technician.shop.meters.connect(ports[0], FAMILY, "")
            technician.shop.thermometers.connect(ports[1], FAMILY, "")
            technician.new_machine({"customer": "Amberley Nursery"}, "1")
            technician.interview({"complaint": "quits_hot"})
            technician.press("Esc", "Right", "Right")
            technician.bench.act("goto", "coil_secondary")
            channels = (technician.shop.meter.channel, technician.shop.thermometer.channel)
            run_until(lambda: all(c is not None and c.state in OPEN for c in channels), 9.0)
            opened = monotonic()
            run_until(lambda: monotonic() > opened + SETTLE_S, PATIENCE_S)
            start(process, count)
            run_until(lambda: count.all_in, PATIENCE_S)
    finally:
        Meter.take_in = take_in  # type: ignore[method-assign]
    return count


def be_two_meters(frames: int) -> None:
    """Print the two ports; once told to go, write frames to both as fast as they are read."""
    import pty
    import tty

    pairs = [pty.openpty() for _ in CHANNELS]
    for _, meter_side in pairs:
        tty.setraw(meter_side)
    print(*(os.ttyname(meter_side) for _, meter_side in pairs), flush=True)
    sys.stdin.readline()
    for number in range(frames):
        face = Face(
            quantity=Quantity.RESISTANCE, spanned=KILOHM_SPAN, counts=4_000 + number % 9_000
        )
        block = FAMILIES[FAMILY](face)
        for master, _ in pairs:
            os.write(master, block)
    sys.stdin.read()  # the ports stay until everything was read


if __name__ == "__main__":
    be_two_meters(int(sys.argv[1]))
