"""USB test and measurement: the kernel's device file as a port for SCPI.

It takes a whole command at a write and gives a whole answer at a read, and it is read only when a
question is open: a read without one ends in a time-out that takes the instrument out of step.

Codes of ioctl and limits as in the kernel's own driver; AUTO_ABORT is from memory.
"""

import contextlib
import errno
import os
import re
import struct
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Final, Protocol

from benchassist.core.link import PortInfo
from benchassist.errors import PortError
from benchassist.meters.port import READ_S, LineSetting
from benchassist.meters.port_refused import ABSENT, BUSY, FORBIDDEN, busy, forbidden, group_of
from benchassist.meters.translation import _

if sys.platform != "win32":
    import fcntl

CLEAR: Final = 0x5B02
SET_TIMEOUT: Final = 0x40045B0A
AUTO_ABORT: Final = 0x40015B19

DEVICE: Final = re.compile(r"usbtmc\d+", re.ASCII)
LARGE: Final = 1 << 16
"""More than any answer that is asked for here."""
ANSWER_MS: Final = 2000
MEASURE_MS: Final = 5000
"""The kernel's own; as long as the reader may be held up when the link is closed."""
MEASURES: Final = re.compile(rb"(?:READ|FETC\w*|MEAS[\w:]*|\*OPC)\?", re.IGNORECASE)
BREAK: Final = b"\x03"
"""Clears a serial line; here an ioctl does."""


class Driver(Protocol):
    """The file operations of the device; each raises OSError."""

    def open(self, path: str) -> int:
        """A descriptor for us alone."""
        ...

    def read(self, descriptor: int, size: int) -> bytes:
        """One answer, or what fits of it."""
        ...

    def write(self, descriptor: int, data: bytes) -> None:
        """One whole command."""
        ...

    def ioctl(self, descriptor: int, code: int, argument: bytes | int) -> None:
        """A control request."""
        ...

    def close(self, descriptor: int) -> None:
        """Release it."""
        ...


class KernelDriver:
    """The operating system's."""

    def open(self, path: str) -> int:
        """A descriptor for us alone, as far as others ask too."""
        descriptor = os.open(path, os.O_RDWR | os.O_CLOEXEC)
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            os.close(descriptor)
            raise
        return descriptor

    def read(self, descriptor: int, size: int) -> bytes:
        """One answer, or what fits of it."""
        return os.read(descriptor, size)

    def write(self, descriptor: int, data: bytes) -> None:
        """One whole command."""
        os.write(descriptor, data)

    def ioctl(self, descriptor: int, code: int, argument: bytes | int) -> None:
        """A control request."""
        fcntl.ioctl(descriptor, code, argument)

    def close(self, descriptor: int) -> None:
        """Release it."""
        os.close(descriptor)


class UsbtmcPort:
    """An open device file, as a link uses a port."""

    def __init__(
        self,
        driver: Driver,
        descriptor: int,
        name: str,
        *,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        self._driver = driver
        self._descriptor: int | None = descriptor
        self._name = name
        self._sleep = sleep
        self._is_asked = False
        self._timeout_ms = 0
        with contextlib.suppress(OSError):  # older kernels do not know it
            driver.ioctl(descriptor, AUTO_ABORT, b"\x01")

    def read(self) -> bytes:
        """The answer to the open question, with a line end; empty if none came in its time.

        Without an open question it waits `READ_S` and is empty. Raises PortError if lost.
        """
        if not self._is_asked:
            self._sleep(READ_S)
            return b""
        try:
            data = self._driver.read(self._open(), LARGE)
        except TimeoutError:
            self._clear()
            return b""
        except OSError as error:
            raise PortError(self._lost()) from error
        if len(data) == LARGE:  # the rest of it is read next
            return data
        self._is_asked = False
        # The end of a message says what a line end says on a serial line.
        return data if data.endswith((b"\n", b"\r")) else data + b"\n"

    def write(self, data: bytes) -> None:
        """Send one command; a break clears the instrument instead. Raises PortError if lost."""
        if data.startswith(BREAK):
            self._clear()
            return
        try:
            if b"?" in data:
                self._allow(MEASURE_MS if MEASURES.search(data) else ANSWER_MS)
            self._driver.write(self._open(), data)
        except TimeoutError:
            self._clear()
            return
        except OSError as error:
            raise PortError(self._lost()) from error
        self._is_asked = b"?" in data

    def close(self) -> None:
        """Release the device; never raises."""
        descriptor, self._descriptor = self._descriptor, None
        if descriptor is not None:
            with contextlib.suppress(OSError):
                self._driver.close(descriptor)

    def _clear(self) -> None:
        """Throw away what the instrument was about to say; then nothing is asked of it."""
        self._is_asked = False
        try:
            self._driver.ioctl(self._open(), CLEAR, 0)
        except OSError as error:
            raise PortError(self._lost()) from error

    def _allow(self, patience_ms: int) -> None:
        """Set the time-out of the next read; where that is refused, the kernel's own holds."""
        if patience_ms != self._timeout_ms:
            self._timeout_ms = patience_ms
            with contextlib.suppress(OSError):
                self._driver.ioctl(self._open(), SET_TIMEOUT, struct.pack("@I", patience_ms))

    def _open(self) -> int:
        if self._descriptor is None:
            raise OSError(errno.EBADF, os.strerror(errno.EBADF))
        return self._descriptor

    def _lost(self) -> str:
        return _("Port {port} went away: push the lead in again").format(port=self._name)


def is_usbtmc(port: str) -> bool:
    """Whether this names a device file of USB test and measurement, by itself or by a link."""
    return "://" not in port and DEVICE.fullmatch(Path(os.path.realpath(port)).name) is not None


def open_usbtmc(
    port: str,
    _setting: LineSetting | None = None,
    *,
    dtr: bool = True,  # noqa: ARG001 - a port has lines, this one has none
    rts: bool = False,  # noqa: ARG001 - the same
    driver: Driver | None = None,
) -> UsbtmcPort:
    """Open the device file for us alone. Raises PortError with the way out."""
    chosen = driver or KernelDriver()
    try:
        descriptor = chosen.open(port)
    except OSError as error:
        raise _refusal(port, error) from error
    return UsbtmcPort(chosen, descriptor, port)


def usbtmc_ports(devices: Path = Path("/sys/class/usbmisc")) -> tuple[PortInfo, ...]:
    """Instruments on USB, by name, with what the kernel read of them."""
    found = sorted(devices.glob("usbtmc*")) if devices.is_dir() else []
    return tuple(_info(entry) for entry in found if DEVICE.fullmatch(entry.name))


def _info(entry: Path) -> PortInfo:
    # The entry's device is an interface; the folder above it is the instrument.
    about = (entry / "device").resolve().parent
    return PortInfo(
        port=f"/dev/{entry.name}",
        description=_text(about / "product"),
        vid=_number(about / "idVendor"),
        pid=_number(about / "idProduct"),
        serial=_text(about / "serial") or None,
        location=about.name if (about / "idVendor").exists() else None,
    )


def _text(path: Path) -> str:
    try:
        return path.read_text("utf-8", "replace").strip()
    except OSError:
        return ""


def _number(path: Path) -> int | None:
    text = _text(path)
    return int(text, 16) if re.fullmatch(r"[0-9a-fA-F]{1,4}", text) else None


def _refusal(port: str, error: OSError) -> PortError:
    """One line on why it did not open, with the way out."""
    if error.errno in ABSENT:
        return PortError(
            _("Port {port} is not there: plug the instrument in and switch it on").format(port=port)
        )
    if error.errno in FORBIDDEN:
        return forbidden(port, group_of(port))
    if error.errno in BUSY:
        return busy(port)
    return PortError(
        _("Port {port} does not open: {why}").format(port=port, why=error.strerror or error)
    )
