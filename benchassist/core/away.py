"""What a bench knows of a server it has lost, and of what it brought back to it."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Away:
    """The server is lost; what was kept here since is counted.

    `why` is one line; `said` are the server's own words where it is there and lets nobody in.
    `outdated`: it is there, and another bench has brought the shop to a newer revision.
    """

    since: datetime
    why: str
    said: str = ""
    outdated: bool = False
    readings: int = 0
    runs: int = 0
    entries: int = 0
    """All that was written, readings among it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivered:
    """The server has what was kept. `apart` and `renumbered` have a visit's old number and new.

    `tags` stand on more than one machine by now.
    """

    at: datetime
    readings: int = 0
    runs: int = 0
    entries: int = 0
    apart: tuple[tuple[str, str], ...] = ()
    renumbered: tuple[tuple[str, str], ...] = ()
    tags: tuple[str, ...] = ()
