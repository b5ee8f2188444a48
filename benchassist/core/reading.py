"""A value as the meter gave it, and what a link says besides values."""

from dataclasses import dataclass, field
from enum import StrEnum

from benchassist.core.quantity import Quantity


class Flag(StrEnum):
    """What a meter's display says beside the digits."""

    AUTO = "auto"
    HOLD = "hold"
    REL = "rel"
    MIN = "min"
    MAX = "max"
    LOW_BATTERY = "low_battery"


BARS_TAKING = frozenset({Flag.HOLD, Flag.REL, Flag.MIN, Flag.MAX, Flag.LOW_BATTERY})
"""Flags under which a reading is never taken by itself."""


class Mode(StrEnum):
    """How the meter measured. Diode and continuity look like ohms and are not."""

    PLAIN = "plain"
    AC = "ac"
    DIODE = "diode"
    CONTINUITY = "continuity"


class Source(StrEnum):
    """Where a reading came from."""

    METER = "meter"
    TYPED = "typed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One value with all that makes it worth keeping.

    `value`, `resolution` (one count) and `full_scale` are in the base unit of `quantity`.
    `value` is None for an overload, `resolution` and `full_scale` are None where unknown.
    `exponent` is the power of ten of the prefix the meter displayed (3 for kilo), so that the
    digits can be shown again as they stood on its display.
    `t_s` is monotonic time in seconds since the channel opened (typed: since the visit opened).
    """

    t_s: float
    channel: str
    quantity: Quantity | None
    value: float | None
    resolution: float | None = None
    full_scale: float | None = None
    overload: bool = False
    mode: Mode = Mode.PLAIN
    flags: frozenset[Flag] = field(default_factory=frozenset)
    exponent: int = 0
    source: Source = Source.METER

    def __post_init__(self) -> None:
        """An overload has no value; anything else has one."""
        if self.overload is not (self.value is None):
            raise ValueError("a reading is an overload or has a value, never both")


class LinkState(StrEnum):
    """Where a link stands; shown in words beside the meter's name."""

    CLOSED = "closed"
    OPENING = "opening"
    IDENTIFYING = "identifying"
    LIVE = "live"
    STALLED = "stalled"
    RESYNC = "resync"
    GARBAGE = "garbage"
    LOST = "lost"
    WAITING = "waiting"


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkChange:
    """A link went from one state to another; `detail` is one plain line or empty.

    `refused` is set where a port is there and stays shut until a person does what `detail` says.
    """

    t_s: float
    channel: str
    state: LinkState
    detail: str = ""
    identity: str = ""
    refused: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Readings are missing between two moments, and why."""

    channel: str
    start_s: float
    end_s: float
    reason: str


LinkItem = Reading | LinkChange | Gap
"""What a link puts into its inbox, in the order it happened."""
