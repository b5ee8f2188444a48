"""Where links to meters are made."""

from collections.abc import Callable

from benchassist.core.link import LinkRequest, PortInfo, ProtocolInfo
from benchassist.core.reading import Reading
from benchassist.meters.link import MeterLink
from benchassist.meters.port import LineSetting, check_address, ports
from benchassist.meters.roster import FAMILIES, family

Sink = Callable[[Reading], None]


class Room:
    """The meters of this computer. `sink` gets every reading of every link, at its reader."""

    def __init__(self, sink: Sink | None = None) -> None:
        self._sink = sink

    def ports(self) -> tuple[PortInfo, ...]:
        """Ports of this computer, by name."""
        return ports()

    def protocols(self) -> tuple[ProtocolInfo, ...]:
        """Frame families this program reads."""
        return tuple(known.info for known in FAMILIES)

    def open(self, request: LinkRequest) -> MeterLink:
        """A link that opens in its own thread; close it to end that.

        Raises InputError for a family, a line setting or an address that cannot be.
        """
        wanted = family(request.protocol)
        setting = LineSetting.read(request.line or wanted.line, baud=request.baud)
        check_address(request.port)
        return MeterLink(request, wanted, setting, sink=self._sink)
