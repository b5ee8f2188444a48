"""A taken reading that a person marked, with what tells its part apart from every other."""

from dataclasses import dataclass
from datetime import datetime

from benchassist.core.entry import Taken


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkedReading:
    """What was last said of a taken reading: known-good, or set aside with a reason.

    `part` is what the check measures; `renewals` counts how many of it were fitted to the machine
    before the reading, so that machine, part and renewals name one distinct part. `engine_class`
    and `option_key` (the marking, empty where there is none) are those that held when it was read.
    `struck`: it was redone since.
    """

    taken: Taken
    machine_id: str
    machine_tag: str
    slip_number: str
    engine_class: str
    part: str
    renewals: int
    marked_at: datetime
    option_key: str = ""
    good: bool = True
    reason: str = ""
    struck: bool = False

    @property
    def name(self) -> str:
        """The distinct part: the same for every reading of it and for no other."""
        return f"{self.machine_id} {self.part} {self.renewals}"
