"""What the findings page shows, as one value: the window paints it and decides nothing.

`FindingsDesk.view()` makes a new one; two equal views need no repaint. Texts are final, translated
and in the shop's units. Shares and chances are numbers from 0 to 1, for drawing only: words say
whose judgement they are. What a card has to be drawn from stands in it, scaled to its `unit`.

The page has a front (`Room.FRONT`: the ranking with three cards) and rooms behind it; `room` says
which is open. A `form` may be open over any of them: its fields are shown and handed to
`FindingsDesk.submit`, or closed by BACK.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Protocol

from benchassist.core.slip import Line
from benchassist.services.bench.view import KeyHint, SlipHead
from benchassist.services.findings.cards import (
    CauseRow,
    CauseSheet,
    ClaimRow,
    EvidenceChoice,
    EvidenceRow,
    Mark,
    MarkKind,
    ProofRow,
    RepairCard,
    SeriesCard,
    SeriesPart,
    StakeCard,
    SwapCard,
    SwapRow,
    SwingRow,
    TestCard,
    TestOutcome,
)
from benchassist.services.front.counter_view import Field

__all__ = [
    "CauseRow",
    "CauseSheet",
    "ClaimRow",
    "EvidenceChoice",
    "EvidenceRow",
    "FindingsAction",
    "FindingsDesk",
    "FindingsView",
    "FormView",
    "Mark",
    "MarkKind",
    "MootRow",
    "ProofRow",
    "RepairCard",
    "Room",
    "SeriesCard",
    "SeriesPart",
    "StakeCard",
    "SwapCard",
    "SwapRow",
    "SwingRow",
    "TestCard",
    "TestOutcome",
]


class FindingsAction(StrEnum):
    """What a key or click on the findings page asks for, with its argument in brackets."""

    START_TEST = "start_test"
    """(evidence key; empty: the next best) Go to its check on the bench, or ask for its answer.
    After it the window shows the bench where `TestCard.on_bench` was set, else a form is open."""
    GO_TO_STEP = "go_to_step"
    """(check key) Go to a step on the bench, moot or not."""
    OPEN_CAUSE = "open_cause"
    """(cause key, or its place in the ranking from 1)"""
    OPEN_EVIDENCE = "open_evidence"
    """Everything that can bear on the causes, known or not."""
    OPEN_SWAP = "open_swap"
    """(part; empty: the one of the first cause)"""
    OPEN_STAKE = "open_stake"
    """(part; empty: the one of the first cause)"""
    OPEN_REPAIR = "open_repair"
    """Parts, service, set-up, acceptance."""
    ANSWER = "answer"
    """(evidence key) Form: how it turned out, whatever was measured, and why."""
    LIFT = "lift"
    """(evidence key) A person's word on it no longer holds."""
    OLD_FAULT = "old_fault"
    OLD_CLEAN = "old_clean"
    NEW_FAULT = "new_fault"
    NEW_CLEAN = "new_clean"
    """(cycles; empty: 1) A run with the old or the new part: the fault showed, or did not."""
    SWAP_SETUP = "swap_setup"
    """Form: which part, what else was changed with it, how often the fault shows."""
    STAKE_FIGURES = "stake_figures"
    """Form: part, labour, downtime, return visit, goodwill, poor part; wear where wanted."""
    DECIDE = "decide"
    """Form: replace or keep, whose choice, why."""
    FIT_PART = "fit_part"
    SERVICE = "service"
    PROVE = "prove"
    """Forms: a part fitted; service done; a run of the repaired machine."""
    NOTE = "note"
    """Form: words on the visit."""
    BACK = "back"
    """Close the form, else go back to the front."""


class Room(StrEnum):
    """Which part of the findings is open."""

    FRONT = "front"
    CAUSE = "cause"
    EVIDENCE = "evidence"
    SWAP = "swap"
    STAKE = "stake"
    REPAIR = "repair"


@dataclass(frozen=True, slots=True, kw_only=True)
class MootRow:
    """A step that may be passed over: what is known has made it moot. It can always be done."""

    step: str
    number: int
    name: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FormView:
    """A form that is open. `fields` as on the counter; `submit_text` stands on the yellow key."""

    key: str
    title: str
    fields: tuple[Field, ...]
    submit_text: str
    hint: str = ""
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingsView:
    """Everything the findings page shows.

    `rows` is empty where the visit has no causes; `empty_text` then says why. `named_text` is the
    line above the ranking: the cause that may be named first, or that none may be, and why.
    """

    head: SlipHead
    lines: tuple[Line, ...]
    done_text: str
    place_text: str
    meter_text: str
    meter_live: bool
    leads_text: str
    title: str
    legend: str
    """'number = step, C = complaint'"""
    cause_label: str
    against_label: str
    for_label: str
    strength_label: str
    rows: tuple[CauseRow, ...]
    other_text: str = ""
    """What is left for something else, in words."""
    named: bool = False
    named_text: str = ""
    weights_text: str = ""
    """Whose judgement the weights are."""
    said_aloud: tuple[str, ...] = ()
    """Evidence that contradicts itself or the first cause, one line each."""
    empty_text: str = ""
    room: Room = Room.FRONT
    cause: CauseSheet | None = None
    evidence: tuple[EvidenceRow, ...] = ()
    test: TestCard | None = None
    no_test_text: str = ""
    """Why there is no next test; empty where there is one."""
    other_tests: tuple[TestCard, ...] = ()
    """The ones after the best, most telling per minute first."""
    series: SeriesCard | None = None
    swap: SwapCard | None = None
    stake: StakeCard | None = None
    claims: tuple[ClaimRow, ...] = ()
    repair: RepairCard = field(default_factory=RepairCard)
    moot: tuple[MootRow, ...] = ()
    moot_text: str = ""
    form: FormView | None = None
    message: str = ""
    """What was done just now, in one line."""
    banner: str = ""
    """What is not on disk, and why."""
    keys: tuple[KeyHint, ...] = ()
    closed: bool = False


class FindingsDesk(Protocol):
    """What the readings of a visit say, and what is done about it."""

    def tick(self) -> None:
        """Take in acknowledgements."""
        ...

    def view(self) -> FindingsView:
        """What the findings page shows now; made anew only where something changed."""
        ...

    def act(self, action: str, argument: str = "") -> None:
        """Do what a `FindingsAction` asks for. Raises BenchError where it cannot be done."""
        ...

    def submit(self, fields: Mapping[str, str]) -> None:
        """Keep the form that is open and close it.

        Raises InputError naming the field, which leaves it open; StepError where none is.
        """
        ...
