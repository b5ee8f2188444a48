"""What the meters page and the display match show, as values."""

from dataclasses import dataclass

from benchassist.services.bench_view import Number
from benchassist.services.counter_view import FieldChoice


@dataclass(frozen=True, slots=True, kw_only=True)
class PortRow:
    """A port that can be chosen."""

    port: str
    text: str
    note: str = ""
    linked: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ProtocolRow:
    """A frame family with the line it usually speaks on."""

    name: str
    text: str
    line: str
    linked: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ProposalRow:
    """How a meter may be read. Chosen, it fills port, family and line; it links nothing.

    `line` is empty where the family's usual one is meant.
    """

    key: str
    port: str
    protocol: str
    line: str = ""
    text: str = ""
    """'nibble-14 at 19200-7O1 on /dev/ttyUSB0'."""
    sure_text: str = ""
    """'Likely: 3 blocks fit', or when it was used before."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RangeRow:
    """A range of the meter card: what it is, its steps, its doubt, and an example of that."""

    range_text: str
    steps_text: str
    doubt_text: str
    example_text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MetersView:
    """Links, the meter card, the lead zero."""

    ports: tuple[PortRow, ...] = ()
    protocols: tuple[ProtocolRow, ...] = ()
    meter_text: str = ""
    meter_live: bool = False
    link_text: str = ""
    """Where the link stands: 'Linked, 2 readings a second'."""
    link_hint: str = ""
    """What to do about it: 'Turn the meter on and its lead link with it'."""
    link_error: str = ""
    connected: bool = False
    number: Number
    card_title: str = ""
    card_source: str = ""
    card_note: str = ""
    ranges: tuple[RangeRow, ...] = ()
    cards: tuple[FieldChoice, ...] = ()
    card_key: str = ""
    leads_value: str = ""
    leads_unit: str = ""
    leads_when: str = ""
    leads_note: str = ""
    leads_error: str = ""
    accuracy_text: str = ""
    accuracy_error: str = ""
    listening: bool = False
    """Whether a port is being listened to; then a key stops it."""
    listening_text: str = ""
    """How listening stands, what it brought, or why it could not be."""
    proposals: tuple[ProposalRow, ...] = ()
    """The surest first; without listening, what is remembered of the leads plugged in."""
    question: str = ""
    """What only the person can say: which of two leads alike, or whether another meter is meant."""
    answers: tuple[FieldChoice, ...] = ()
    matched: bool = False
    """Whether its display was matched: then readings are taken without a key."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchRow:
    """One value typed from the display beside what the link said."""

    number: int
    typed: str
    typed_unit: str
    link: str
    link_unit: str
    same: bool
    text: str
    """'Same', or what the difference points to."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchView:
    """Match the display: the link's value stays covered until Enter is pressed."""

    rows: tuple[MatchRow, ...] = ()
    wanted: int = 3
    count_text: str = ""
    """'2 of 3 matched'."""
    number: int = 1
    unit: str = ""
    """The unit a bare number gets; changed by a key."""
    error: str = ""
    done: bool = False
    meter_text: str = ""
    meter_live: bool = False
    note: str = ""
    """When it was matched before, or what to do now."""
    matched: bool = False
    """Whether it was matched before, now or another day."""
