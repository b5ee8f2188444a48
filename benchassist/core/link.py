"""What a link is asked for and what is known of ports and frame families."""

from dataclasses import dataclass
from enum import StrEnum

from benchassist.core.quantity import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class PortInfo:
    """A port and what the system knows of it; None where it knows nothing.

    `location` is the socket of the computer that it is plugged into, such as '1-2.4'.
    """

    port: str
    description: str = ""
    vid: int | None = None
    pid: int | None = None
    serial: str | None = None
    location: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ProtocolInfo:
    """A frame family: name, default line such as '2400-7O1', whether blocks come twice."""

    name: str
    line: str
    doubled: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkRequest:
    """Which meter to open and how. `line` and `baud` override the family's defaults.

    `quantity` asks a SCPI meter to be configured; None leaves it as it is. `dtr` and `rts` are the
    lines that many leads draw their power from; None leaves them as the family has them.
    """

    port: str
    protocol: str
    channel: str = "A"
    line: str | None = None
    baud: int | None = None
    quantity: Quantity | None = None
    dtr: bool | None = None
    rts: bool | None = None


# --- finding a meter ------------------------------------------------------------------------------


class Surety(StrEnum):
    """How sure a proposal is. None of them is a claim: the display still has to be matched."""

    REMEMBERED = "remembered"
    """This meter was read so before."""
    LIKELY = "likely"
    """Enough blocks fit this family alone, on its usual line, and little else came."""
    POSSIBLE = "possible"
    """Few blocks fit, or more than one family, or on a line that is not its usual one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A frame family and a line that a meter on a port may be read with.

    `frames` counts the blocks heard that fit. `identity` is what an instrument calls itself. `dtr`
    and `rts` are set where the meter was heard under another supply than the family's own.
    """

    port: str
    protocol: str
    line: str
    surety: Surety
    frames: int = 0
    identity: str = ""
    dtr: bool | None = None
    rts: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ListeningOn:
    """A port is listened to on this line, or asked on it; the `number`th of so many lines."""

    port: str
    line: str
    number: int
    of: int
    asks: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ListeningEnd:
    """What listening brought, the surest first.

    `heard` says whether any byte came. `detail` is one plain line where the port would not open or
    went away.
    """

    port: str
    proposals: tuple[Proposal, ...] = ()
    heard: bool = False
    detail: str = ""


ListeningItem = ListeningOn | ListeningEnd
