"""Two cables that a test plugs in and pulls out: a pseudo-terminal and a TCP connection.

Neither has a thread: whoever waits for readings keeps the meter talking meanwhile.
"""

import os
import pty
import select
import socket
import time
import tty
from contextlib import suppress
from pathlib import Path
from threading import Event
from typing import Protocol

RESET = b"\1\0\0\0\0\0\0\0"
"""SO_LINGER on, with no time: the connection is reset and not ended."""


class QuickTime:
    """Real time, faster: what a link waits for and measures passes so many times as quickly."""

    def __init__(self, factor: float) -> None:
        self._factor = factor
        self._start = time.monotonic()

    def monotonic(self) -> float:
        """Seconds, never going back."""
        return (time.monotonic() - self._start) * self._factor

    def wait(self, stop: Event, seconds: float) -> None:
        """Return after `seconds` of this time, or at once when `stop` is set."""
        stop.wait(seconds / self._factor)


class Plug(Protocol):
    """A cable with a meter at its end."""

    @property
    def address(self) -> str:
        """What a link opens."""
        ...

    def push_in(self) -> None:
        """Plug it in."""
        ...

    def say(self, data: bytes) -> None:
        """Send, if anyone is there."""
        ...

    def pull_out(self) -> None:
        """Unplug it."""
        ...

    def put_away(self) -> None:
        """Release what is left."""
        ...


class TerminalPlug:
    """A pseudo-terminal behind a path that is there only while it is plugged in."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._ends: tuple[int, ...] = ()

    @property
    def address(self) -> str:
        """The path."""
        return str(self._path)

    def push_in(self) -> None:
        """Make a new one."""
        self._ends = pty.openpty()
        tty.setraw(self._ends[1])
        os.set_blocking(self._ends[0], False)
        self._path.symlink_to(os.ttyname(self._ends[1]))

    def say(self, data: bytes) -> None:
        """Send; what does not fit is lost, as on a line."""
        with suppress(BlockingIOError):
            os.write(self._ends[0], data)

    def pull_out(self) -> None:
        """Hang up."""
        self._path.unlink()
        self.put_away()

    def put_away(self) -> None:
        """Close both ends."""
        for end in self._ends:
            os.close(end)
        self._ends = ()


class SocketPlug:
    """A listening socket; unplugging ends the connection, every other time with a reset."""

    def __init__(self) -> None:
        self._server = socket.create_server(("127.0.0.1", 0))
        self._peer: socket.socket | None = None
        self._is_in = False
        self._resets = False

    @property
    def address(self) -> str:
        """A pyserial URL."""
        return f"socket://127.0.0.1:{self._server.getsockname()[1]}"

    def push_in(self) -> None:
        """Accept from now on."""
        self._is_in = True

    def say(self, data: bytes) -> None:
        """Send; whoever asks is let in."""
        if self._is_in and self._peer is None and select.select([self._server], [], [], 0)[0]:
            self._peer, _address = self._server.accept()
        if self._peer is not None:
            with suppress(OSError):
                self._peer.sendall(data)

    def pull_out(self) -> None:
        """End or reset it."""
        self._is_in = False
        if self._peer is not None and self._resets:
            self._peer.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, RESET)
        self._resets = not self._resets
        self._hang_up()

    def put_away(self) -> None:
        """Close the listening socket too."""
        self._hang_up()
        self._server.close()

    def _hang_up(self) -> None:
        if self._peer is not None:
            self._peer.close()
            self._peer = None
