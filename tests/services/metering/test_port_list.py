"""The list of ports is a contract: what was added to a port since is not in it."""

from benchassist.core.link import PortInfo
from benchassist.services.metering.port_list import port_list
from tests.services.fakes import FakeRoom


def test_a_port_has_five_fields_and_no_more() -> None:
    """Its location is for following a lead."""

    class Room(FakeRoom):
        def ports(self) -> tuple[PortInfo, ...]:
            return (PortInfo(port="/dev/a", vid=1, pid=2, serial="7", location="1-2"),)

    listed = port_list(Room())
    assert listed["ports"] == [
        {"port": "/dev/a", "description": "", "vid": 1, "pid": 2, "serial": "7"}
    ]
    assert listed["protocols"] == [{"name": "nibble-14", "line": "19200-7O1", "doubled": False}]
