"""Paper that tags are printed on: sheets of labels and single labels, by their sizes alone.

Everything here is in millimetres, as labels are sold and as printers are told.
"""

from dataclasses import dataclass
from typing import Final, TypeAlias

from benchassist.core.tag import Tag


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelStock:
    """A page with labels in columns and rows; a single label is a page of its own.

    `left_mm` and `top_mm` are the margins before the first label, the pitches run from the edge
    of one label to the same edge of the next.
    """

    key: str
    page_width_mm: float
    page_height_mm: float
    width_mm: float
    height_mm: float
    columns: int = 1
    rows: int = 1
    left_mm: float = 0.0
    top_mm: float = 0.0
    pitch_x_mm: float = 0.0
    pitch_y_mm: float = 0.0

    @property
    def count(self) -> int:
        """Labels on a page."""
        return self.columns * self.rows

    @property
    def is_sheet(self) -> bool:
        """Whether a page has more than one label."""
        return self.count > 1


@dataclass(frozen=True, slots=True)
class LabelPlace:
    """Where a label is on its page, from the top left."""

    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TagJob:
    """Tags to be printed, in order, from a position of the first page on, counted from 1."""

    stock: LabelStock
    tags: tuple[Tag, ...]
    start: int = 1


LabelPage: TypeAlias = tuple[tuple[LabelPlace, Tag], ...]
"""The tags of one page, each with its place."""


def place_of(stock: LabelStock, position: int) -> LabelPlace:
    """The label at a position from 1, row by row. Raises ValueError for one not on the page."""
    if not 1 <= position <= stock.count:
        raise ValueError(position)
    row, column = divmod(position - 1, stock.columns)
    return LabelPlace(
        stock.left_mm + column * stock.pitch_x_mm, stock.top_mm + row * stock.pitch_y_mm
    )


def pages_of(job: TagJob) -> tuple[LabelPage, ...]:
    """Page by page, every tag with its place; what was used of the first sheet stays free."""
    count, before = job.stock.count, job.start - 1
    pages = -(-(before + len(job.tags)) // count)
    placed: list[list[tuple[LabelPlace, Tag]]] = [[] for _ in range(pages)]
    for slot, tag in enumerate(job.tags, start=before):
        page, position = divmod(slot, count)
        placed[page].append((place_of(job.stock, position + 1), tag))
    return tuple(tuple(page) for page in placed)


def _sheet(
    key: str, grid: tuple[int, int], label: tuple[float, float], gaps: tuple[float, float]
) -> LabelStock:
    """A grid in the middle of its sheet."""
    page = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}[key.partition("-")[0]]
    (columns, rows), (width, height) = grid, label
    pitch_x, pitch_y = width + gaps[0], height + gaps[1]
    return LabelStock(
        key=key,
        page_width_mm=page[0],
        page_height_mm=page[1],
        width_mm=width,
        height_mm=height,
        columns=columns,
        rows=rows,
        left_mm=(page[0] - columns * pitch_x + gaps[0]) / 2,
        top_mm=(page[1] - rows * pitch_y + gaps[1]) / 2,
        pitch_x_mm=pitch_x,
        pitch_y_mm=pitch_y,
    )


def _single(width: float, height: float) -> LabelStock:
    return LabelStock(
        key=f"single-{width:.0f}x{height:.0f}",
        page_width_mm=width,
        page_height_mm=height,
        width_mm=width,
        height_mm=height,
    )


STOCKS: Final = (
    _sheet("a4-3x8", (3, 8), (70.0, 37.0), (0.0, 0.0)),
    _sheet("a4-3x7", (3, 7), (63.5, 38.1), (2.5, 0.0)),
    _sheet("a4-4x10", (4, 10), (48.5, 25.4), (0.0, 0.0)),
    _sheet("a4-5x13", (5, 13), (38.1, 21.2), (2.5, 0.0)),
    _sheet("letter-2x5", (2, 5), (101.6, 50.8), (4.8, 0.0)),
    _sheet("letter-3x10", (3, 10), (66.7, 25.4), (3.2, 0.0)),
    _sheet("letter-4x20", (4, 20), (44.5, 12.7), (7.6, 0.0)),
    _single(62.0, 29.0),
    _single(57.0, 32.0),
    _single(50.0, 25.0),
    _single(38.0, 25.0),
)
"""Sizes in common use, each grid in the middle of its sheet; common practice, no standard."""
