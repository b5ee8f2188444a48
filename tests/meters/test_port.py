"""The door to the serial port: settings, failures in one line, a real pty and TCP."""

import errno
import os
import pty
import socket
import termios
import tty
from collections.abc import Iterator
from pathlib import Path

import pytest
import serial
from serial.tools import list_ports

from benchassist.core.link import PortInfo
from benchassist.errors import InputError, PortError
from benchassist.meters.port import (
    LineSetting,
    SerialPort,
    check_address,
    open_port,
    ports,
    same_port,
)

SETTING = LineSetting(19200, 7, "O", 1)


@pytest.fixture
def pair() -> Iterator[tuple[int, str]]:
    """A raw pty: its master and the path to open."""
    master, meter_side = pty.openpty()
    tty.setraw(meter_side)
    yield master, os.ttyname(meter_side)
    for end in (master, meter_side):
        try:
            os.close(end)
        except OSError:
            continue


def read_on(opened: SerialPort, found: bytearray) -> None:
    """Read until the port is lost, keeping what came."""
    while True:
        found += opened.read()


@pytest.mark.parametrize("text", ["2400-7O1", "19200-8N1", "1200-7n2", "9600-8E1.5", "600-5M2"])
def test_a_line_setting_is_read_and_written(text: str) -> None:
    """Baud, bits, parity letter, stop bits."""
    assert str(LineSetting.read(f" {text} ")) == text.upper()


@pytest.mark.parametrize(
    "text",
    ["", "2400", "2400-7O", "2400 7O1", "2400-9N1", "2400-8X1", "2400-8N3", "1-8N1", "٢٤٠٠-8N1"],
)
def test_a_line_setting_that_is_none_is_refused(text: str) -> None:
    """The line names the input or shows what would be right."""
    with pytest.raises(InputError, match=r"2400-7O1|50 to 4000000"):
        LineSetting.read(text)


def test_a_baud_rate_overrides_the_family() -> None:
    """One option instead of the whole line; an impossible one is refused."""
    assert str(LineSetting.read("19200-7O1", baud=2400)) == "2400-7O1"
    with pytest.raises(InputError, match="50 to 4000000"):
        LineSetting.read("19200-7O1", baud=-1)


@pytest.mark.parametrize(
    "address",
    ["", "  ", "http://here", "socket://here", "socket://here:port", "socket://", "rfc2217://x"],
)
def test_an_address_that_cannot_be_is_refused(address: str) -> None:
    """Before any thread starts."""
    with pytest.raises(InputError):
        check_address(address)


@pytest.mark.parametrize(
    "address", ["/dev/ttyUSB0", "COM3", "socket://127.0.0.1:5025", "loop://", "rfc2217://h:1/x"]
)
def test_an_address_that_can_be_is_let_through(address: str) -> None:
    """Devices and the addresses pyserial knows."""
    check_address(address)


def test_bytes_go_both_ways_unaltered(pair: tuple[int, str]) -> None:
    """All 256 values in and out of a pty, whatever the setting."""
    master, path = pair
    opened = open_port(path, SETTING)
    try:
        everything = bytes(range(256))
        os.write(master, everything)
        found = b""
        while len(found) < len(everything):
            found += opened.read()
        assert found == everything
        opened.write(everything)
        assert os.read(master, 1024) == everything
    finally:
        opened.close()


def test_a_closed_port_reads_nothing_of_another(pair: tuple[int, str]) -> None:
    """The number of its descriptor may be given to the next file that opens."""
    opened = open_port(pair[1], SETTING)
    opened.close()
    reading_end, writing_end = os.pipe()
    try:
        os.write(writing_end, b"not for a meter")
        with pytest.raises(PortError):
            opened.read()
    finally:
        os.close(reading_end)
        os.close(writing_end)


def test_parity_is_asked_to_be_checked(pair: tuple[int, str]) -> None:
    """A byte with wrong parity is to read as zero, which is in no frame."""
    opened = open_port(pair[1], SETTING)
    try:
        assert termios.tcgetattr(opened._serial.fileno())[0] & termios.INPCK
    finally:
        opened.close()


def test_reading_nothing_gives_nothing(pair: tuple[int, str]) -> None:
    """A read waits its short while and comes back empty."""
    opened = open_port(pair[1], SETTING)
    try:
        assert opened.read() == b""
    finally:
        opened.close()


def test_an_absent_port_says_so() -> None:
    """And what to do."""
    with pytest.raises(PortError, match=r"/dev/no-such-port is not there: plug"):
        open_port("/dev/no-such-port", SETTING)


def test_a_busy_port_says_so(pair: tuple[int, str]) -> None:
    """Another program that holds it for itself."""
    first = open_port(pair[1], SETTING)
    try:
        with pytest.raises(PortError, match="is in use: close the other program"):
            open_port(pair[1], SETTING)
    finally:
        first.close()


def test_a_file_is_no_port(tmp_path: Path) -> None:
    """Something that opens but has no line."""
    path = tmp_path / "plain"
    path.write_text("")
    with pytest.raises(PortError, match="is not a serial port"):
        open_port(str(path), SETTING)


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (serial.SerialException(errno.EACCES, "could not open port"), "dialout group"),
        (serial.SerialException(errno.EPERM, "could not open port"), "dialout group"),
        (serial.SerialException(errno.EBUSY, "could not open port"), "is in use"),
        (serial.SerialException("could not open port 'COM3': PermissionError(13)"), "is in use"),
        (serial.SerialException("could not open port: FileNotFoundError(2)"), "is not there"),
        (serial.SerialException(errno.EIO, "could not open port"), "does not open"),
        (ValueError("odd"), "does not open: odd"),
    ],
)
def test_every_failure_to_open_has_one_line(
    monkeypatch: pytest.MonkeyPatch, error: Exception, said: str
) -> None:
    """A port that is forbidden names the group; what the system says otherwise is passed on."""

    def refuse(*_args: object, **_named: object) -> None:
        raise error

    monkeypatch.setattr(serial, "serial_for_url", refuse)
    with pytest.raises(PortError, match=said) as caught:
        open_port("/dev/ttyX", SETTING)
    assert "\n" not in str(caught.value)


def test_an_unplugged_port_is_lost_to_reading_and_writing(pair: tuple[int, str]) -> None:
    """Both say the same one line, and closing still works."""
    master, path = pair
    opened = open_port(path, SETTING)
    os.close(master)
    with pytest.raises(PortError, match="went away"):
        read_on(opened, bytearray())
    with pytest.raises(PortError, match="went away"):
        opened.write(b"x")
    opened.close()


def test_a_network_port_hands_on_what_came_before_the_end() -> None:
    """Bytes that came with the closing of the connection are read; then it is lost."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        opened = open_port(f"socket://127.0.0.1:{server.getsockname()[1]}", SETTING)
        peer, _address = server.accept()
        peer.sendall(b"last words")
        peer.close()
        found = bytearray()
        with pytest.raises(PortError, match="went away"):
            read_on(opened, found)
        opened.close()
    assert found == b"last words"


def test_a_refused_connection_says_so() -> None:
    """Nothing listens there any more."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        number = server.getsockname()[1]
    with pytest.raises(PortError, match=f"Nothing answers at socket://127.0.0.1:{number}"):
        open_port(f"socket://127.0.0.1:{number}", SETTING)


def test_ports_are_listed_with_what_usb_says(monkeypatch: pytest.MonkeyPatch) -> None:
    """Sorted by name; what is not known is None or empty."""

    class Found:
        def __init__(self, device: str, description: str | None, vid: int | None) -> None:
            self.device, self.description, self.vid = device, description, vid
            self.pid, self.serial_number, self.location = vid, None, device[-1] if vid else None

    listed = [Found("/dev/b", "a lead", 0x10), Found("/dev/a", "n/a", None)]
    monkeypatch.setattr(list_ports, "comports", lambda: listed)
    assert ports() == (
        PortInfo(port="/dev/a"),
        PortInfo(port="/dev/b", description="a lead", vid=0x10, pid=0x10, location="b"),
    )


def test_a_lead_is_known_by_its_number_and_not_by_name() -> None:
    """The same number on another name is it; two alike, none, or no number at all are not."""
    before = PortInfo(port="/dev/ttyUSB0", vid=1, pid=2, serial="77")
    moved = PortInfo(port="/dev/ttyUSB1", vid=1, pid=2, serial="77")
    other = PortInfo(port="/dev/ttyUSB0", vid=1, pid=2, serial="78")
    assert same_port(before, [other, moved]) == moved
    assert same_port(before, [other]) is None
    assert same_port(before, [before, moved]) is None
    assert same_port(PortInfo(port="/dev/ttyUSB0", vid=1, pid=2), [other]) is None
    assert same_port(None, [other]) is None
