"""Where a meter's lead is plugged in: found again by what USB says of it, not by name alone."""

import os
from collections.abc import Callable, Sequence
from pathlib import Path

from benchassist.core.link import PortInfo
from benchassist.errors import PortError, PortRefusedError
from benchassist.meters.port import same_port
from benchassist.meters.translation import _

Lister = Callable[[], tuple[PortInfo, ...]]


class Lead:
    """The lead on the port that was asked for, once it was there."""

    def __init__(self, port: str, lister: Lister) -> None:
        self._port = port
        self._lister = lister
        self._usb: PortInfo | None = None

    def address(self) -> str:
        """Where to open now: the port asked for, or the one the same lead came back on.

        Raises PortError where another lead stands in its place, or two look the same.
        """
        if self._usb is None:
            return self._port
        known = self._lister()
        found = same_port(self._usb, known)
        if found is None:
            raise self._missing(self._usb, known)
        return found.port

    def _missing(self, lead: PortInfo, known: Sequence[PortInfo]) -> PortError:
        alike = [p for p in known if (p.vid, p.pid, p.serial) == (lead.vid, lead.pid, lead.serial)]
        if not alike:
            return PortError(
                _("The lead of {port} is not there: plug it in again").format(port=self._port)
            )
        if lead.serial:
            return PortRefusedError(
                _("The lead of {port} is there twice, two look the same: plug in one alone").format(
                    port=self._port
                )
            )
        return PortRefusedError(
            _(
                "A lead like that of {port} is in another socket: plug it in where it was, "
                "or link it anew"
            ).format(port=self._port)
        )

    def was_opened(self, address: str) -> None:
        """Remember what USB says of the lead at this address: its number, else its socket."""
        if "://" in address:
            return
        names = {address, os.path.realpath(address)}
        found = next((port for port in self._lister() if port.port in names), None)
        # None where nothing but its name tells it from another.
        self._usb = None if found is None else same_port(found, (found,))

    def is_there(self) -> bool:
        """Whether it is plugged in; an address on a network always is."""
        if "://" in self._port:
            return True
        known = self._lister()
        if self._usb is not None:
            return same_port(self._usb, known) is not None
        return Path(self._port).exists() or any(port.port == self._port for port in known)
