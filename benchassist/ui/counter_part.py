"""The parts of the counter: open slips, the search box, machines found."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.glyph import paint_magnifier
from benchassist.paint.palette import Palette
from benchassist.paint.stroke import NO_BRUSH, pen
from benchassist.services.desk import MachineCard, SlipCard
from benchassist.services.translation import _
from benchassist.ui.bench_layout import MARGIN, Place
from benchassist.ui.crowd import Crowd, pixels
from benchassist.ui.entry import LineField
from benchassist.ui.lettering import CENTRE, LEADING, RIGHT, Style, paragraph, row
from benchassist.ui.look import Look
from benchassist.ui.machine_card import (
    MachineShown,
    MachineTarget,
    SlipShown,
    SlipTarget,
    history_place,
    is_low,
)
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Part
from benchassist.ui.tile import Button, ButtonTile

MACHINE_ROW = 46.0


@dataclass(frozen=True, slots=True)
class SlipsShown:
    """Open slips, which is selected, what stands below them."""

    slips: tuple[SlipCard, ...] = ()
    selected: str = ""
    closed_text: str = ""
    loading: bool = True
    home_text: str = ""


class OpenSlips(Crowd[SlipsShown, SlipShown]):
    """The left panel: open slips on kraft."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(SlipsShown(), parent)

    def items(self) -> Sequence[SlipShown]:
        """The slips that fit; the selected one always does."""
        shown = self.value
        slips = [SlipShown(s, s.visit_id == shown.selected) for s in shown.slips]
        most = self._most()
        here = next((i for i, s in enumerate(slips) if s.selected), 0)
        first = max(0, min(here - most + 1, len(slips) - most))
        return slips[first : first + most]

    def _most(self) -> int:
        return max(1, int((self.height() / self.look.s - 64 - 84) / (92 + 12)))

    def make(self, item: SlipShown) -> SlipTarget:
        """A slip."""
        return SlipTarget(item)

    def token(self, item: SlipShown) -> str:
        """Its visit."""
        return item.card.visit_id

    def places(self, items: Sequence[SlipShown], room: QRectF) -> list[QRectF | None]:
        """One below the other; lower where they are many."""
        gap = 16.0 if len(items) <= 3 else 12.0
        free = room.height() - 64 - 84
        high = min(136.0, free / max(1, len(items)) - gap)
        return [
            QRectF(MARGIN, 64 + i * (high + gap), room.width() - 2 * MARGIN, high)
            for i in range(len(items))
        ]

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Kraft, the count, the foot."""
        painter.fillRect(room, QColor(palette.kraft))
        shown = self.value
        title = Style(px=24, weight=700, color=palette.kraft_text)
        head = QRectF(MARGIN, 18, room.width() - 2 * MARGIN, 36)
        taken = row(painter, head, _("Open slips"), title)
        if not shown.loading:
            count = Style(px=24, weight=400, color=palette.kraft_text)
            row(painter, head.adjusted(taken.width() + 9, 0, 0, 0), str(len(shown.slips)), count)
        foot = Style(px=18, weight=400, color=palette.kraft_text)
        at_home = "" if shown.loading else _("Everything stays on this computer.")
        text = shown.home_text or at_home
        if shown.closed_text:
            text = f"{shown.closed_text}\n{text}"
        hidden = len(shown.slips) - len(self.items())
        if hidden > 0:
            text = _("{n} more: type a name to find them").format(n=hidden) + f"\n{text}"
        below = QRectF(MARGIN, room.height() - 92, head.width(), 80)
        paragraph(painter, below, text, foot, upright=1.0)


@dataclass(frozen=True, slots=True)
class MachinesShown:
    """Machines found, which is selected, and what to say where there is none."""

    machines: tuple[MachineCard, ...] = ()
    selected: str = ""
    empty_text: str = ""


class Machines(Crowd[MachinesShown, MachineShown]):
    """Machines found: the selected one as a card with its last visit, the others as rows."""

    def __init__(self, parent: QWidget | None = None) -> None:
        self.history = ButtonTile(Button())
        super().__init__(MachinesShown(), parent)
        self.history.setParent(self)

    def dress(self, look: Look) -> None:
        """Dress the button too."""
        self.history.dress(look)
        super().dress(look)

    def lay_out(self) -> None:
        """The selected card carries the button to its history."""
        super().lay_out()
        chosen = next((t for t in self.targets if not t.isHidden() and t.value.selected), None)
        self.history.setVisible(chosen is not None)
        if chosen is None:
            return
        s = self.look.s
        room = QRectF(0.0, 0.0, chosen.width() / s, chosen.height() / s)
        text = _("History") if is_low(room) else _("See its history")
        self.history.put(Button(press="F9", text=text))
        place = history_place(room).translated(chosen.x() / s, chosen.y() / s)
        self.history.setGeometry(pixels(place, s))
        self.history.raise_()

    def items(self) -> Sequence[MachineShown]:
        """Up to three around the selected one."""
        shown = self.value
        machines = [MachineShown(m, m.machine_id == shown.selected) for m in shown.machines]
        here = next((i for i, m in enumerate(machines) if m.selected), 0)
        first = max(0, min(here - 1, len(machines) - 3))
        return machines[first : first + 3]

    def make(self, item: MachineShown) -> MachineTarget:
        """A machine."""
        return MachineTarget(item)

    def token(self, item: MachineShown) -> str:
        """Its id."""
        return item.card.machine_id

    def places(self, items: Sequence[MachineShown], room: QRectF) -> list[QRectF | None]:
        """Rows, and for the selected one what is left."""
        gap = 8.0
        chosen = any(item.selected for item in items)
        rows = len(items) - (1 if chosen else 0)
        card = min(332.0, room.height() - rows * (MACHINE_ROW + gap))
        y, places = 0.0, list[QRectF | None]()
        for item in items:
            high = card if item.selected else MACHINE_ROW
            places.append(QRectF(0, y, room.width(), high))
            y += high + gap
        return places

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Where nothing was found: a dashed place with what to do."""
        shown = self.value
        if shown.machines:
            return
        painter.setPen(pen(palette.faint, 2.0, dash=(8.0, 6.0)))
        painter.setBrush(NO_BRUSH)
        painter.drawRect(room.adjusted(1, 1, -1, -1))
        style = Style(px=22, weight=400, color=palette.dim, align=CENTRE)
        paragraph(painter, room.adjusted(60, 0, -60, 0), shown.empty_text, style, upright=0.5)


class SearchBox(Part[str]):
    """The one box; its value is the hint that shows while it is empty."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(_("scan the tag, or type any part of a name"), parent)
        self.field = LineField(self, px=38, weight=700)
        self.field.setAccessibleName(_("Find a machine"))
        self.field.setAccessibleDescription(self.value)
        self.setFocusProxy(self.field)
        self.field.textChanged.connect(self.update)

    def dress(self, look: Look) -> None:
        """Dress and place the field."""
        super().dress(look)
        self.field.dress(look)
        self._place()

    def resizeEvent(self, event: object) -> None:
        """Place the field."""
        self._place()

    def _place(self) -> None:
        s = self.look.s
        wide = self.width() / s
        self.field.setGeometry(
            self.look.rect(Place(72, 12, wide - 84 if self._alone else wide - 430, 56))
        )

    @property
    def _alone(self) -> bool:
        return len(self.field.text()) > 12 or self.width() / self.look.s < 700

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Box, glass, hint."""
        self._place()
        paint_panel(painter, room, palette, edge=4.0)
        paint_magnifier(painter, QRectF(24, 22, 36, 36), palette.ink)
        if not self._alone:
            style = Style(px=18, weight=400, color=palette.dim, align=RIGHT)
            row(painter, QRectF(room.width() - 400, 0, 376, room.height()), self.value, style)


@dataclass(frozen=True, slots=True)
class CounterWords:
    """Title and the line under the box."""

    found_text: str = ""


class CounterHead(Part[CounterWords]):
    """The page's title, and what was found."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(CounterWords(), parent)

    def words(self) -> str:
        """Both."""
        return f"{_('Who’s on the bench?')} {self.value.found_text}"

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Title at the top, count below the box."""
        title = Style(px=40, weight=800, color=palette.ink)
        row(painter, QRectF(0, 0, room.width(), 54), _("Who’s on the bench?"), title)
        found = Style(px=18, weight=400, color=palette.dim)
        below = QRectF(0, 146, room.width(), LEADING * 18)
        row(painter, below, self.value.found_text, found)
