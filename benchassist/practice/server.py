"""The practice meters as a process of their own: real ports, and hands that obey lines of JSON.

    python -m benchassist.practice.server --protocol nibble-14 --case coil-opens-hot

It prints one line {"port", "protocol", "case", "tcp", "thermometer": {"port", "protocol"}}, one
line {"state": ...} every `--tell` seconds, and one line for every line it is given: {"ok": true} or
{"error": "..."}. Lines are "lift", "short", "unplug", "plug", "unplug_thermometer",
"plug_thermometer", "start", "stop", "quit", or an object of: touch KEY; temperature CELSIUS with
over_s SECONDS; heat true or false; pace FACTOR; case NAME; engine NAME; throttle low, high or tank;
load none, half or full; bleed true or false; range OHM or null; mode NAME; stall, hold, rel, min,
max, low_battery true or false; garbage BYTES. It ends with its input.
"""

import argparse
import json
import math
import queue
import random
import selectors
import socket
import sys
import tempfile
import threading
import time
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Final

from benchassist.core.reading import Flag
from benchassist.errors import BenchError, InputError
from benchassist.practice.line import Lead
from benchassist.practice.parts import SURFACE, PartBench
from benchassist.practice.post import Obey, number, posts
from benchassist.practice.stand import Stand

LONGEST_GARBAGE: Final = 100_000
THERMOMETER: Final = "text-line"
"""The frame family of the second meter, whose tip is on the part."""


class Server:
    """Runs a meter and a thermometer, each behind its lead, until its input ends."""

    def __init__(self, arguments: argparse.Namespace, folder: Path) -> None:
        self._selector = selectors.DefaultSelector()
        self._parts = PartBench(arguments.case, arguments.seed, engine=arguments.engine)
        self._parts.set_pace(arguments.pace)
        self._lead = Lead(folder / "meter", self._selector, self._take, tcp=arguments.tcp)
        self._second = Lead(
            folder / "thermometer", self._selector, lambda _data: None, tcp=arguments.tcp
        )
        self._stand = Stand(
            arguments.protocol,
            self._parts,
            seed=arguments.seed,
            rate_hz=arguments.rate,
            say=self._lead.send,
        )
        self._thermometer = Stand(
            THERMOMETER,
            self._parts,
            seed=arguments.seed + 1,
            rate_hz=arguments.rate,
            say=self._second.send,
        )
        self._thermometer.touch(SURFACE, -math.inf)
        self._random = random.Random(arguments.seed)
        self._tell_s: float = arguments.tell
        self._goes_on = True
        self._lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self._wake, self._woken = socket.socketpair()
        self._selector.register(self._woken, selectors.EVENT_READ, self._obey)
        self._posts: Mapping[str, Obey] = MappingProxyType(
            {
                **posts(self._stand, self._parts),
                "garbage": lambda count, _all: self._lead.send(self._junk(number(count))),
                "unplug": lambda _on, _all: self._lead.unplug(),
                "plug": lambda _on, _all: self._lead.plug(),
                "unplug_thermometer": lambda _on, _all: self._second.unplug(),
                "plug_thermometer": lambda _on, _all: self._second.plug(),
                "quit": lambda _on, _all: self._quit(),
                **{flag.value: self._flag(flag) for flag in Flag if flag is not Flag.AUTO},
            }
        )
        self._about = {
            "port": self._lead.port,
            "protocol": arguments.protocol,
            "case": arguments.case,
            "tcp": self._lead.address,
            "thermometer": {"port": self._second.port, "protocol": THERMOMETER},
        }

    def run(self) -> None:
        """Serve until told to quit or until standard input ends."""
        threading.Thread(target=self._listen, name="hands", daemon=True).start()
        _print(self._about)
        next_beat = next_tale = time.monotonic()
        while self._goes_on:
            now = time.monotonic()
            if now >= next_beat:
                self._stand.beat(now)
                self._thermometer.beat(now)
                next_beat = max(next_beat + self._stand.period_s, now)
            if self._tell_s and now >= next_tale:
                self._tell(now)
                next_tale = max(next_tale + self._tell_s, now)
            due = self._stand.answer(now)
            until = next_beat if due is None else min(due, next_beat)
            until = min(until, next_tale) if self._tell_s else until
            for key, _events in self._selector.select(max(0.0, until - time.monotonic())):
                key.data()
        for lead in (self._lead, self._second):
            lead.unplug()

    def _listen(self) -> None:
        for line in sys.stdin:
            self._lines.put(line)
            self._wake.send(b"!")
        self._lines.put(None)
        self._wake.send(b"!")

    def _obey(self) -> None:
        self._woken.recv(1)
        line = self._lines.get()
        if line is None:
            self._quit()
            return
        try:
            wanted = json.loads(line)
            named = {wanted: True} if isinstance(wanted, str) else wanted
            if not isinstance(named, dict) or not named:
                raise InputError("a word or an object would be right")
            if unknown := set(named) - set(self._posts):
                raise InputError(f"{', '.join(sorted(unknown))}: no such thing to do")
            for name, value in named.items():
                self._posts[name](value, named)
        except (ValueError, BenchError) as error:
            _print({"error": str(error)})
        else:
            if self._tell_s:
                self._tell(time.monotonic())
            _print({"ok": True})

    def _tell(self, now: float) -> None:
        """How things stand, for who looks at them."""
        self._parts.advance(now)
        oven, engine = self._parts.oven, self._parts.engine
        state = {
            "celsius": oven.shown,
            "on_heat": oven.is_on,
            "pace": oven.pace,
            "runs": engine.runs,
            "has_died": engine.has_died,
            "rpm": engine.rpm,
            "engine_celsius": engine.celsius,
            "pascal": engine.pascal,
            "volts": engine.volts,
            "throttle": engine.throttle,
            "load": engine.load,
            "bleeds": engine.bleeds,
        }
        _print({"state": state})

    def _flag(self, flag: Flag) -> Obey:
        return lambda on, _all: self._stand.set_flag(flag.value, on=bool(on))

    def _junk(self, count: float) -> bytes:
        return self._random.randbytes(min(int(count), LONGEST_GARBAGE))

    def _take(self, data: bytes) -> None:
        self._stand.take(data, time.monotonic())

    def _quit(self) -> None:
        self._goes_on = False


def _print(what: object) -> None:
    print(json.dumps(what), flush=True)  # noqa: T201 - standard output is the way back


def main(arguments: list[str] | None = None) -> int:
    """Serve; 2 for an argument that cannot be."""
    parser = argparse.ArgumentParser(description="Simulated meters on real ports.")
    parser.add_argument("--protocol", default="nibble-14")
    parser.add_argument("--case", default="coil-opens-hot")
    parser.add_argument("--engine", default="sound")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rate", type=float, default=4.0, help="conversions a second")
    parser.add_argument("--pace", type=float, default=1.0, help="how much faster than life")
    parser.add_argument("--tell", type=float, default=0.0, help="seconds between two states")
    parser.add_argument("--tcp", action="store_true", help="also listen on a port of this computer")
    with tempfile.TemporaryDirectory(prefix="practice-") as folder:
        try:
            server = Server(parser.parse_args(arguments), Path(folder))
        except InputError as error:
            _print({"error": str(error)})
            return 2
        server.run()
    return 0


if __name__ == "__main__":
    sys.exit(main())
