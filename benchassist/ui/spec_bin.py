"""The shop's own good parts behind a figure: their band, its ruler, every part, and their keys."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF, Signal
from PySide6.QtGui import QPainter, QResizeEvent
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import LIGHT, Palette
from benchassist.paint.stroke import line, pen
from benchassist.services.spec.view import PartRow, PartState, PartsView
from benchassist.services.translation import _
from benchassist.ui.bench_layout import Place
from benchassist.ui.bench_part import PanelShown, RulerPanel
from benchassist.ui.cap import paint_triangle
from benchassist.ui.entry import ENTRY_LOW, EntryLine, EntryShown
from benchassist.ui.lettering import RIGHT, Style, row
from benchassist.ui.look import Look
from benchassist.ui.part import Part, Target
from benchassist.ui.scroll_list import Listed, RowShown, ScrollList, paint_ground
from benchassist.ui.spec_part import Wrong, WrongShown
from benchassist.ui.tile import Button, ButtonTile

HEAD, PANEL, KEY, NOTE, GAP = 48.0, 150.0, 60.0, 30.0, 8.0


class RowTarget(Target[RowShown[PartRow]]):
    """One part: its value and what is odd about it, its day and machine."""

    def words(self) -> str:
        """All of it."""
        one = self.value.row
        chosen = _("chosen") if self.value.cursor else ""
        parts = (one.value or _("no number"), one.note, one.day_text, one.tag, chosen)
        return ". ".join(part for part in parts if part)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Two lines at either side; one that is left out is faint and struck."""
        one = self.value.row
        paint_ground(painter, room, palette, cursor=self.value.cursor)
        out = one.state is PartState.LEFT_OUT
        left, wide = 14.0, room.width() - 200.0
        if one.state is PartState.APART:
            paint_triangle(painter, QRectF(left, 15, 24, 20), palette.out_text, palette.panel)
            left += 36.0
        ink = palette.faint if out else palette.ink
        value = Style(px=19, weight=800, color=ink)
        where = QRectF(left, 4 if one.note else 13, wide - left, 23)
        shown = row(painter, where, one.value or _("no number"), value)
        if out and one.value:
            middle = shown.center().y() + 1.0
            line(painter, (shown.left(), middle), (shown.right(), middle), pen(ink, 2.0))
        odd = one.state is PartState.APART
        note = Style(px=15, weight=400, color=palette.out_text if odd else palette.dim)
        row(painter, QRectF(left, 27, wide - left, 18), one.note, note)
        right = QRectF(room.width() - 200.0, 4, 186, 23)
        day = Style(px=18, weight=500, color=ink, align=RIGHT)
        row(painter, right, one.day_text, day)
        tag = Style(px=15, weight=400, color=palette.dim, align=RIGHT)
        row(painter, right.translated(0, 23), one.tag, tag)


class Rows(ScrollList[PartRow]):
    """Every part that was ever marked."""

    def row_target(self, item: RowShown[PartRow]) -> RowTarget:
        """A part."""
        return RowTarget(item)

    def counted(self, count: int) -> str:
        """Parts."""
        return _("{n} parts").format(n=count)


@dataclass(frozen=True, slots=True)
class BandHead:
    """The limits offered and where they come from; without limits, why there are none."""

    limits: str = ""
    origin: str = ""


class Head(Part[BandHead]):
    """What the parts make, in large type."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(BandHead(), parent)

    def words(self) -> str:
        """Both."""
        return ", ".join(t for t in (self.value.limits, self.value.origin) if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Limits large, origin beside them."""
        shown = self.value
        large = Style(px=32, weight=800, color=palette.ink)
        taken = row(painter, room, shown.limits, large) if shown.limits else QRectF()
        beside = room.adjusted(taken.width() + (16 if shown.limits else 0), 2, 0, 2)
        quiet = Style(px=22, weight=500, color=palette.dim if shown.limits else palette.ink)
        row(painter, beside, shown.origin, quiet, least=15)


class Bin(QWidget):
    """The right side of the spec book while parts are looked at. It decides nothing."""

    moved = Signal(int)
    picked = Signal(str)
    adopted = Signal()
    reasoned = Signal(str)
    relented = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.look = Look(LIGHT)
        self.head = Head(self)
        self.panel = RulerPanel(self)
        self.rows = Rows(self)
        self.said = Wrong(self)
        self.adopter = ButtonTile(Button(), self)
        self.reason = EntryLine(self)
        self.rows.moved.connect(self.moved)
        self.rows.chosen.connect(self.picked)
        self.adopter.clicked.connect(self.adopted)
        self.reason.field.entered.connect(self.reasoned)
        self.reason.field.left.connect(self.relented)
        self._ruler = self._adopts = False
        self.reason.hide()

    @property
    def asking(self) -> bool:
        """Whether a reason is being typed."""
        return self.reason.isVisibleTo(self)

    def show_parts(self, view: PartsView, cursor: str, said: str) -> None:
        """All of it, the cursor on one part."""
        self.head.put(BandHead(view.band_text, view.origin))
        self.panel.put(PanelShown(view.ruler))
        none = _("No part is marked yet. On the bench, G marks the part just read as known good.")
        none = "" if view.coming else none
        self.rows.put(Listed(view.rows, cursor, none))
        self.said.put(WrongShown(fine=said))
        self.adopter.put(Button(press="Ctrl+Enter", text=view.adopt_text, main=True))
        self._ruler, self._adopts = view.ruler is not None, bool(view.adopt_text)
        self.place()

    def ask(self, error: str = "") -> None:
        """Ask why a part is set aside; keep the line where it was not enough."""
        self.reason.put(
            EntryShown(
                label=_("Not known good after all: why"),
                hint=_("Such as: read through a wet boot. Esc leaves it known good"),
                error=error,
            )
        )
        if not error:
            self.reason.field.clear()
        self.reason.show()
        self.reason.raise_()
        self.place()
        self.reason.field.setFocus()

    def put_away(self) -> None:
        """Ask no more."""
        self.reason.hide()
        self.place()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Place the parts for the new size."""
        self.place()

    def place(self) -> None:
        """Head, ruler, list; the key and what was said, or the reason, at the foot."""
        s = self.look.s
        wide, high = self.width() / s, self.height() / s
        panel = PANEL if self._ruler else 0.0
        top = HEAD + GAP + (panel + GAP if panel else 0.0)
        foot = ENTRY_LOW if self.asking else KEY if self._adopts else NOTE
        self.head.setGeometry(self.look.rect(Place(0, 0, wide, HEAD)))
        self.panel.setVisible(self._ruler)
        self.panel.setGeometry(self.look.rect(Place(0, HEAD + GAP, wide, panel)))
        room = max(60.0, high - foot - GAP - top)
        self.rows.setGeometry(self.look.rect(Place(0, top, wide, room)))
        bottom = high - foot
        self.adopter.setVisible(self._adopts and not self.asking)
        self.adopter.setGeometry(self.look.rect(Place(wide - 360, bottom, 360, KEY)))
        self.said.setVisible(not self.asking)
        beside = wide - 376 if self._adopts else wide
        self.said.setGeometry(self.look.rect(Place(0, bottom, beside, foot)))
        self.reason.setGeometry(self.look.rect(Place(0, bottom, wide, ENTRY_LOW)))

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        self.look = look
        for part in (self.head, self.panel, self.rows, self.said, self.adopter, self.reason):
            part.dress(look)
        self.place()
