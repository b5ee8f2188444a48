"""What the page of the spec book shows, as values, and what it asks of its desk."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from benchassist.services.counter_view import Field


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
