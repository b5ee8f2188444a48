"""The only door to pyserial: open, read, write and list ports, every failure in one plain line."""

import contextlib
import errno
import re
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Protocol

import serial
from serial.tools import list_ports

from benchassist.core.link import PortInfo
from benchassist.errors import InputError, PortError, PortRefusedError
from benchassist.meters.translation import _

# Flushing after an unplug raises termios.error, which is no OSError; closing from another thread
# during a read raises TypeError.
TROUBLE: tuple[type[Exception], ...] = (OSError, TypeError)
if sys.platform != "win32":
    import grp
    import termios

    TROUBLE = (*TROUBLE, termios.error)
NOT_OPEN: tuple[type[Exception], ...] = (*TROUBLE, ValueError)

READ_S: Final = 0.075
WRITE_S: Final = 2.0
CHUNK: Final = 4096
SCHEMES: Final = ("socket", "rfc2217", "loop", "spy", "hwgrep")
ABSENT: Final = frozenset({errno.ENOENT, errno.ENODEV, errno.ENXIO})
FORBIDDEN: Final = frozenset({errno.EACCES, errno.EPERM})
BUSY: Final = frozenset({errno.EBUSY, errno.EAGAIN, errno.EWOULDBLOCK})
NO_LINE: Final = frozenset({errno.ENOTTY, errno.EISDIR, errno.ENOTDIR})
GROUPS: Final = ("dialout", "uucp")
"""What systems call the group of serial ports, where the port itself cannot be asked."""
GROUP_MAY: Final = 0o060
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
                    text=text
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
        raise _refusal(port, setting, error) from error
    if setting.parity != "N":
        _check_parity(opened)
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


def _refusal(port: str, setting: LineSetting, error: Exception) -> PortError:
    """One line on why a port did not open, with the way out."""
    text = str(error)
    number = getattr(error, "errno", None)
    if "://" in port:
        return PortError(
            _("Nothing answers at {port}: switch it on and check the address").format(port=port)
        )
    if number in ABSENT or "FileNotFoundError" in text:
        return PortError(_("Port {port} is not there: plug the meter's lead in").format(port=port))
    if number in FORBIDDEN:
        return forbidden(port, group_of(port) if Path(port).exists() else _usual_group())
    if number in BUSY or "PermissionError" in text:
        return busy(port)
    if "configure port" in text or number in NO_LINE:
        return PortRefusedError(
            _("{port} is not a serial port: choose one that takes {setting}").format(
                port=port, setting=setting
            )
        )
    return PortError(
        _("Port {port} does not open: {why}").format(port=port, why=text.splitlines()[0])
    )


def busy(port: str) -> PortRefusedError:
    """Another program has it."""
    return PortRefusedError(
        _("Port {port} is in use: close the other program that reads it").format(port=port)
    )


def forbidden(port: str, group: str | None) -> PortRefusedError:
    """Not for this user: the group to join, or the rule that gives the port to who sits there."""
    if group is None:
        return PortRefusedError(
            _(
                "Port {port} is forbidden: install the program's udev rule, then plug it in again"
            ).format(port=port)
        )
    return PortRefusedError(
        _("Port {port} is forbidden: add your user to the {group} group, log in anew").format(
            port=port, group=group
        )
    )


def group_of(port: str) -> str | None:
    """The group whose members may open a device, None where there is none to join."""
    if sys.platform == "win32":
        return None
    try:
        found = Path(port).stat()
        if found.st_gid == 0 or found.st_mode & GROUP_MAY != GROUP_MAY:
            return None
        return grp.getgrgid(found.st_gid).gr_name
    except (OSError, KeyError):
        return None


def _usual_group() -> str | None:
    """What this system calls the group of serial ports."""
    if sys.platform == "win32":
        return None
    known = {entry.gr_name for entry in grp.getgrall()}
    return next((name for name in GROUPS if name in known), GROUPS[0])
