"""A USB instrument behind the device file's operations: real descriptors, no kernel driver."""

import errno
import os
import select
import socket
import struct
from collections.abc import Callable

from benchassist.meters.usbtmc import CLEAR, SET_TIMEOUT, KernelDriver

FASTER = 50.0
"""By how much its time-outs are shorter than asked for."""

Answer = bytes | None


class UsbDevice(KernelDriver):
    """Messages keep their bounds on a socket pair, as they do on USB.

    `answer` gives what comes back for a command, None for silence. A second question before the
    first was read is an error of the program and counted in `interrupted`.
    """

    def __init__(self, answer: Callable[[str], Answer]) -> None:
        self.answer = answer
        self.is_there = True
        self.refuses: int | None = None
        self.opened = 0
        self.commands: list[str] = []
        self.requests: list[tuple[int, bytes | int]] = []
        self.reads = 0
        self.interrupted = 0
        self._far: dict[int, socket.socket] = {}
        self._timeout_s = 5.0

    def open(self, path: str) -> int:
        """Another pair of sockets."""
        assert path
        if not self.is_there:
            raise OSError(errno.ENOENT, os.strerror(errno.ENOENT))
        if self.refuses is not None:
            raise OSError(self.refuses, os.strerror(self.refuses))
        near, far = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        descriptor = near.detach()
        self._far[descriptor] = far
        self.opened += 1
        return descriptor

    def read(self, descriptor: int, size: int) -> bytes:
        """What was answered, or ETIMEDOUT."""
        self._check()
        self.reads += 1
        ready, _, _ = select.select([descriptor], [], [], self._timeout_s / FASTER)
        self._check()
        if not ready:
            raise OSError(errno.ETIMEDOUT, os.strerror(errno.ETIMEDOUT))
        return super().read(descriptor, size)

    def write(self, descriptor: int, data: bytes) -> None:
        """A command, answered at once if at all."""
        self._check()
        super().write(descriptor, data)
        command = self._far[descriptor].recv(4096).decode("ascii").strip()
        self.commands.append(command)
        if select.select([descriptor], [], [], 0)[0]:
            self.interrupted += 1
        answer = self.answer(command)
        if answer is not None:
            self._far[descriptor].send(answer)

    def ioctl(self, descriptor: int, code: int, argument: bytes | int) -> None:
        """Kept; a clear empties the output, a time-out is obeyed."""
        self._check()
        self.requests.append((code, argument))
        if code == CLEAR:
            while select.select([descriptor], [], [], 0)[0]:
                super().read(descriptor, 1 << 16)
        if code == SET_TIMEOUT and isinstance(argument, bytes):
            self._timeout_s = struct.unpack("@I", argument)[0] / 1000.0

    def close(self, descriptor: int) -> None:
        """Both ends."""
        super().close(descriptor)
        self._far.pop(descriptor).close()

    @property
    def open_now(self) -> int:
        """How many descriptors are open."""
        return len(self._far)

    def say(self, descriptor: int, data: bytes) -> None:
        """Answer late."""
        self._far[descriptor].send(data)

    def _check(self) -> None:
        if not self.is_there:
            raise OSError(errno.ENODEV, os.strerror(errno.ENODEV))
