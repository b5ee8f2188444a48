"""A slip as blocks: the same on screen and in print, every text and figure frozen.

`services/slips` fills the blocks from a visit with its wording; `paint/slip_page` draws them.
"""

from dataclasses import dataclass
from enum import StrEnum

from benchassist.core.band import Side, Verdict
from benchassist.core.ruler import Ruler
from benchassist.core.run_plot import RunPlot


class Paper(StrEnum):
    """Sheet sizes."""

    A4 = "a4"
    LETTER = "letter"


class Ink(StrEnum):
    """How a line stands on the slip."""

    TO_DO = "to_do"
    PENCIL = "pencil"
    INK = "ink"
    STRUCK = "struck"
    SKIPPED = "skipped"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One check: number, name, value with doubt, ruler, verdict word; small notes below.

    `typed`: dotted underline. `words` replaces the value for looks and for what has no number.
    """

    number: int
    name: str
    ink: Ink = Ink.TO_DO
    value: str = ""
    doubt: str = ""
    words: str = ""
    ruler: Ruler | None = None
    verdict: Verdict | None = None
    side: Side | None = None
    verdict_text: str = ""
    typed: bool = False
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Before and after of one piece of work; the ruler's `before` is the dashed tick."""

    name: str
    before: str = ""
    after: str = ""
    ruler: Ruler | None = None
    verdict: Verdict | None = None
    side: Side | None = None
    verdict_text: str = ""
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipPlot:
    """The picture of a run, with what it came to; `elsewhere` where the page has no room for it."""

    title: str
    plot: RunPlot
    caption: str = ""
    elsewhere: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipPhoto:
    """A photo as the bytes of a small upright JPEG with nothing else in it; its pixels, its words.

    A slip shows it where there is room, and leaves it out before anything else.
    """

    data: bytes
    width: int
    height: int
    caption: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """The one-page account of a visit. Empty texts are left out by the painter."""

    title: str
    subtitle: str
    date_text: str
    customer: str
    unit_text: str
    engine_text: str
    tag: str
    tag_payload: str
    tag_hint: str
    said_label: str
    said: str
    in_short_label: str
    in_short: str
    found_title: str
    found_hint: str
    lines: tuple[Line, ...]
    did_title: str
    did_hint: str
    pairs: tuple[Pair, ...]
    proved_title: str
    proved: tuple[str, ...]
    not_proved_title: str
    not_proved: tuple[str, ...]
    care_label: str
    care: str
    conditions: tuple[str, ...]
    draft_text: str = ""
    plots: tuple[SlipPlot, ...] = ()
    """Pictures of the runs that stand, in the order of their steps."""
    photos: tuple[SlipPhoto, ...] = ()
    """Newest first."""
