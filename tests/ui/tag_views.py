"""The page of the tags with invented choices, and a desk that writes down what was asked of it."""

from collections.abc import Mapping
from pathlib import Path

from benchassist.core.label_stock import STOCKS, TagJob
from benchassist.core.tag import Tag, code_of
from benchassist.errors import BenchError, InputError, StepError
from benchassist.services.desk import Field, FieldKind, TagPreview
from benchassist.services.front.counter_view import FieldChoice

TAG_FORM = (
    Field(
        key="which",
        label="Machines",
        kind=FieldKind.CHOICE,
        choices=(
            FieldChoice(key="this", text="TH-07"),
            FieldChoice(key="open", text="Open slips"),
            FieldChoice(key="every", text="All"),
        ),
        value="this",
    ),
    Field(
        key="stock",
        label="Labels",
        kind=FieldKind.CHOICE,
        choices=(
            FieldChoice(key="a4-3x8", text="A4: 24 of 70 × 37 mm"),
            FieldChoice(key="a4-3x7", text="A4: 21 of 63.5 × 38.1 mm"),
            FieldChoice(key="a4-4x10", text="A4: 40 of 48.5 × 25.4 mm"),
            FieldChoice(key="a4-5x13", text="A4: 65 of 38.1 × 21.2 mm"),
            FieldChoice(key="single-62x29", text="62 × 29 mm"),
            FieldChoice(key="single-57x32", text="57 × 32 mm"),
            FieldChoice(key="single-50x25", text="50 × 25 mm"),
            FieldChoice(key="single-38x25", text="38 × 25 mm"),
        ),
        value="a4-3x8",
    ),
    Field(key="start", label="First free label", value="1", hint="1 on a new sheet"),
    Field(key="copies", label="Of each tag", value="1", hint="how many"),
)
"""What the page of the tags asks."""


class FakeTags:
    """Tags that write down what they were asked for and where they went."""

    def __init__(self) -> None:
        self.asked: list[tuple[str, str]] = []
        self.paths: list[Path] = []
        self.printers: list[object] = []
        self.drawn: float | None = None
        """Set and read by the tests too."""
        self.refusal: BenchError | None = None
        """Why what is under way is not kept, once it has ended."""

    def form(self) -> tuple[Field, ...]:
        """The invented form."""
        return TAG_FORM

    def preview(self, fields: Mapping[str, str]) -> TagPreview:
        """So many of one tag on the labels chosen."""
        stock = next(s for s in STOCKS if s.key == fields["stock"])
        if not fields["start"].isdecimal():
            raise InputError(f"first free label: '{fields['start']}' is not a number from 1 to 24")
        tag = Tag(payload="TH-07", code=code_of("TH-07"), words="Power-sprayer pump")
        tags = (tag,) * int(fields["copies"] or 1)
        job = TagJob(stock=stock, tags=tags, start=int(fields["start"]) if stock.is_sheet else 1)
        return TagPreview(job=job, pages=1, text=f"{len(tags)} tags on 1 sheet")

    def write_pdf(self, fields: Mapping[str, str], path: Path) -> None:
        """Write the path down; what is under way ends when a test says so."""
        self.preview(fields)
        if self.drawn is not None:
            raise StepError("a PDF is being made: wait until it is kept")
        self.paths.append(path)
        self.drawn = 0.0

    def kept(self) -> Path | None:
        """Once all is drawn."""
        if self.drawn is None or self.drawn < 1.0:
            return None
        self.drawn = None
        if self.refusal is not None:
            raise self.refusal
        return self.paths[-1]

    def print_on(self, fields: Mapping[str, str], printer: object) -> None:
        """Write the printer down."""
        self.preview(fields)
        self.printers.append(printer)

    def file_name(self) -> str:
        """A name."""
        return "tags-TH-07.pdf"

    def __call__(self, machine_id: str, visit_id: str) -> "FakeTags":
        """This desk, whatever is asked for."""
        self.asked.append((machine_id, visit_id))
        return self
