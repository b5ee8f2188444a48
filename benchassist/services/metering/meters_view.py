"""What the meters page and the display match show, as values."""

from dataclasses import dataclass
from typing import Protocol

from benchassist.services.bench.view import Number
from benchassist.services.front.counter_view import FieldChoice


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


class MetersDesk(Protocol):
    """Meters and what is known of them."""

    def tick(self) -> None:
        """Take in readings and link changes."""

    def view(self) -> MetersView:
        """What the meters page shows now."""

    def connect(self, port: str, protocol: str, line: str) -> None:
        """Open a link; an empty line is the family's own. Raises InputError, PortError."""

    def disconnect(self) -> None:
        """Close the link."""

    def listen(self, port: str) -> None:
        """Find out how a meter on a port speaks; it goes on beside everything else.

        Raises InputError for what cannot be a port, StepError for one that is linked.
        """

    def stop_listening(self) -> None:
        """Listen no more."""

    def choose_proposal(self, key: str) -> ProposalRow:
        """What to fill port, family and line with. Raises InputError for one that is gone."""

    def answer(self, key: str) -> None:
        """Answer the question asked. Raises StepError where none is."""

    def choose_card(self, key: str) -> None:
        """Take a meter card of the spec book for this meter."""

    def set_accuracy(self, text: str) -> None:
        """An accuracy statement typed in. Raises InputError saying what would be right."""

    def zero(self) -> None:
        """Keep what the probes held together show. Raises StepError where nothing steady shows."""


class MatchDesk(Protocol):
    """Match the display: three different values, typed as they stand on it."""

    def tick(self) -> None:
        """Take in readings and link changes."""

    def view(self) -> MatchView:
        """What the page shows now."""

    def begin(self) -> None:
        """Start with no values typed."""

    def submit(self, text: str) -> None:
        """Hold a typed value against the link. What is wrong with the text stands in the view."""

    def next_unit(self) -> None:
        """Give bare numbers the next unit: ohm, kilo-ohm, megohm, volt, hertz..."""
