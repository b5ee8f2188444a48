"""Ports and frame families, as `meters --json` lists them."""

from dataclasses import asdict

from benchassist.services.needs import MeterRoom


def port_list(room: MeterRoom) -> dict[str, list[dict[str, object]]]:
    """Ports of this computer and the protocols a meter on them may speak; None where unknown."""
    return {
        "ports": [asdict(port) for port in room.ports()],
        "protocols": [asdict(protocol) for protocol in room.protocols()],
    }
