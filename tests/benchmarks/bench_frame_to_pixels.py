"""From the last byte of a frame on a pty to its digits painted on the bench, at 10 Hz.

The meter is a process of its own; both read the computer's one monotonic clock.

    python -m tests.benchmarks.bench_frame_to_pixels FRAMES      is that meter
"""

import os
import random
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from statistics import median, quantiles
from time import monotonic, sleep

from benchassist.core.quantity import Quantity
from benchassist.practice.frame import FRAMES as FAMILIES
from benchassist.practice.meter import RANGES, Face
from tests.benchmarks.figure import Aim, Figure

FAMILY = "nibble-14"
FRAMES = 400
FIRST = 10
"""The link finds the frames' rhythm in those before; they are not counted."""
PERIOD_S = 0.1
WAVER_S = 0.02
"""The period wavers, so that the window's own timer meets the frames at every phase."""
PATIENCE_S = 30.0
LOOK_MS = 500
KILOHM_SPAN = RANGES[FAMILY][Quantity.RESISTANCE][2]


def counts(number: int) -> int:
    """What the display of a frame shows, in ohm: no two the same, each far from the one before."""
    return 4_000 + number * 7 + 6_000 * (number % 2)


def digits(number: int) -> str:
    """The same as the bench shows it, in kilohm."""
    return f"{counts(number) / 1000.0:.3f}"


def figures() -> Iterator[Figure]:
    """Measure a window offscreen, on a visit at a step that wants ohms."""
    from PySide6.QtWidgets import QApplication

    app = QApplication.instance() or QApplication(["bench", "-platform", "offscreen"])
    with tempfile.TemporaryDirectory(prefix="bench-pixels-") as folder:
        delays = sorted(measured(Path(folder)))
    del app
    percentiles = quantiles(delays, n=100)
    yield Figure(
        name="frame to pixels, p99",
        ours=percentiles[98],
        aim=Aim(0.05, on="ours"),
        note=(
            f"last byte on a pty to painted digits, {FRAMES - FIRST} frames at 10 Hz, offscreen; "
            f"median {median(delays):.3f}, longest {delays[-1]:.3f}"
        ),
    )


def measured(folder: Path) -> list[float]:
    """Seconds from each frame's last byte to its digits on the window."""
    from benchassist.assembly import Place
    from benchassist.ui.number_block import NumberBlock
    from tests.end_to_end.technician import at_work

    seen: dict[str, float] = {}
    paint = NumberBlock.paint

    def painted(self: NumberBlock, *arguments: object) -> None:
        paint(self, *arguments)  # type: ignore[arg-type]
        seen.setdefault(self.value.number.digits, monotonic())

    NumberBlock.paint = painted  # type: ignore[assignment, method-assign]
    meter = subprocess.Popen(
        [sys.executable, "-m", "tests.benchmarks.bench_frame_to_pixels", str(FRAMES)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert meter.stdin is not None
    assert meter.stdout is not None
    try:
        with at_work(Place(str(folder / "shop.sqlite"), folder / "home")) as technician:
            technician.shop.meters.connect(meter.stdout.readline().strip(), FAMILY, "")
            technician.new_machine({"customer": "Amberley Nursery"}, "1")
            technician.interview({"complaint": "quits_hot"})
            technician.press("Esc", "Right", "Right")  # temperature, leads, known resistor
            technician.bench.act("goto", "coil_secondary")
            meter.stdin.write("go\n")
            meter.stdin.flush()
            last = digits(FRAMES - 1)
            run_until(lambda: last in seen, FRAMES * PERIOD_S + PATIENCE_S)
            sent = [float(meter.stdout.readline()) for _ in range(FRAMES)]
    finally:
        NumberBlock.paint = paint  # type: ignore[method-assign]
        meter.stdin.close()
        meter.stdout.close()
        meter.wait()
    missing = [n for n in range(FIRST, FRAMES) if digits(n) not in seen]
    if missing:
        raise RuntimeError(f"{len(missing)} of {FRAMES} frames were never painted: {missing[:9]}")
    return [seen[digits(n)] - at for n, at in enumerate(sent) if n >= FIRST]


def run_until(holds: Callable[[], bool], seconds: float) -> None:
    """Run the window's own event loop until something holds, at most so long."""
    from PySide6.QtCore import QEventLoop, QTimer

    loop, look, end = QEventLoop(), QTimer(), monotonic() + seconds
    look.timeout.connect(lambda: loop.quit() if holds() or monotonic() > end else None)
    look.start(LOOK_MS)
    loop.exec()


def be_a_meter(frames: int) -> None:
    """Print where it is plugged in; once told to go, send frames and print when each was sent."""
    import pty
    import tty

    master, meter_side = pty.openpty()
    tty.setraw(meter_side)
    print(os.ttyname(meter_side), flush=True)
    sys.stdin.readline()
    waver = random.Random(1)
    due, sent = monotonic(), list[float]()
    for number in range(frames):
        due += PERIOD_S + waver.uniform(-WAVER_S, WAVER_S)
        sleep(max(0.0, due - monotonic()))
        face = Face(quantity=Quantity.RESISTANCE, spanned=KILOHM_SPAN, counts=counts(number))
        os.write(master, FAMILIES[FAMILY](face))
        sent.append(monotonic())
    print("\n".join(map(str, sent)), flush=True)
    sys.stdin.read()  # the port stays until the window has painted the last one
    os.close(master)
    os.close(meter_side)


if __name__ == "__main__":
    be_a_meter(int(sys.argv[1]))
