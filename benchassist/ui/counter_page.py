"""The counter: one box to find a machine, the open slips, what else can be begun.

It is also the first thing painted, empty, while the rest of the program is still loading.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.glyph import paint_magnifier
from benchassist.paint.palette import Palette
from benchassist.paint.stroke import NO_BRUSH, pen
from benchassist.services.bench_view import KeyHint
from benchassist.services.desk import CounterDesk, CounterView, MachineCard, SlipCard
from benchassist.services.translation import _
from benchassist.ui.bench_layout import MARGIN, Place
from benchassist.ui.crowd import Crowd
from benchassist.ui.entry import LineField
from benchassist.ui.frame import Bar, Keys
from benchassist.ui.lettering import CENTRE, LEADING, RIGHT, Style, columns_of, paragraph, row
from benchassist.ui.look import Look
from benchassist.ui.machine_card import MachineShown, MachineTarget, SlipShown, SlipTarget
from benchassist.ui.message import Message
from benchassist.ui.page import Page, Turn
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Part
from benchassist.ui.slip_part import SLIP_SHARE
from benchassist.ui.tile import Button, ButtonTile

TICKS_BETWEEN_LOOKS = 25
"""The shop file is asked again once a second, and at once when the search changes."""
MACHINE_ROW = 46.0


@dataclass(frozen=True, slots=True)
class SlipsShown:
    """Open slips, which is selected, what stands below them."""

    slips: tuple[SlipCard, ...] = ()
    selected: str = ""
    closed_text: str = ""
    loading: bool = True


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
        text = _("Everything stays on this computer.")
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
        super().__init__(MachinesShown(), parent)

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


class CounterPage(Page):
    """Find a machine, take up a visit, begin one."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk: CounterDesk | None = None
        self._view = CounterView()
        self._asked = ""
        self._ticks = 0
        self._selected = ""
        self._refused = ""
        self.slips = OpenSlips(self)
        self.head = CounterHead(self)
        self.search = SearchBox(self)
        self.message = Message(self)
        self.machines = Machines(self)
        self.buttons = tuple(
            ButtonTile(button, self)
            for button in (
                Button(press="F2", text=_("New machine"), note=_("Fresh card and tag")),
                Button(press="F3", text=_("Practice bench"), note=_("Made-up faults")),
                Button(press="F4", text=_("Meters"), note=_("Link, zero, accuracy")),
            )
        )
        for button, page in zip(self.buttons, ("new_machine", "practice", "meters"), strict=True):
            button.clicked.connect(lambda _=False, p=page: self.turned.emit(Turn(page=p)))
        self._parts = (self.slips, self.head, self.search, self.message, self.machines)
        self.slips.chosen.connect(self._resume)
        self.machines.chosen.connect(self._clicked)
        self.search.field.textChanged.connect(self._searched)
        self.search.field.entered.connect(lambda _text: self._enter())
        self.search.field.left.connect(self.search.field.clear)
        self.search.field.moved.connect(self._move)
        self.setFocusProxy(self.search)
        self._show()

    # --- desk ----------------------------------------------------------------------------------

    def open(self, desk: CounterDesk) -> None:
        """The shop file is open."""
        self._desk, self._refused = desk, ""
        self._look()

    def refuse(self, why: str) -> None:
        """The shop file could not be opened."""
        self._refused = why
        self._show()

    def entered(self) -> None:
        """Ready to type."""
        self.search.field.setFocus()
        self.search.field.selectAll()
        self._look()

    def refresh(self) -> None:
        """Tick, and look again once a second."""
        if self._desk is None:
            return
        self._desk.tick()
        self._ticks += 1
        if self._ticks >= TICKS_BETWEEN_LOOKS or self._refused != self.problem:
            self._look()

    def _look(self) -> None:
        desk = self._desk
        self._ticks = 0
        if desk is None:
            return
        self._asked = self.search.field.text()
        self._view = desk.view(self._asked)
        if self._selected not in self._selectable():
            self._selected = next(iter(self._selectable()), "")
        self._show()

    def _searched(self, text: str) -> None:
        self.problem = ""
        self._selected = ""
        self._look()

    # --- selection -----------------------------------------------------------------------------

    def _selectable(self) -> tuple[str, ...]:
        """What Up and Down go through: machines found, then open slips."""
        slips = tuple(slip.visit_id for slip in self._view.slips)
        return (*(m.machine_id for m in self._view.machines), *slips)

    def _move(self, by: int) -> None:
        order = self._selectable()
        if order:
            here = order.index(self._selected) if self._selected in order else -1
            self._selected = order[max(0, min(len(order) - 1, here + by))]
            self._show()

    def _enter(self) -> None:
        machine = next((m for m in self._view.machines if m.machine_id == self._selected), None)
        if machine is not None:
            self._begin(machine)
        elif self._selected:
            self._resume(self._selected)

    def _clicked(self, machine_id: str) -> None:
        if machine_id == self._selected:
            self._enter()
        else:
            self._selected = machine_id
            self._show()

    def _begin(self, machine: MachineCard) -> None:
        if machine.open_visit_id:
            self._resume(machine.open_visit_id)
        else:
            self.turned.emit(Turn(page="interview", machine_id=machine.machine_id))

    def _resume(self, visit_id: str) -> None:
        self.turned.emit(Turn(page="bench", visit_id=visit_id))

    # --- keys ----------------------------------------------------------------------------------

    def press(self, press: str) -> bool:
        """Keys that the box does not use."""
        pages = {"F2": "new_machine", "F3": "practice", "F4": "meters"}
        if press in pages:
            self.turned.emit(Turn(page=pages[press]))
        elif press == "Enter":
            self._enter()
        elif press in {"Up", "Down"}:
            self._move(1 if press == "Down" else -1)
        elif press == "Esc":
            self.search.field.clear()
        elif len(press) == 1:
            self.search.field.setFocus()
            self.search.field.insert(press.lower())
        else:
            return False
        return True

    def perform(self, action: str) -> None:
        """The strip's Enter and Esc."""
        if action == "enter":
            self._enter()
        elif action == "clear":
            self.search.field.clear()

    # --- view ----------------------------------------------------------------------------------

    def _show(self) -> None:
        view = self._view
        loading = self._desk is None and not self._refused
        self.slips.put(SlipsShown(view.slips, self._selected, view.closed_text, loading))
        self.head.put(CounterWords(view.found_text if self._asked else ""))
        if loading:
            empty = _("Opening the shop file. You can type already.")
        elif self._asked:
            empty = _("No machine found. F2 makes a new card.")
        else:
            empty = _("Scan a tag or type. The machine and its last visit show here.")
        self.machines.put(MachinesShown(view.machines, self._selected, empty))
        wrong = self._refused or self.problem or view.banner
        if wrong != self.message.value:
            self.message.put(wrong)
            self.message.setVisible(bool(wrong))
        self._show_frame()

    def _show_frame(self) -> None:
        hints = [KeyHint(press="F2", text=_("New machine"), action="new_machine")]
        if self._selected:
            machine = next((m for m in self._view.machines if m.machine_id == self._selected), None)
            text = _("Open a new visit") if machine and not machine.open_visit_id else _("Go on")
            hints.insert(0, KeyHint(press="Enter", text=text, action="enter", main=True))
        hints += [
            KeyHint(press="F3", text=_("Practice bench"), action="practice"),
            KeyHint(press="F4", text=_("Meters"), action="meters"),
            KeyHint(press="Esc", text=_("Clear"), action="clear"),
            KeyHint(press="F1", text=_("Keys"), action="help"),
        ]
        self.show_frame(
            Bar(place=_("Counter"), meter=self._view.meter_text, live=self._view.meter_live),
            Keys(hints=tuple(hints), note=_("No internet needed")),
        )

    # --- places --------------------------------------------------------------------------------

    def place(self) -> None:
        """Left the slips, right the box and what it found."""
        look = self.look
        high = self.height() / look.s
        left = self.units_wide * SLIP_SHARE
        x, wide = left + MARGIN, self.units_wide - left - 2 * MARGIN
        self.slips.setGeometry(look.rect(Place(0, 0, left, high)))
        self.head.setGeometry(look.rect(Place(x, 20, wide, 180)))
        self.search.setGeometry(look.rect(Place(x, 84, wide, 80)))
        self.search.raise_()
        self.message.setVisible(bool(self.message.value))
        self.message.setGeometry(look.rect(Place(x, 168, wide, 32)))
        self.machines.setGeometry(look.rect(Place(x, 204, wide, high - 332)))
        places = columns_of(QRectF(x, high - 112, wide, 96), len(self.buttons), 16.0)
        for button, where in zip(self.buttons, places, strict=True):
            rect = Place(where.left(), where.top(), where.width(), where.height())
            button.setGeometry(look.rect(rect))

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        super().dress(look)
        for part in self._parts:
            part.dress(look)
        for button in self.buttons:
            button.dress(look)
        self.place()
