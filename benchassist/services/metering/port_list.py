"""Ports and frame families, as `meters --json` lists them."""

from dataclasses import asdict
from typing import Final

from benchassist.services.needs import MeterRoom

TOLD: Final = ("port", "description", "vid", "pid", "serial")
"""What the list says of a port; its location is for following a lead only."""


def port_list(room: MeterRoom) -> dict[str, list[dict[str, object]]]:
    """Ports of this computer and the protocols a meter on them may speak; None where unknown."""
    return {
        "ports": [{name: getattr(port, name) for name in TOLD} for port in room.ports()],
        "protocols": [asdict(protocol) for protocol in room.protocols()],
    }
