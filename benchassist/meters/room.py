"""Where links to meters are made."""

import threading
from collections.abc import Callable

from benchassist.core.link import LinkRequest, ListeningOn, PortInfo, Proposal, ProtocolInfo
from benchassist.core.reading import Reading
from benchassist.errors import InputError
from benchassist.meters.link import MeterLink
from benchassist.meters.port import LineSetting, check_address, open_port, ports
from benchassist.meters.roster import FAMILIES, family
from benchassist.meters.scout import Scout
from benchassist.meters.search import Search
from benchassist.meters.translation import _
from benchassist.meters.usbtmc import is_usbtmc, open_usbtmc, usbtmc_ports

Sink = Callable[[Reading], None]


class Room:
    """The meters of this computer. `sink` gets every reading of every link, at its reader."""

    def __init__(self, sink: Sink | None = None) -> None:
        self._sink = sink

    def ports(self) -> tuple[PortInfo, ...]:
        """Ports of this computer: serial ones by name, then instruments on USB."""
        return (*ports(), *usbtmc_ports())

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
        on_usb = is_usbtmc(request.port)
        if on_usb and wanted.make_splitter is not None:
            raise InputError(
                _("Port {port} is an instrument on USB: choose scpi, not {family}").format(
                    port=request.port, family=wanted.name
                )
            )
        return MeterLink(
            request,
            wanted,
            setting,
            sink=self._sink,
            opener=open_usbtmc if on_usb else open_port,
            lister=self.ports,
        )

    def listen(
        self, port: str, stop: threading.Event, *, asks: bool = False
    ) -> tuple[Proposal, ...]:
        """What a meter on this port may be, the surest first; takes up to twenty seconds.

        Only listens, unless `asks` allows to speak to it; the port is left closed. Raises
        InputError for an address that cannot be, PortError where it does not open.
        """
        return self._search(port, stop, asks=asks).run()

    def scout(self, port: str) -> Scout:
        """The same in a thread of its own, and asking: a person named the port.

        Raises InputError for an address that cannot be.
        """
        check_address(port)
        return Scout(port, lambda stop, tell: self._search(port, stop, asks=True, tell=tell))

    def _search(
        self,
        port: str,
        stop: threading.Event,
        *,
        asks: bool,
        tell: Callable[[ListeningOn], None] = lambda _step: None,
    ) -> Search:
        check_address(port)
        if is_usbtmc(port):
            instruments = tuple(known for known in FAMILIES if known.make_splitter is None)
            return Search(
                port, stop, asks=asks, families=instruments, opener=open_usbtmc, tell=tell
            )
        return Search(port, stop, asks=asks, tell=tell)
