"""Which entry of which visit, and when."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """Which entry of which visit, and when; `seq` counts up from 1 within the visit."""

    id: str
    visit_id: str
    seq: int
    at: datetime
