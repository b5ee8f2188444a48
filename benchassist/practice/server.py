"""The practice meter as a process of its own: a real port, and hands that obey lines of JSON.

    python -m benchassist.practice.server --protocol nibble-14 --case coil-opens-hot

It prints one line {"port", "protocol", "case", "tcp"} and then one line for every line it is
given: {"ok": true} or {"error": "..."}. Lines are "lift", "short", "unplug", "plug", "quit", or an
object of: touch KEY; temperature CELSIUS with over_s SECONDS; case NAME; range OHM or null;
mode NAME; stall, hold, rel, min, max, low_battery true or false; garbage BYTES. It ends with its
input.
"""

import argparse
import json
import queue
import random
import selectors
import socket
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Final

from benchassist.core.reading import Flag
from benchassist.errors import BenchError, InputError
from benchassist.practice.line import HAS_PTY, PtyLine, TcpLine
from benchassist.practice.stand import Stand

LONGEST_GARBAGE: Final = 100_000
Hand = Callable[[object, Mapping[str, object]], None]


class Server:
    """Runs a stand behind a pty, a TCP port or both until its input ends."""

    def __init__(self, arguments: argparse.Namespace, folder: Path) -> None:
        self._selector = selectors.DefaultSelector()
        self._stand = Stand(
            arguments.protocol,
            arguments.case,
            seed=arguments.seed,
            rate_hz=arguments.rate,
            say=self._say,
        )
        self._random = random.Random(arguments.seed)
        self._tcp = TcpLine(self._selector, self._take) if arguments.tcp or not HAS_PTY else None
        self._pty = PtyLine(folder / "meter", self._selector, self._take) if HAS_PTY else None
        self._plug()
        self._goes_on = True
        self._lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self._wake, self._woken = socket.socketpair()
        self._selector.register(self._woken, selectors.EVENT_READ, self._obey)
        self._hands: Mapping[str, Hand] = MappingProxyType(
            {
                "touch": lambda what, _all: self._stand.touch(str(what), time.monotonic()),
                "lift": lambda _on, _all: self._stand.lift(),
                "short": lambda _on, _all: self._stand.touch("leads", time.monotonic()),
                "temperature": self._warm,
                "case": lambda name, _all: self._stand.set_case(str(name)),
                "over_s": lambda _seconds, _all: None,
                "range": lambda value, _all: self._stand.set_range(
                    None if value is None else _number(value)
                ),
                "mode": lambda name, _all: self._stand.set_mode(str(name)),
                "stall": lambda on, _all: self._stand.set_stalled(on=bool(on)),
                "garbage": lambda count, _all: self._say(self._junk(_number(count))),
                "unplug": lambda _on, _all: self._unplug(),
                "plug": lambda _on, _all: self._plug(),
                "quit": lambda _on, _all: self._quit(),
            }
            | {flag.value: self._flag(flag) for flag in Flag if flag is not Flag.AUTO}
        )
        self._about = {
            "port": str(self._pty.path) if self._pty else self._address(),
            "protocol": arguments.protocol,
            "case": arguments.case,
            "tcp": self._address(),
        }

    def run(self) -> None:
        """Serve until told to quit or until standard input ends."""
        threading.Thread(target=self._listen, name="hands", daemon=True).start()
        _print(self._about)
        next_beat = time.monotonic()
        while self._goes_on:
            now = time.monotonic()
            if now >= next_beat:
                self._stand.beat(now)
                next_beat = max(next_beat + self._stand.period_s, now)
            due = self._stand.answer(now)
            until = next_beat if due is None else min(due, next_beat)
            for key, _events in self._selector.select(max(0.0, until - time.monotonic())):
                key.data()
        self._unplug()

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
            if unknown := set(named) - set(self._hands):
                raise InputError(f"{', '.join(sorted(unknown))}: no such thing to do")
            for name, value in named.items():
                self._hands[name](value, named)
        except (ValueError, BenchError) as error:
            _print({"error": str(error)})
        else:
            _print({"ok": True})

    def _flag(self, flag: Flag) -> Hand:
        return lambda on, _all: self._stand.set_flag(flag.value, on=bool(on))

    def _warm(self, celsius: object, named: Mapping[str, object]) -> None:
        over_s = _number(named.get("over_s", 0.0))
        self._stand.set_temperature(_number(celsius), over_s=over_s, t_s=time.monotonic())

    def _junk(self, count: float) -> bytes:
        return self._random.randbytes(min(int(count), LONGEST_GARBAGE))

    def _address(self) -> str | None:
        return self._tcp.address if self._tcp else None

    def _say(self, data: bytes) -> None:
        for line in (self._pty, self._tcp):
            if line:
                line.send(data)

    def _take(self, data: bytes) -> None:
        self._stand.take(data, time.monotonic())

    def _plug(self) -> None:
        for line in (self._pty, self._tcp):
            if line:
                line.plug()

    def _unplug(self) -> None:
        for line in (self._pty, self._tcp):
            if line:
                line.unplug()

    def _quit(self) -> None:
        self._goes_on = False


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputError(f"{value!r}: a number would be right")
    return float(value)


def _print(what: object) -> None:
    print(json.dumps(what), flush=True)  # noqa: T201 - standard output is the way back


def main(arguments: list[str] | None = None) -> int:
    """Serve; 2 for an argument that cannot be."""
    parser = argparse.ArgumentParser(description="A simulated meter on a real port.")
    parser.add_argument("--protocol", default="nibble-14")
    parser.add_argument("--case", default="coil-opens-hot")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rate", type=float, default=4.0, help="conversions a second")
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
