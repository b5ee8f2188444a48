"""The kernel's USB device file as a port: one command, one answer, nothing out of step."""

import errno
import os
import pty
import struct
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pytest

from benchassist.core.link import LinkRequest, PortInfo
from benchassist.core.quantity import Quantity
from benchassist.core.reading import LinkState
from benchassist.errors import InputError, PortError
from benchassist.meters.link import MeterLink
from benchassist.meters.port import LineSetting
from benchassist.meters.room import Room
from benchassist.meters.roster import family
from benchassist.meters.usbtmc import (
    AUTO_ABORT,
    CLEAR,
    LARGE,
    SET_TIMEOUT,
    KernelDriver,
    UsbtmcPort,
    is_usbtmc,
    open_usbtmc,
    usbtmc_ports,
)
from tests.meters.stage import drained, gaps, readings, states
from tests.meters.test_link_wire import QuickTime
from tests.meters.usb_device import UsbDevice

S = LinkState
TABLE = {
    "*IDN?": b"GENERIC,DMM,1,1\n",
    "SYST:ERR?": b'+0,"No error"\n',
    "CONF?": b'"RES +1.0E+4,+3.0E-3"\n',
    "SENS:RES:RANG?": b"+1.0E+4\n",
    "SENS:RES:RES?": b"+3.0E-3\n",
    "READ?": b"+3.86000000E+03\n",
}


@pytest.fixture
def device() -> Iterator[UsbDevice]:
    """An instrument that answers from a table; nothing of it may stay open."""
    made = UsbDevice(TABLE.get)
    yield made
    assert made.open_now == 0


@pytest.fixture
def port(device: UsbDevice) -> Iterator[UsbtmcPort]:
    """It, opened."""
    opened = open_usbtmc("/dev/usbtmc0", driver=device)
    yield opened
    opened.close()


def fails(device: UsbDevice, operation: str, number: int) -> Callable[[], None]:
    """Let an operation of the device fail from here on; returns what ends that."""

    def refuse(*_arguments: object) -> None:
        raise OSError(number, os.strerror(number))

    setattr(device, operation, refuse)
    return partial(delattr, device, operation)


def linked(device: UsbDevice) -> MeterLink:
    """A link to the device that does not wait between two tries."""
    known = family("scpi")
    return MeterLink(
        LinkRequest(port="/dev/usbtmc0", protocol="scpi"),
        known,
        LineSetting.read(known.line),
        opener=partial(open_usbtmc, driver=device),
        lister=lambda: (PortInfo(port="/dev/usbtmc0"),) if device.is_there else (),
        time=QuickTime(),
    )


def test_the_codes_are_those_of_the_kernels_macros() -> None:
    """_IO(91, 2), _IOW(91, 10, __u32), _IOW(91, 25, __u8), as <asm-generic/ioctl.h> makes them."""

    def request(direction: int, number: int, size: int) -> int:
        return direction << 30 | size << 16 | 91 << 8 | number

    assert request(0, 2, 0) == CLEAR
    assert request(1, 10, 4) == SET_TIMEOUT
    assert request(1, 25, 1) == AUTO_ABORT


def test_a_question_is_answered(port: UsbtmcPort, device: UsbDevice) -> None:
    """A whole command at a write, a whole answer at a read."""
    port.write(b"*IDN?\n")
    assert port.read() == b"GENERIC,DMM,1,1\n"
    assert device.commands == ["*IDN?"]


def test_nothing_is_read_that_was_not_asked(device: UsbDevice) -> None:
    """A command without a question, or none at all: the device is left alone."""
    waited: list[float] = []
    port = UsbtmcPort(device, device.open("x"), "x", sleep=waited.append)
    assert port.read() == b""
    port.write(b"*CLS\n")
    assert port.read() == b""
    port.write(b"*IDN?\n")
    assert port.read() != b""
    assert port.read() == b""
    assert (device.reads, len(waited)) == (1, 3)
    port.close()


def test_the_end_of_a_message_ends_the_line(port: UsbtmcPort, device: UsbDevice) -> None:
    """An answer without a line feed gets one; an answer larger than a read does not."""
    device.answer = {"A?": b"1", "B?": b"2\r", "C?": b"7" * LARGE}.get
    for question, answer in ((b"A?", b"1\n"), (b"B?", b"2\r"), (b"C?", b"7" * LARGE)):
        port.write(question)
        assert port.read() == answer


def test_a_time_out_clears_and_the_late_answer_is_gone(port: UsbtmcPort, device: UsbDevice) -> None:
    """ETIMEDOUT: empty, the instrument cleared, the next answer is the next question's."""
    device.answer = lambda command: None if command == "READ?" else b"second\n"
    port.write(b"READ?\n")
    assert port.read() == b""
    assert (CLEAR, 0) in device.requests
    assert port.read() == b""
    assert device.reads == 1
    port.write(b"*IDN?\n")
    assert port.read() == b"second\n"
    assert device.interrupted == 0


def test_a_break_clears(port: UsbtmcPort, device: UsbDevice) -> None:
    """What a session sends to clear a serial line is a control request here; no byte is sent."""
    port.write(b"READ?\n")
    port.write(b"\x03\n")
    assert device.requests[-1] == (CLEAR, 0)
    assert device.commands == ["READ?"]
    assert port.read() == b""


def test_a_write_that_times_out_asked_nothing(port: UsbtmcPort, device: UsbDevice) -> None:
    """Cleared; nothing is waited for."""
    mend = fails(device, "write", errno.ETIMEDOUT)
    port.write(b"READ?\n")
    mend()
    assert (CLEAR, 0) in device.requests
    assert port.read() == b""
    assert device.reads == 0


@pytest.mark.parametrize("number", [errno.ENODEV, errno.EIO, errno.EPIPE])
@pytest.mark.parametrize("operation", ["read", "write", "ioctl"])
def test_a_device_that_is_gone_is_lost(
    port: UsbtmcPort, device: UsbDevice, operation: str, number: int
) -> None:
    """While reading, writing or clearing: one line, and closing still works."""
    port.write(b"READ?\n")
    fails(device, operation, number)
    attempts: dict[str, Callable[[], object]] = {
        "read": port.read,
        "write": partial(port.write, b"*CLS"),
        "ioctl": partial(port.write, b"\x03\n"),
    }
    with pytest.raises(PortError, match="/dev/usbtmc0 went away"):
        attempts[operation]()


def test_a_measurement_may_take_longer_than_an_answer(port: UsbtmcPort, device: UsbDevice) -> None:
    """The time-out is set before the question, only when it changes."""
    for command in (b"*IDN?", b"CONF?", b"*CLS", b"READ?", b"READ?", b"SYST:ERR?"):
        port.write(command)
        port.read()
    asked = [value for code, value in device.requests if code == SET_TIMEOUT]
    assert asked == [struct.pack("@I", ms) for ms in (2000, 5000, 2000)]
    assert device.requests[0] == (AUTO_ABORT, b"\x01")


def test_a_kernel_without_automatic_abort_will_do(device: UsbDevice) -> None:
    """Its refusal is no matter."""
    mend = fails(device, "ioctl", errno.ENOTTY)
    port = open_usbtmc("x", driver=device)
    mend()
    port.write(b"*IDN?")
    assert port.read() == TABLE["*IDN?"]
    port.close()


def test_a_closed_port_is_lost(device: UsbDevice) -> None:
    """Closing twice is closing; reading after it is a lost port."""
    port = open_usbtmc("x", driver=device)
    port.write(b"*IDN?")
    port.close()
    port.close()
    with pytest.raises(PortError):
        port.read()
    with pytest.raises(PortError):
        port.write(b"*IDN?")


@pytest.mark.parametrize(
    ("number", "said"),
    [
        (errno.ENOENT, "is not there: plug"),
        (errno.ENODEV, "is not there: plug"),
        (errno.EACCES, "udev rule"),
        (errno.EBUSY, "is in use"),
        (errno.EWOULDBLOCK, "is in use"),
        (errno.EIO, "does not open"),
    ],
)
def test_every_failure_to_open_has_one_line(device: UsbDevice, number: int, said: str) -> None:
    """With the way out."""
    device.refuses = number
    with pytest.raises(PortError, match=f"/dev/usbtmc0.*{said}"):
        open_usbtmc("/dev/usbtmc0", driver=device)


def test_the_kernels_own_operations() -> None:
    """Open for us alone, write, read, close, on a real device file."""
    master, slave = pty.openpty()
    path = os.ttyname(slave)
    port = open_usbtmc(path)
    with pytest.raises(PortError, match="is in use"):
        open_usbtmc(path)
    port.write(b"*IDN?\n")
    assert os.read(master, 100) == b"*IDN?\r\n"
    os.write(master, b"A,B,C,D\n")
    assert port.read() == b"A,B,C,D\n"
    with pytest.raises(PortError):  # a terminal knows no such request
        port.write(b"\x03\n")
    port.close()
    KernelDriver().close(KernelDriver().open(path))
    for end in (master, slave):
        os.close(end)
    with pytest.raises(PortError, match="is not there"):
        open_usbtmc("/dev/usbtmc999")


def test_instruments_are_listed_with_what_usb_says(tmp_path: Path) -> None:
    """From the kernel's tree: name, product, numbers; what is missing is unknown."""
    bus, listed = tmp_path / "1-1", tmp_path / "usbmisc"
    (bus / "1-1:1.0").mkdir(parents=True)
    for name, text in {"idVendor": "0a1b", "idProduct": "0002", "product": "DMM"}.items():
        (bus / name).write_text(text + "\n")
    (bus / "serial").write_text("S77\n")
    for name in ("usbtmc1", "usbtmc0", "usbtmc-odd", "hiddev0"):
        (listed / name).mkdir(parents=True)
    (listed / "usbtmc1" / "device").symlink_to(bus / "1-1:1.0")
    assert usbtmc_ports(listed) == (
        PortInfo(port="/dev/usbtmc0"),
        PortInfo(
            port="/dev/usbtmc1", description="DMM", vid=0x0A1B, pid=2, serial="S77", location="1-1"
        ),
    )
    assert usbtmc_ports(tmp_path / "none") == ()


def test_a_device_file_is_known_by_its_name(tmp_path: Path) -> None:
    """Also behind a link; a network address never is one."""
    link = tmp_path / "dmm"
    link.symlink_to("/dev/usbtmc3")
    assert is_usbtmc("/dev/usbtmc0")
    assert is_usbtmc(str(link))
    assert not is_usbtmc("/dev/ttyUSB0")
    assert not is_usbtmc("socket://usbtmc0")


def test_only_scpi_is_spoken_on_usb() -> None:
    """A hand-held family on a device file is refused before any thread starts."""
    with pytest.raises(InputError, match="/dev/usbtmc0 is an instrument on USB: choose scpi"):
        Room().open(LinkRequest(port="/dev/usbtmc0", protocol="nibble-14"))


def test_a_room_opens_a_device_file_by_its_own_way() -> None:
    """An absent one is told as an instrument that is not there."""
    link = Room().open(LinkRequest(port="/dev/usbtmc999", protocol="scpi"))
    items = drained(link, lambda seen: S.LOST in states(seen))
    link.close()
    (lost,) = [item for item in items if getattr(item, "state", None) is S.LOST]
    assert "plug the instrument in" in getattr(lost, "detail", "")


def test_an_instrument_on_usb_is_read(device: UsbDevice) -> None:
    """From the device file to readings with function and range; never a question too many."""
    link = linked(device)
    items = drained(link, lambda seen: len(readings(seen)) >= 5)
    link.close()
    found = readings(items)[0]
    assert (found.value, found.quantity) == (3860.0, Quantity.RESISTANCE)
    assert (found.full_scale, found.resolution) == (10_000.0, 0.003)
    assert device.interrupted == 0


def test_an_answer_that_stays_away_does_not_slip(device: UsbDevice) -> None:
    """One READ? is not answered: cleared, found again, and every number is its own question's."""
    count = iter(range(1, 100))

    def answer(command: str) -> bytes | None:
        if command != "READ?":
            return TABLE.get(command)
        number = next(count)
        return None if number == 3 else f"{number}.0\n".encode()

    device.answer = answer
    link = linked(device)
    items = drained(link, lambda seen: len(readings(seen)) >= 5)
    link.close()
    assert [r.value for r in readings(items)][:5] == [1.0, 2.0, 4.0, 5.0, 6.0]
    assert device.interrupted == 0
    assert (CLEAR, 0) in device.requests


def test_unplugged_and_plugged_in_again(device: UsbDevice) -> None:
    """ENODEV: lost, closed, opened anew, identified again, with the gap told."""
    link = linked(device)
    drained(link, lambda seen: len(readings(seen)) >= 2)
    device.is_there = False
    drained(link, lambda seen: S.LOST in states(seen))
    device.answer = {**TABLE, "READ?": b"+1.1E+0\n"}.get
    device.is_there = True
    items = drained(link, lambda seen: len(readings(seen)) >= 2)
    link.close()
    assert {r.value for r in readings(items)} == {1.1}
    assert [g.reason for g in gaps(items)] == ["lost"]
    assert device.commands.count("*IDN?") == 2


def test_quitting_while_an_answer_is_awaited(device: UsbDevice) -> None:
    """The thread ends once the read's time is over; nothing stays open."""
    device.answer = lambda command: None if command == "READ?" else TABLE.get(command)
    link = linked(device)
    drained(link, lambda _seen: "READ?" in device.commands)
    link.close()
    assert not link._thread.is_alive()
