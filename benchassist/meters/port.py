"""The only door to pyserial: open, read, write and list ports, every failure in one plain line."""

import contextlib
import errno
import os
import re
import select
import sys
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Final, Protocol

import serial
from serial.tools import list_ports

from benchassist.core.link import PortInfo
from benchassist.core.plain_text import brief
from benchassist.errors import InputError, PortError
from benchassist.meters.port_refused import refusal
from benchassist.meters.translation import _

# Flushing after an unplug raises termios.error, which is no OSError; closing from another thread
# during a read raises TypeError.
TROUBLE: tuple[type[Exception], ...] = (OSError, TypeError)
if sys.platform != "win32":
    import termios

    TROUBLE = (*TROUBLE, termios.error)
NOT_OPEN: tuple[type[Exception], ...] = (*TROUBLE, ValueError)

READ_S: Final = 0.075
READ_MS: Final = READ_S * 1e3
WRITE_S: Final = 2.0
CHUNK: Final = 4096
SCHEMES: Final = ("socket", "rfc2217", "loop", "spy", "hwgrep")
LINE: Final = re.compile(r"(\d{2,7})-([5-8])([NEOMS])(1\.5|1|2)", re.ASCII)


@dataclass(frozen=True, slots=True)
class LineSetting:
    """Baud rate, data bits, parity letter and stop bits of a serial line."""

    baud: int
    bits: int
    parity: str
    stop: float

    @classmethod
    def read(cls, text: str, *, baud: int | None = None) -> "LineSetting":
        """A setting such as '2400-7O1'; `baud` overrides its rate. Raises InputError."""
        found = LINE.fullmatch(text.strip().upper())
        if found is None:
            raise InputError(
                _("Line setting '{text}': write baud, bits, parity and stop as in 2400-7O1").format(
                    text=brief(text)
                )
            )
        rate = int(found[1]) if baud is None else baud
        if not 50 <= rate <= 4_000_000:
            raise InputError(
                _("Baud rate {rate}: a rate from 50 to 4000000 would be right").format(rate=rate)
            )
        return cls(rate, int(found[2]), found[3], float(found[4]))

    def __str__(self) -> str:
        return f"{self.baud}-{self.bits}{self.parity}{self.stop:g}"


class Port(Protocol):
    """An open port as a link uses it. Every method but `close` raises PortError once it is lost."""

    def read(self) -> bytes:
        """What has come, waiting at most `READ_S` for the first byte; empty if nothing came."""
        ...

    def write(self, data: bytes) -> None:
        """Send, waiting at most `WRITE_S`."""
        ...

    def close(self) -> None:
        """Release the port; never raises."""
        ...


class SerialPort:
    """A port that pyserial opened: a device, or a pyserial URL."""

    def __init__(self, opened: serial.SerialBase, name: str) -> None:
        self._serial = opened
        self._name = name
        self._is_stream = name.startswith("socket:")

    def read(self) -> bytes:
        """What has come, waiting at most `READ_S` for the first byte; raises PortError if lost."""
        try:
            data = bytes(self._serial.read(max(1, self._serial.in_waiting)))
        except TROUBLE as error:
            raise PortError(self._lost()) from error
        if data and self._is_stream:  # it never tells how much is waiting
            data += self._waiting()
        return data

    def write(self, data: bytes) -> None:
        """Send, waiting at most `WRITE_S`; raises PortError if lost or if nothing takes it."""
        try:
            self._serial.write(data)
        except TROUBLE as error:
            raise PortError(self._lost()) from error

    def close(self) -> None:
        """Release the port; never raises."""
        # pyserial leaves a socket open whose peer has reset the connection.
        stream = getattr(self._serial, "_socket", None) if self._is_stream else None
        with contextlib.suppress(*TROUBLE):
            self._serial.close()
        if stream is not None:
            stream.close()

    def _waiting(self) -> bytes:
        try:
            self._serial.timeout = 0
            return bytes(self._serial.read(CHUNK))
        except TROUBLE:
            return b""  # the next read meets the same and says so, after these bytes were used
        finally:
            self._serial.timeout = READ_S

    def _lost(self) -> str:
        return _("Port {port} went away: push the lead in again").format(port=self._name)


class DescriptorPort(SerialPort):
    """A port that is a descriptor of the system and nothing more: one wait and one read at a time.

    pyserial takes three or four system calls for that; it has set the descriptor to return at once.
    """

    def __init__(self, opened: serial.SerialBase, name: str) -> None:
        super().__init__(opened, name)
        self._descriptor: int = opened.fileno()
        waiting = select.poll()
        waiting.register(self._descriptor, select.POLLIN)
        self._poll: Callable[[float], object] = waiting.poll

    def read(self) -> bytes:
        """What has come, waiting at most `READ_S` for the first byte; raises PortError if lost."""
        try:
            if not self._poll(READ_MS):
                return b""
            data = os.read(self._descriptor, CHUNK)
        except BlockingIOError:
            return b""
        except OSError as error:
            raise PortError(self._lost()) from error
        if not data:  # ready and nothing to read: unplugged, or closed by the other side
            raise PortError(self._lost())
        return data

    def close(self) -> None:
        """Release the port; never raises. Its descriptor's number may be another file's then."""
        self._poll = _closed
        super().close()


def _closed(_wait_ms: float) -> object:
    raise OSError(errno.EBADF, "the port was closed")


def check_address(port: str) -> None:
    """Raise InputError unless this is a device path or a URL that can be opened here."""
    scheme, separator, rest = port.partition("://")
    if not port.strip():
        raise InputError(_("The port is empty: name a device or an address as socket://host:5025"))
    if separator and scheme not in SCHEMES:
        raise InputError(
            _("Port {port}: an address starts with one of {schemes}").format(
                port=port, schemes=", ".join(f"{s}://" for s in SCHEMES)
            )
        )
    if scheme in {"socket", "rfc2217"} and not re.fullmatch(r"[^/]+:\d{1,5}(/.*)?", rest):
        raise InputError(
            _("Port {port}: write host and number as in {scheme}://192.168.0.5:5025").format(
                port=port, scheme=scheme
            )
        )


def open_port(
    port: str, setting: LineSetting, *, dtr: bool = True, rts: bool = False
) -> SerialPort:
    """Open a device path or pyserial URL for us alone. Raises PortError with the way out.

    DTR and RTS are set before opening: many leads draw their power from them, and setting them
    afterwards fails where a port has no modem lines.
    """
    try:
        opened = serial.serial_for_url(port, do_not_open=True)
        opened.baudrate = setting.baud
        opened.bytesize = setting.bits
        opened.parity = setting.parity
        opened.stopbits = setting.stop
        opened.timeout = READ_S
        opened.write_timeout = WRITE_S
        opened.exclusive = True
        opened.dtr = dtr
        opened.rts = rts
        opened.open()
    except NOT_OPEN as error:
        raise refusal(port, str(setting), error) from error
    if setting.parity != "N":
        _check_parity(opened)
    if sys.platform == "linux" and (type(opened) is serial.Serial or port.startswith("socket:")):
        return DescriptorPort(opened, port)
    return SerialPort(opened, port)


def ports() -> tuple[PortInfo, ...]:
    """Serial ports of this computer, by name, with what USB says of them."""
    return tuple(
        PortInfo(
            port=found.device,
            description="" if found.description in {None, "n/a"} else found.description,
            vid=found.vid,
            pid=found.pid,
            serial=found.serial_number or None,
            location=found.location or None,
        )
        for found in sorted(list_ports.comports(), key=lambda found: str(found.device))
    )


def same_port(before: PortInfo | None, now: Iterable[PortInfo]) -> PortInfo | None:
    """The port that a lead came back on: by its USB identity and never by name alone.

    A lead with a serial number is known by it wherever it is plugged in, one without by the socket
    it was plugged into. None where it is not there, can be known by neither, or two look the same.
    """
    if before is None or before.vid is None or not (before.serial or before.location):
        return None
    identity = _identity(before)
    found = [port for port in now if _identity(port) == identity]
    return found[0] if len(found) == 1 else None


def _identity(port: PortInfo) -> tuple[object, ...]:
    return (port.vid, port.pid, port.serial, None if port.serial else port.location)


def _check_parity(opened: serial.SerialBase) -> None:
    """Ask the line discipline to check parity, which pyserial does not; a pty has none to check."""
    if sys.platform == "win32":
        return
    with contextlib.suppress(*TROUBLE):
        attributes = termios.tcgetattr(opened.fileno())
        attributes[0] |= termios.INPCK  # a byte with wrong parity then reads as 0x00, in no frame
        termios.tcsetattr(opened.fileno(), termios.TCSANOW, attributes)
