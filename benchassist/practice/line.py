"""Where a simulated meter is plugged in: a pseudo-terminal, and a TCP port if asked for."""

import contextlib
import os
import selectors
import socket
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Final

HAS_PTY: Final = sys.platform != "win32"
CHUNK: Final = 4096
Take = Callable[[bytes], None]


class PtyLine:
    """A pseudo-terminal under a link whose path stays the same when it is plugged in again."""

    def __init__(self, path: Path, selector: selectors.BaseSelector, take: Take) -> None:
        self.path = path
        self._selector = selector
        self._take = take
        self._ends: tuple[int, int] | None = None

    def plug(self) -> None:
        """Make the terminal; nothing if it is there."""
        if self._ends is not None:
            return
        import pty
        import tty

        master, meter_side = pty.openpty()
        tty.setraw(meter_side)  # else it would echo what the meter sends back to the meter
        os.set_blocking(master, False)
        self._ends = (master, meter_side)
        self._selector.register(master, selectors.EVENT_READ, self._read)
        fresh = self.path.with_name(f"{self.path.name}.new")
        fresh.symlink_to(os.ttyname(meter_side))
        fresh.replace(self.path)

    def unplug(self) -> None:
        """Hang up and take the link away."""
        if self._ends is None:
            return
        self.path.unlink(missing_ok=True)
        self._selector.unregister(self._ends[0])
        for end in self._ends:
            os.close(end)
        self._ends = None

    def send(self, data: bytes) -> None:
        """Send; what nobody reads is lost, as on a real line."""
        if self._ends is not None:
            with contextlib.suppress(BlockingIOError):
                os.write(self._ends[0], data)

    def _read(self) -> None:
        if self._ends is not None:
            with contextlib.suppress(OSError):
                self._take(os.read(self._ends[0], CHUNK))


class TcpLine:
    """A listening socket of this computer; every client hears the meter and may ask it."""

    def __init__(self, selector: selectors.BaseSelector, take: Take) -> None:
        self._selector = selector
        self._take = take
        self._clients: list[socket.socket] = []
        self._listening: socket.socket | None = None
        self._number = 0

    @property
    def address(self) -> str:
        """The address as a link opens it."""
        return f"socket://127.0.0.1:{self._number}"

    def plug(self) -> None:
        """Listen, at the same number as before."""
        if self._listening is None:
            self._listening = socket.create_server(("127.0.0.1", self._number))
            self._number = self._listening.getsockname()[1]
            self._selector.register(self._listening, selectors.EVENT_READ, self._accept)

    def unplug(self) -> None:
        """Drop every client and stop listening."""
        for client in list(self._clients):
            self._drop(client)
        if self._listening is not None:
            self._selector.unregister(self._listening)
            self._listening.close()
            self._listening = None

    def send(self, data: bytes) -> None:
        """Send to every client; one that does not read is dropped."""
        for client in list(self._clients):
            try:
                client.sendall(data)
            except OSError:
                self._drop(client)

    def _accept(self) -> None:
        if self._listening is not None:
            client, _address = self._listening.accept()
            client.setblocking(False)
            self._clients.append(client)
            self._selector.register(client, selectors.EVENT_READ, lambda: self._read(client))

    def _read(self, client: socket.socket) -> None:
        try:
            data = client.recv(CHUNK)
        except OSError:
            data = b""
        if data:
            self._take(data)
        else:
            self._drop(client)

    def _drop(self, client: socket.socket) -> None:
        self._clients.remove(client)
        self._selector.unregister(client)
        client.close()


class Lead:
    """A meter's lead: a pseudo-terminal where there are any, a TCP port else or if asked for."""

    def __init__(
        self, path: Path, selector: selectors.BaseSelector, take: Take, *, tcp: bool
    ) -> None:
        self._pty = PtyLine(path, selector, take) if HAS_PTY else None
        self._tcp = TcpLine(selector, take) if tcp or not HAS_PTY else None
        self.plug()

    @property
    def port(self) -> str:
        """What a link opens."""
        return str(self._pty.path) if self._pty is not None else str(self.address)

    @property
    def address(self) -> str | None:
        """The TCP port, if there is one."""
        return None if self._tcp is None else self._tcp.address

    def plug(self) -> None:
        """Push it in; nothing if it is in."""
        for line in (self._pty, self._tcp):
            if line is not None:
                line.plug()

    def unplug(self) -> None:
        """Pull it out."""
        for line in (self._pty, self._tcp):
            if line is not None:
                line.unplug()

    def send(self, data: bytes) -> None:
        """What the meter says."""
        for line in (self._pty, self._tcp):
            if line is not None:
                line.send(data)
