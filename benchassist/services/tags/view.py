"""What the page of the tags asks of the use case, and the names of its fields."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Protocol

from benchassist.core.label_stock import TagJob
from benchassist.services.front.counter_view import Field

WHICH: Final = "which"
STOCK: Final = "stock"
START: Final = "start"
COPIES: Final = "copies"
"""Keys of the fields."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TagPreview:
    """What would be printed, how much that is, and what is not printed and why."""

    job: TagJob
    pages: int
    text: str
    note: str = ""


class TagDesk(Protocol):
    """Tags of one or more machines on paper."""

    def form(self) -> tuple[Field, ...]:
        """Which machines, which labels, the first free label, how many of each."""
        ...

    def preview(self, fields: Mapping[str, str]) -> TagPreview:
        """What these choices print. Raises InputError naming the field."""
        ...

    def write_pdf(self, fields: Mapping[str, str], path: Path) -> None:
        """Have a PDF written beside the window. Raises InputError, StepError."""
        ...

    @property
    def drawn(self) -> float | None:
        """How much of a PDF is drawn, 0 to 1; None while none is being made."""
        ...

    def kept(self) -> Path | None:
        """The PDF, once it is kept. Raises PrintError, once, where it cannot be."""
        ...

    def print_on(self, fields: Mapping[str, str], printer: object) -> None:
        """Draw on a printer of the window's toolkit. Raises InputError, PrintError."""
        ...

    def file_name(self) -> str:
        """A file name for the PDF: 'tags-M-014.pdf'."""
        ...
