"""What the page of the spec book shows, as values, and what it asks of its desk."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

from benchassist.core.ruler import Ruler
from benchassist.services.front.counter_view import Field


@dataclass(frozen=True, slots=True, kw_only=True)
class SpecRow:
    """One figure that may be changed. `own`: the shop says something else than what was shipped."""

    key: str
    title: str
    detail: str = ""
    sheet: str = ""
    value: str = ""
    origin: str = ""
    own: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SpecView:
    """The figures found. `faults` are those of the shop's files that are left out."""

    rows: tuple[SpecRow, ...] = ()
    found_text: str = ""
    faults: tuple[str, ...] = ()
    undo_text: str = ""
    """What can be taken back; empty where nothing can."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpecForm:
    """One figure to change: how it stands as pairs of name and text, and its fields."""

    key: str
    title: str
    sheet: str = ""
    detail: str = ""
    pairs: tuple[tuple[str, str], ...] = ()
    fields: tuple[Field, ...] = ()
    own: bool = False
    can_restore: bool = False
    after_text: str = ""
    """What a change is at work for, and what keeps what it had."""
    parts_text: str = ""
    """How many of the shop's own parts were ever marked here: 'Good parts: 14'; empty: none."""


class PartState(StrEnum):
    """How a marked part stands to the band it teaches."""

    COUNTS = "counts"
    APART = "apart"
    """It counts, and stands apart from the others."""
    LEFT_OUT = "left_out"


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRow:
    """A marked reading behind a band. `note` says why it is left out, or that it stands apart.

    `aside`: a person left it out, and may take it up again.
    """

    key: str
    value: str
    day_text: str
    tag: str
    state: PartState = PartState.COUNTS
    note: str = ""
    aside: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PartsView:
    """What the shop's own parts make of a figure, beside the band that stands in the book.

    `band_text` are the limits of the band offered, empty while there is none; `pairs` are what is
    to be known of it, as name and text. `ruler` has both bands and a tick a part; None where there
    is nothing to draw. `adopt_text`: what the key puts into the book, empty where it cannot.
    `coming`: the parts are being read, and this is what was known before.
    """

    key: str
    title: str
    detail: str = ""
    band_text: str = ""
    origin: str = ""
    pairs: tuple[tuple[str, str], ...] = ()
    rows: tuple[PartRow, ...] = ()
    ruler: Ruler | None = None
    adopt_text: str = ""
    coming: bool = False


class SpecDesk(Protocol):
    """The spec book, to look up and to change."""

    def open(self) -> None:
        """Read the book anew."""
        ...

    def view(self, query: str) -> SpecView:
        """The figures for these words; every word narrows the search."""
        ...

    def form(self, key: str) -> SpecForm:
        """One figure with its fields. Raises NotFoundError."""
        ...

    def news(self) -> bool:
        """Whether what was on its way when a figure was last looked at is there by now."""
        ...

    def problems(self, key: str, fields: Mapping[str, str]) -> tuple[str, ...]:
        """What is wrong with the fields so far, one line each. Raises NotFoundError."""
        ...

    def keep(self, key: str, fields: Mapping[str, str]) -> None:
        """Keep them in the shop's own book. Raises InputError naming the field, and more."""
        ...

    def restore(self, key: str) -> None:
        """Back to what was shipped. Raises BenchError where that cannot be."""
        ...

    def undo(self) -> str:
        """Take the last change back; says which it was. Raises StepError where there is none."""
        ...

    def parts(self, key: str) -> PartsView:
        """What the shop's own good parts make of a figure. Raises NotFoundError, StepError."""
        ...

    def adopt(self, key: str) -> str:
        """Put the band they make into the shop's own book; says so. Raises as `keep`, StepError."""
        ...

    def set_aside(self, key: str, part: str, reason: str) -> str:
        """Leave a part out from now on; says so. Raises InputError without a reason, StepError."""
        ...

    def take_up(self, key: str, part: str) -> str:
        """Let a part that was set aside count again; says so. Raises StepError."""
        ...
