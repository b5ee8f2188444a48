"""One visit is worked by one bench at a time: what a bench is told that asks for one."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Lease:
    """A visit that is under work elsewhere, as it stood when it was asked.

    `bench` is what that bench is called. It is free again in `free_in` seconds unless it is heard
    of once more. `here`: in another window of the program, on this computer.
    """

    visit_id: str
    bench: str
    since: datetime
    free_in: float
    here: bool = False


@dataclass(frozen=True, slots=True)
class Granted:
    """The visit is this bench's own.

    `stale`: somebody may have written in it since this bench last had it, so it is to be read anew.
    """

    stale: bool


TakeUp = Granted | Lease
