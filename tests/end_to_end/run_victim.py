"""A heat run at work until it is killed: `python -m tests.end_to_end.run_victim SHOP HOME VISIT`.

A thread stands in for a meter's reader: a hundred readings a second, a second of a sound part, then
a fifth of a second of an open one, then sound again. It prints the second of the run of each
reading once it has been handed over.
"""

import sys
import threading
import time
from dataclasses import replace
from pathlib import Path

from benchassist.assembly import Place, SystemClock, open_store, spec_book
from benchassist.core.link import LinkRequest
from benchassist.core.reading import Reading
from benchassist.services.desk import Action
from benchassist.services.runs.tap import Tap
from benchassist.services.settings import SettingsFile
from benchassist.services.shop import Shop
from tests.end_to_end.demo import NoPrinter
from tests.services.fakes import PLAIN, FakeRoom

RATE_HZ = 100.0
OPEN_FROM, OPEN_TO = 1.0, 1.2


def say(line: str) -> None:
    """Print a line in one piece, now."""
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


class Reader:
    """Hands readings to the tap and the inbox as a link's thread does."""

    def __init__(self, room: FakeRoom, tap: Tap, opened: float, clock: SystemClock) -> None:
        self._room, self._tap, self._opened, self._clock = room, tap, opened, clock
        self.started: float | None = None
        threading.Thread(target=self._run, daemon=True).start()

    def _run(self) -> None:
        while True:
            now = self._clock.monotonic()
            reading = self._reading(now)
            self._tap(reading)
            self._room.links[-1].items.append(reading)
            if self.started is not None and now > self.started:
                say(f"put {now - self.started:.4f}")
            time.sleep(1.0 / RATE_HZ)

    def _reading(self, now: float) -> Reading:
        since = now - self.started if self.started is not None else 0.0
        is_open = OPEN_FROM <= since < OPEN_TO
        return replace(
            PLAIN,
            t_s=now - self._opened,
            value=None if is_open else 6500.0,
            resolution=10.0,
            overload=is_open,
        )


def main(location: str, home: str, visit_id: str) -> None:
    """Start the run and go on until the end."""
    place, clock, tap, room = Place(location, Path(home)), SystemClock(), Tap(), FakeRoom()
    store = open_store(place)
    shop = Shop(
        store=store,
        book=spec_book(place),
        room=room,
        printer=NoPrinter(),
        clock=clock,
        settings_file=SettingsFile(place.home / "settings.json"),
        runs=store,
        tap=tap,
    )
    opened = clock.monotonic()
    shop.meter.connect(LinkRequest(port="/dev/fake0", protocol="nibble-14"))
    reader = Reader(room, tap, opened, clock)
    bench = shop.bench(visit_id)
    while shop.meter.live is None:
        bench.tick()
    bench.act(Action.RUN_START)
    reader.started = clock.monotonic() - bench.run.now_s
    while True:
        bench.tick()
        bench.view()
        time.sleep(0.03)


if __name__ == "__main__":
    main(*sys.argv[1:])
