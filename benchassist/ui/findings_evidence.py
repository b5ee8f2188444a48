"""The room of all evidence, and below it the steps that may be passed over."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.services.findings.view import FindingsView
from benchassist.services.translation import _
from benchassist.ui.bench_layout import Place
from benchassist.ui.bench_part import Heading
from benchassist.ui.crowd import Crowd
from benchassist.ui.findings_bearing import (
    Bearing,
    BearingShown,
    BearingTarget,
    act_of,
    bearings_of,
    row_height,
)
from benchassist.ui.findings_room import Act, FindingsRoom, Stretch, stretch_of
from benchassist.ui.lettering import Style, row


@dataclass(frozen=True, slots=True)
class BearingsShown:
    """The list, and the row that has the cursor."""

    bearings: tuple[Bearing, ...] = ()
    cursor: int = 0


class Bearings(Crowd[BearingsShown, BearingShown]):
    """The rows that fit, around the cursor."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(BearingsShown(), parent)

    def words(self) -> str:
        """How many rows there are."""
        return _("Evidence: {n} rows").format(n=len(self.value.bearings))

    def _rows(self) -> list[BearingShown]:
        return [
            BearingShown(one, i == self.value.cursor) for i, one in enumerate(self.value.bearings)
        ]

    def stretch(self) -> Stretch:
        """Which rows show."""
        s = self.look.s
        heights = [row_height(one, self.width() / s) for one in self._rows()]
        return stretch_of(heights, max(0, self.value.cursor), self.height() / s - 26.0)

    def items(self) -> Sequence[BearingShown]:
        """The rows in view."""
        stretch = self.stretch()
        return self._rows()[stretch.first : stretch.first + stretch.count]

    def make(self, item: BearingShown) -> BearingTarget:
        """A row."""
        return BearingTarget(item)

    def token(self, item: BearingShown) -> str:
        """Its key, and the step where it is moot."""
        return f"{'moot' if item.bearing.moot else 'evidence'}:{item.bearing.key}"

    def places(self, items: Sequence[BearingShown], room: QRectF) -> list[QRectF | None]:
        """One below the other."""
        y, places = 0.0, list[QRectF | None]()
        for item in items:
            high = row_height(item, room.width())
            places.append(QRectF(0, y, room.width(), high))
            y += high
        return places

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """What is out of view, at the foot."""
        stretch, count = self.stretch(), len(self.value.bearings)
        below = count - stretch.first - stretch.count
        told = []
        if stretch.first:
            told.append(_("{n} more above").format(n=stretch.first))
        if below > 0:
            told.append(_("{n} more below").format(n=below))
        style = Style(px=16, weight=600, color=palette.ink)
        foot = QRectF(0, room.height() - 24, room.width(), 24)
        row(painter, foot, "   ".join(told), style)


class EvidenceRoom(FindingsRoom):
    """Everything that can bear on the causes."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.list = Bearings(self)
        self.parts = (self.list,)
        self.list.chosen.connect(self._chosen)

    def heading(self, view: FindingsView) -> Heading:
        """How much of it is known."""
        known = sum(one.known for one in view.evidence)
        return Heading(
            _("What bears on it"),
            _("{known} of {n} known").format(known=known, n=len(view.evidence)),
        )

    def put_view(self, view: FindingsView, cursor: int) -> None:
        """All rows."""
        self.list.put(BearingsShown(bearings_of(view), max(0, cursor)))

    def length(self, view: FindingsView) -> int:
        """All rows."""
        return len(view.evidence) + len(view.moot)

    def opened(self, view: FindingsView, cursor: int) -> Act | None:
        """The step of a row, else its answer."""
        rows = bearings_of(view)
        return act_of(rows[max(0, cursor)]) if rows and cursor < len(rows) else None

    def _chosen(self, token: str) -> None:
        kind, _colon, key = token.partition(":")
        for one in self.list.value.bearings:
            if one.key == key and one.moot == (kind == "moot"):
                self.acted.emit(*act_of(one))
                return

    def place(self) -> None:
        """The list takes it all."""
        wide, high = self.units
        self.put_at(self.list, Place(0, 0, wide, high))
