"""What a link is asked for and what is known of ports and frame families."""

from dataclasses import dataclass

from benchassist.core.quantity import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class PortInfo:
    """A port and what the system knows of it; None where it knows nothing."""

    port: str
    description: str = ""
    vid: int | None = None
    pid: int | None = None
    serial: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ProtocolInfo:
    """A frame family: name, default line such as '2400-7O1', whether blocks come twice."""

    name: str
    line: str
    doubled: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkRequest:
    """Which meter to open and how. `line` and `baud` override the family's defaults.

    `quantity` asks a SCPI meter to be configured; None leaves it as it is.
    """

    port: str
    protocol: str
    channel: str = "A"
    line: str | None = None
    baud: int | None = None
    quantity: Quantity | None = None
