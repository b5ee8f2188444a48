"""Where a lead is found again: by its number, else by its socket, never by the name of its port."""

import pytest

from benchassist.core.link import PortInfo
from benchassist.errors import PortError, PortRefusedError
from benchassist.meters.lead import Lead
from tests.meters.stage import FRAME, Cue, ScriptedPort, Stage, StageTime, played

BARE = PortInfo(port="/dev/ttyUSB0", vid=1, pid=2, location="1-2")
SETTLE: Cue = 0.2


class Socket:
    """The ports of a computer; the test plugs in and out."""

    def __init__(self, *ports: PortInfo) -> None:
        self.ports = ports

    def __call__(self) -> tuple[PortInfo, ...]:
        """What is plugged in now."""
        return self.ports


def opened(*ports: PortInfo) -> tuple[Lead, Socket]:
    """A lead that was opened on /dev/ttyUSB0."""
    computer = Socket(*ports)
    lead = Lead("/dev/ttyUSB0", computer)
    assert lead.address() == "/dev/ttyUSB0"
    lead.was_opened("/dev/ttyUSB0")
    return lead, computer


def named(port: str, location: str, serial: str | None = None) -> PortInfo:
    """A lead of the same kind."""
    return PortInfo(port=port, vid=1, pid=2, serial=serial, location=location)


def test_a_lead_without_number_is_followed_by_its_socket() -> None:
    """Back under another name, while its twin has the name it had."""
    lead, computer = opened(BARE)
    computer.ports = (named("/dev/ttyUSB0", "1-3"), named("/dev/ttyUSB1", "1-2"))
    assert lead.is_there()
    assert lead.address() == "/dev/ttyUSB1"


def test_a_twin_in_another_socket_is_not_it() -> None:
    """Same name and same kind: not opened, and the person is told what to do."""
    lead, computer = opened(BARE)
    computer.ports = (named("/dev/ttyUSB0", "1-3"),)
    assert not lead.is_there()
    with pytest.raises(PortRefusedError, match="in another socket: plug it in where it was"):
        lead.address()


def test_another_kind_in_its_socket_is_not_it() -> None:
    """What is plugged in there has other numbers."""
    lead, computer = opened(BARE)
    computer.ports = (PortInfo(port="/dev/ttyUSB0", vid=9, pid=9, location="1-2"),)
    assert not lead.is_there()
    with pytest.raises(PortError, match="is not there: plug it in again") as caught:
        lead.address()
    assert not isinstance(caught.value, PortRefusedError)


def test_a_number_wins_over_the_socket() -> None:
    """It is followed into any other, and nothing else in its own is taken for it."""
    lead, computer = opened(named("/dev/ttyUSB0", "1-2", "A7"))
    computer.ports = (named("/dev/ttyUSB0", "1-2", "B9"), named("/dev/ttyUSB1", "1-4", "A7"))
    assert lead.address() == "/dev/ttyUSB1"
    computer.ports = (named("/dev/ttyUSB0", "1-2", "B9"),)
    with pytest.raises(PortError, match="is not there"):
        lead.address()


def test_one_number_twice_is_not_chosen_between() -> None:
    """Cheap leads share one; the person plugs in one alone."""
    lead, computer = opened(named("/dev/ttyUSB0", "1-2", "0001"))
    computer.ports = (
        named("/dev/ttyUSB0", "1-2", "0001"),
        named("/dev/ttyUSB1", "1-3", "0001"),
    )
    with pytest.raises(PortRefusedError, match="two look the same: plug in one alone"):
        lead.address()


def test_a_port_that_usb_knows_nothing_of_is_known_by_its_name() -> None:
    """A built-in port, a pty: there is nothing else to go by."""
    lead, computer = opened(PortInfo(port="/dev/ttyUSB0"))
    computer.ports = (PortInfo(port="/dev/ttyUSB0"),)
    assert lead.address() == "/dev/ttyUSB0"
    assert lead.is_there()


def test_a_link_follows_the_socket() -> None:
    """From loss to the same lead under its new name."""
    time = StageTime()
    computer = Socket(BARE)
    first = ScriptedPort(time, [SETTLE, *[FRAME] * 3, PortError("went away")])
    second = ScriptedPort(time, [SETTLE, *[FRAME] * 3])
    stage = Stage(first, second, time=time, lister=computer)
    back = (named("/dev/ttyUSB0", "1-3"), named("/dev/ttyUSB1", "1-2"))
    link = stage.link(port="/dev/ttyUSB0", sink=lambda _r: setattr(computer, "ports", back))
    played(link, second.played)
    assert stage.opened == ["/dev/ttyUSB0", "/dev/ttyUSB1"]
