"""The cards and rows of the findings page, as values; `findings/view.py` puts them together.

Shares and chances are numbers from 0 to 1, for drawing only: words say whose judgement they are.
What a card has to be drawn from stands in it, scaled to its `unit`.
"""

from dataclasses import dataclass
from enum import StrEnum

from benchassist.core.claim import Claim
from benchassist.core.path import Closure
from benchassist.core.strength import Strength
from benchassist.core.swap import SwapResult


class MarkKind(StrEnum):
    """Where a piece of evidence came from; decides the mark's text, not its shape."""

    STEP = "step"
    """A step of the visit: its number."""
    COMPLAINT = "complaint"
    """What the customer said: C."""
    SWAP = "swap"
    """A swap test: S."""
    HAND = "hand"
    """A person's word on it: H."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One piece of evidence beside a cause: filled square for, open circle against (the picture).

    `weight` is its size beside the largest mark on the page, 0 to 1; `contradicted` says that
    another source says otherwise. `step` is the check's key, empty where there is none.
    """

    text: str
    kind: MarkKind
    speaks_for: bool
    sentence: str
    evidence: str
    step: str = ""
    weight: float = 1.0
    contradicted: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseRow:
    """A cause in the ranking, the largest first; marks by size, the largest first.

    `named`: it may be named first, in large type. Where `FindingsView.named_text` is empty no row
    is. `place` is its number and its key; `selected`: it is open.
    """

    key: str
    place: int
    name: str
    speaks_for: tuple[Mark, ...]
    speaks_against: tuple[Mark, ...]
    strength: Strength
    strength_text: str
    named: bool = False
    selected: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseSheet:
    """A cause that is open. `share_text` explains its share as the shop's own weights."""

    key: str
    name: str
    strength_text: str
    share_text: str
    marks: tuple[Mark, ...] = ()
    """For and against together, the largest first; their sentences are the list to show."""
    prior_text: str = ""
    test_text: str = ""
    fix_text: str = ""
    claim_text: str = ""
    """What may be said of it: confirmed, probable, precautionary, and why no more."""
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceChoice:
    """One way evidence can turn out."""

    key: str
    text: str
    chosen: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceRow:
    """A piece of evidence. `outcome_text` says how it stands or why it does not.

    `mark` is where it came from, empty where it is not known yet. `overruled`: a person's word
    counts and `reason` says why. `said_aloud` is a contradiction, in one line.
    """

    key: str
    name: str
    mark: str
    outcome_text: str
    known: bool = False
    overruled: bool = False
    reason: str = ""
    said_aloud: str = ""
    minutes_text: str = ""
    step: str = ""
    choices: tuple[EvidenceChoice, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TestOutcome:
    """What one way a test may turn out would do: 'Spark gone:' 'ignition side'."""

    __test__ = False

    text: str
    effect: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TestCard:
    """A test that can be made now. `minutes` stands large, `minutes_unit` small beside it.

    `on_bench`: START_TEST goes to a step of the bench; else it opens a form here.
    """

    __test__ = False

    evidence: str
    label: str
    title: str
    minutes: str
    minutes_unit: str
    outcomes: tuple[TestOutcome, ...]
    start_text: str
    on_bench: bool
    step_text: str = ""
    why: str = ""
    """Why this one: what it is expected to tell a minute, beside the next."""
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SeriesPart:
    """One piece of the bar, in `SeriesCard.unit`; `text` is written in it ('coil 6.52')."""

    name: str
    value: float
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SeriesCard:
    """Coil + cap (+ lead) against the whole path. Nothing is drawn where `parts` is empty.

    `path` and `doubt` (the expanded uncertainty of the residual) are in `unit`; the axis runs
    from 0 to `top` with `ticks`.
    """

    label: str
    title: str
    closure: Closure | None
    """None where readings are missing: `sentence` says which."""
    head: str
    sentence: str
    conditions: str = ""
    parts: tuple[SeriesPart, ...] = ()
    path: float = 0.0
    doubt: float = 0.0
    path_text: str = ""
    unit: str = ""
    top: float = 0.0
    ticks: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapRow:
    """One trial: 'Old part' 'fault' '1 cycle'."""

    part_text: str
    result_text: str
    cycles_text: str
    fault: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapCard:
    """The swap test of one part."""

    label: str
    title: str
    part: str
    result: SwapResult
    head: str
    proves: str
    next_text: str
    """What to do next: 'Old part back, run it till it quits.' Empty when done."""
    rows: tuple[SwapRow, ...] = ()
    not_separated: str = ""
    odds: str = ""
    """The odds that a fault hid, with where p comes from, or that p is not stated."""
    cycles_needed: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SwingRow:
    """How the break-even moves with one figure half and half again; None: it never pays."""

    name: str
    low: float | None
    high: float | None
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StakeCard:
    """Replace or keep. Nothing is drawn where `entered` is False or `break_even` is None.

    `chance` is the chance of a comeback with `chance_low` and `chance_high` where the weight of
    the cause is half or twice what the spec book says; `chance_text` says whose judgement it is.
    """

    label: str
    title: str
    part: str
    entered: bool
    head: str
    sentence: str
    break_even: float | None = None
    break_even_text: str = ""
    chance: float | None = None
    chance_low: float | None = None
    chance_high: float | None = None
    chance_text: str = ""
    keep_text: str = ""
    replace_text: str = ""
    figures: tuple[tuple[str, str], ...] = ()
    """Name and amount of every figure, in the shop's currency."""
    swings: tuple[SwingRow, ...] = ()
    wear: str = ""
    """Age replacement, where the shop wants it."""
    choice: str = ""
    """What was decided, by whom; empty while nothing is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClaimRow:
    """What may be said of a cause or a repair, with the reading it stands on."""

    claim: Claim
    claim_text: str
    name: str
    grounds: str
    limit: str = ""
    """Why no stronger word; empty for confirmed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofRow:
    """One thing the acceptance run asks for: how much there is, how much is asked."""

    name: str
    have: str
    need: str
    share: float
    """From 0 to 1, for a bar."""
    done: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RepairCard:
    """The repair and its verification."""

    fitted: tuple[str, ...] = ()
    serviced: tuple[str, ...] = ()
    pairs: tuple[str, ...] = ()
    """Before and after, one line each."""
    set_up: tuple[str, ...] = ()
    """Gap, lash, speeds as they stand."""
    proof_title: str = ""
    proof: tuple[ProofRow, ...] = ()
    missing: tuple[str, ...] = ()
    """What is still missing, one sentence each; empty when all is there."""
