"""Loaded by every child process of the command tests: no connections, and a list of what it loaded.

A connection ends the process with a code of its own, so that no handler can hide it. Addresses in
CONNECTIONS_ALLOWED (host:port, separated by spaces) may be connected to.
"""

import atexit
import os
import socket
import sys
from pathlib import Path

CONNECTED = 77
ALLOWED = os.environ.get("CONNECTIONS_ALLOWED", "").split()


def guarded(name: str) -> None:
    """Let a method of sockets run for what is allowed only."""
    original = getattr(socket.socket, name)

    def method(self: socket.socket, *arguments: object) -> object:
        address = arguments[-1]
        if isinstance(address, tuple) and f"{address[0]}:{address[1]}" in ALLOWED:
            return original(self, *arguments)
        sys.stderr.write(f"a connection to {address} was tried\n")
        sys.stderr.flush()
        os._exit(CONNECTED)

    setattr(socket.socket, name, method)


for connecting in ("connect", "connect_ex", "sendto"):
    guarded(connecting)

if "LOADED_INTO" in os.environ:
    atexit.register(
        lambda: Path(os.environ["LOADED_INTO"]).write_text("\n".join(sys.modules), "utf-8")
    )
