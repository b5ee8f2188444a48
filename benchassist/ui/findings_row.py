"""The ranking: a row a cause, its marks on either side of one line, its weight in words."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from benchassist.core.strength import Strength
from benchassist.paint.palette import Palette
from benchassist.paint.stroke import line, pen
from benchassist.services.findings.view import CauseRow
from benchassist.services.translation import _
from benchassist.ui.crowd import Crowd
from benchassist.ui.findings_layout import HEAD, NAMED, ROW, TALL
from benchassist.ui.findings_mark import (
    GAP,
    mark_words,
    marks_width,
    paint_marks_against,
    paint_marks_for,
)
from benchassist.ui.lettering import RIGHT, Style, paragraph, row
from benchassist.ui.part import Target
from benchassist.ui.scroll_list import paint_ground

MOST_MARKS = 4
NARROW = 760.0
"""A ranking not wider than this shows fewer."""
PLACE = 36.0
"""Where the names begin."""
SIDE = 10.0
"""Between the dividing line and the marks on either side."""


@dataclass(frozen=True, slots=True)
class RowColumns:
    """Where the dividing line and the weight words stand, the same on every row."""

    split: float
    strength: float
    most: int = MOST_MARKS
    """Marks shown on either side; more are counted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseShown:
    """A cause with the columns; `cursor`: Right opens it."""

    row: CauseRow
    columns: RowColumns
    against_label: str = ""
    for_label: str = ""
    named_text: str = ""
    cursor: bool = False


class CauseTarget(Target[CauseShown]):
    """One cause; a press opens it."""

    def words(self) -> str:
        """Place, name, weight, then what speaks for and against."""
        shown, cause = self.value, self.value.row
        parts = [f"{cause.place}. {cause.name}", cause.strength_text]
        if cause.named:
            parts.insert(0, shown.named_text)
        if cause.speaks_for:
            parts.append(f"{shown.for_label}: {mark_words(cause.speaks_for)}")
        if cause.speaks_against:
            parts.append(f"{shown.against_label}: {mark_words(cause.speaks_against)}")
        if cause.selected or shown.cursor:
            parts.append(_("chosen"))
        return ". ".join(t.rstrip(".") for t in parts if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Place and name, circles, the line, squares, the weight."""
        shown, cause = self.value, self.value.row
        high = room.height() - 1.0
        paint_ground(painter, room, palette, cursor=shown.cursor or cause.selected)
        weight = 800 if cause.named else 500
        number = Style(px=28 if cause.named else 20, weight=700, color=palette.ink)
        row(painter, QRectF(8, 0, PLACE - 8, high), str(cause.place), number)
        split = shown.columns.split
        taken = marks_width(cause.speaks_against, shown.columns.most)
        right = split - SIDE - (taken + 14.0 if taken else 0.0)
        name = Style(px=36 if cause.named else 21, weight=weight, color=palette.ink)
        row(painter, QRectF(PLACE, 0, right - PLACE, high), cause.name, name)
        middle = high / 2.0
        reach = min(17.0, middle - 3.0)
        line(painter, (split, middle - reach), (split, middle + reach), pen(palette.ink, 3.0))
        paint_marks_against(
            painter,
            QPointF(split - SIDE, middle),
            cause.speaks_against,
            shown.columns.most,
            palette,
        )
        paint_marks_for(
            painter, QPointF(split + SIDE, middle), cause.speaks_for, shown.columns.most, palette
        )
        _paint_strength(painter, QRectF(shown.columns.strength, 0, 0, high), room, cause, palette)


def _paint_strength(
    painter: QPainter, place: QRectF, room: QRectF, cause: CauseRow, palette: Palette
) -> None:
    """The heavier the word, the heavier it is set; what is not tested stays dim."""
    weight = {Strength.STRONG: 800, Strength.FAIR: 700}.get(cause.strength, 500)
    dim = cause.strength is Strength.NOT_TESTED
    style = Style(
        px=24 if cause.named else 20,
        weight=weight,
        color=palette.dim if dim else palette.ink,
        align=RIGHT,
    )
    words = QRectF(place.left(), 0, room.width() - place.left() - 4, place.height())
    row(painter, words, cause.strength_text, style)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranked:
    """The ranking with its headings; `cursor` is the index of the row that Right opens."""

    rows: tuple[CauseRow, ...] = ()
    cause_label: str = ""
    against_label: str = ""
    for_label: str = ""
    strength_label: str = ""
    named_text: str = ""
    """Said with the row that may be named; its large type says it on screen."""
    empty_text: str = ""
    cursor: int = -1


class Causes(Crowd[Ranked, CauseShown]):
    """The rows that fit, around the cursor; the first one larger where it may be named."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Ranked(), parent)

    def words(self) -> str:
        """Headings and names, in order; the rows say the rest."""
        shown = self.value
        names = (f"{one.place}. {one.name}: {one.strength_text}" for one in shown.rows)
        return ". ".join((shown.cause_label, *names)) if shown.rows else shown.empty_text

    @property
    def first(self) -> int:
        """Index of the first row shown."""
        return min(
            max(0, self.value.cursor - self.fits + 1), max(0, len(self.value.rows) - self.fits)
        )

    @property
    def fits(self) -> int:
        """How many rows fit."""
        high = self.height() / self.look.s - HEAD + 1.0
        if self.value.rows and self.value.rows[0].named:
            high -= NAMED - ROW
        return max(1, int(high / ROW))

    @property
    def columns(self) -> RowColumns:
        """The line as far right as the marks and the words leave it."""
        shown = self.value
        wide = self.width() / self.look.s
        words = Style(px=20, weight=800, color="#000000")
        label = Style(px=17, weight=700, color="#000000").width(shown.strength_label)
        strength = max([label, *(words.width(one.strength_text) for one in shown.rows)], default=0)
        most = MOST_MARKS if wide > NARROW else MOST_MARKS - 2
        marks = max((marks_width(one.speaks_for, most) for one in shown.rows), default=0.0)
        for_wide = Style(px=17, weight=700, color="#000000").width(shown.for_label)
        left = wide - strength - 8.0
        return RowColumns(
            split=left - max(marks, for_wide, 60.0) - SIDE - 2.5 * GAP, strength=left, most=most
        )

    def items(self) -> Sequence[CauseShown]:
        """The rows in view."""
        shown, columns = self.value, self.columns
        first = self.first
        return [
            CauseShown(
                row=one,
                columns=columns,
                against_label=shown.against_label,
                for_label=shown.for_label,
                named_text=shown.named_text,
                cursor=i == shown.cursor,
            )
            for i, one in enumerate(shown.rows[first : first + self.fits], start=first)
        ]

    def make(self, item: CauseShown) -> CauseTarget:
        """A row."""
        return CauseTarget(item)

    def token(self, item: CauseShown) -> str:
        """Its key."""
        return item.row.key

    def places(self, items: Sequence[CauseShown], room: QRectF) -> list[QRectF | None]:
        """One below the other, as high as there is room for."""
        shares = [NAMED / ROW if item.row.named else 1.0 for item in items]
        free = room.height() - HEAD
        each = min(TALL, free / sum(shares)) if shares else 0.0
        y, places = HEAD, list[QRectF | None]()
        for share in shares:
            places.append(QRectF(0, y, room.width(), share * each))
            y += share * each
        return places

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Headings over a strong line, or why there is nothing to rank."""
        shown = self.value
        if not shown.rows:
            style = Style(px=24, weight=600, color=palette.ink)
            paragraph(painter, room.adjusted(0, 6, 0, -6), shown.empty_text, style)
            return
        style = Style(px=17, weight=700, color=palette.ink)
        ended = Style(px=17, weight=700, color=palette.ink, align=RIGHT)
        columns = self.columns
        head = QRectF(0, 0, room.width(), HEAD - 4)
        row(painter, head, shown.cause_label, style)
        before = QRectF(0, 0, columns.split - SIDE, HEAD - 4)
        row(painter, before, shown.against_label, ended)
        after = QRectF(columns.split + SIDE, 0, columns.strength - columns.split - SIDE, HEAD - 4)
        row(painter, after, shown.for_label, style)
        last = QRectF(columns.strength - 8, 0, room.width() - columns.strength + 4, HEAD - 4)
        row(painter, last, shown.strength_label, ended)
        line(painter, (0, HEAD - 1), (room.width(), HEAD - 1), pen(palette.ink, 2.0))
