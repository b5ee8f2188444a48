"""What a visit writes down, one entry at a time, never edited.

A visit is the fold of its entries (`benchassist.core.visit`). An entry is stored before the screen
shows it in ink; a later entry may strike an earlier one, which stays, shown struck.
Ids are UUID texts, times are aware UTC datetimes and come from outside.
"""

from dataclasses import dataclass
from enum import StrEnum

from benchassist.core.accuracy import LeadZero
from benchassist.core.band import Band, Judgement
from benchassist.core.estimate import Conditions, PartTemperature
from benchassist.core.reading import Reading
from benchassist.core.record_entry import PartMarked, PhotoAdded, PhotoRemoved
from benchassist.core.repair_entry import (
    Decided,
    EvidenceSet,
    PartFitted,
    Proved,
    Service,
    Serviced,
    SwapTried,
)
from benchassist.core.run_entry import RunEnded, RunMarked, RunStarted
from benchassist.core.stamp import Stamp

__all__ = [
    "Closed",
    "Decided",
    "Did",
    "Entry",
    "EvidenceSet",
    "Interview",
    "LeadsZeroed",
    "Looked",
    "Machine",
    "Moment",
    "MovedTo",
    "Noted",
    "OptionChosen",
    "PartFitted",
    "PartMarked",
    "PhotoAdded",
    "PhotoRemoved",
    "Proved",
    "Reopened",
    "RunEnded",
    "RunMarked",
    "RunStarted",
    "SelfChecked",
    "Service",
    "Serviced",
    "Skipped",
    "Stamp",
    "Struck",
    "SwapTried",
    "Taken",
    "TemperatureSet",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """A reading the visit kept, with its corrections, uncertainty and verdict.

    `second` is the current of a volt drop, or the other polarity. `supersedes` is the id of the
    reading this one replaces. `band` is the band it was judged against, None if only recorded.
    `meter` and `accuracy_note` are the meter card's words at that moment, `link_note` says whether
    the link had been matched to the display.
    """

    stamp: Stamp
    check_key: str
    reading: Reading
    conditions: Conditions
    judgement: Judgement
    band: Band | None = None
    second: Reading | None = None
    method: str = "direct"
    supersedes: str | None = None
    meter: str = ""
    accuracy_note: str = ""
    leads_proved: bool = False
    by_key: bool = False
    link_note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """The answer to a look."""

    stamp: Stamp
    check_key: str
    answer_key: str
    supersedes: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Struck:
    """A taken reading or a look withdrawn; it stays, shown struck."""

    stamp: Stamp
    check_key: str
    entry_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Skipped:
    """A check passed over, with the reason if one was given."""

    stamp: Stamp
    check_key: str
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedTo:
    """The bench went to a check."""

    stamp: Stamp
    check_key: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted:
    """Words, on a check or on the visit (empty key)."""

    stamp: Stamp
    text: str
    check_key: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionChosen:
    """The marking or type that picks a band, for all checks of one option group."""

    stamp: Stamp
    option_group: str
    option_key: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TemperatureSet:
    """The part's temperature from here on."""

    stamp: Stamp
    temperature: PartTemperature
    shop: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadsZeroed:
    """The probes held together: what they showed, on which channel."""

    stamp: Stamp
    channel: str
    zero: LeadZero
    meter: str = ""
    """What the meter is known by; another meter on the same channel has other leads."""


class Moment(StrEnum):
    """When a self-check was made."""

    START = "start"
    END = "end"


@dataclass(frozen=True, slots=True, kw_only=True)
class SelfChecked:
    """A known resistor measured; `nominal` ohm with `tolerance_percent` of its marking."""

    stamp: Stamp
    moment: Moment
    nominal: float
    tolerance_percent: float
    reading: Reading
    judgement: Judgement


@dataclass(frozen=True, slots=True, kw_only=True)
class Did:
    """Work done at a check: what was taken before it is 'before', what comes after 'after'."""

    stamp: Stamp
    text: str
    check_key: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Closed:
    """The visit was closed: handed over."""

    stamp: Stamp
    summary: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reopened:
    """A closed visit was opened again."""

    stamp: Stamp


Entry = (
    Taken
    | Looked
    | Struck
    | Skipped
    | MovedTo
    | Noted
    | OptionChosen
    | TemperatureSet
    | LeadsZeroed
    | SelfChecked
    | Did
    | RunStarted
    | RunMarked
    | RunEnded
    | EvidenceSet
    | SwapTried
    | PartFitted
    | PartMarked
    | PhotoAdded
    | PhotoRemoved
    | Serviced
    | Decided
    | Proved
    | Closed
    | Reopened
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """A customer's unit with its engine. `tag` is its short code; personal data only here."""

    id: str
    tag: str
    customer: str = ""
    phone: str = ""
    unit: str = ""
    engine: str = ""
    serial: str = ""
    engine_class: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Interview:
    """What the customer said, when the visit was opened. `answers` pairs question and answer keys.

    A DURATION answer is seconds as text of a number; words stay words.
    """

    complaint: str
    words: str = ""
    answers: tuple[tuple[str, str], ...] = ()
