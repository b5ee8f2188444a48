"""The counter: one box to find a machine, the open slips, what else can be begun.

It is also the first thing painted, empty, while the rest of the program is still loading.
"""

from PySide6.QtCore import QRectF
from PySide6.QtWidgets import QWidget

from benchassist.services.desk import CounterDesk, CounterView, MachineCard
from benchassist.services.translation import _
from benchassist.ui.bench_layout import MARGIN, Place
from benchassist.ui.counter_keys import counter_hints
from benchassist.ui.counter_part import (
    CounterHead,
    CounterWords,
    Machines,
    MachinesShown,
    OpenSlips,
    SearchBox,
    SlipsShown,
)
from benchassist.ui.frame import Bar, Keys
from benchassist.ui.lettering import columns_of
from benchassist.ui.look import Look
from benchassist.ui.message import Message
from benchassist.ui.page import Page, Turn
from benchassist.ui.slip_part import SLIP_SHARE
from benchassist.ui.tile import Button, ButtonTile

TICKS_BETWEEN_LOOKS = 25
"""The shop file is asked again once a second, and at once when the search changes."""


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
        self.machines.history.clicked.connect(self._look_into)
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
        if self._ticks >= TICKS_BETWEEN_LOOKS:
            self._look()
        elif self.problem and self.problem != self.message.value:
            self._show()

    def _look(self) -> None:
        desk = self._desk
        self._ticks = 0
        if desk is None:
            return
        self._asked = self.search.field.text()
        self._view = desk.view(self._asked, self._selected)
        if self._selected not in self._selectable():
            # Words that find no machine select no slip, and words that are only close to those of
            # a machine do not select it: a tag misread would open another visit.
            sure = self._may_begin and not self._view.close
            self._selected = next(iter(self._selectable()), "") if sure else ""
        self._show()

    def _searched(self, text: str) -> None:
        self.problem = ""
        self._selected = ""
        self._look()

    @property
    def _may_begin(self) -> bool:
        """Whether there is something to select that was asked for."""
        return bool(self._view.machines) or not self._asked.strip()

    # --- selection -----------------------------------------------------------------------------

    def _selectable(self) -> tuple[str, ...]:
        """What Up and Down go through: machines found, then open slips."""
        slips = tuple(slip.visit_id for slip in self._view.slips)
        return (*(m.machine_id for m in self._view.machines), *slips)

    def _move(self, by: int) -> None:
        order = self._selectable()
        if order:
            here = order.index(self._selected) if self._selected in order else -1
            self._select(order[max(0, min(len(order) - 1, here + by))])

    def _select(self, which: str) -> None:
        """A machine selected shows its last visit."""
        self._selected = which
        self._look()

    def _enter(self) -> None:
        machine = next((m for m in self._view.machines if m.machine_id == self._selected), None)
        if machine is not None:
            self._begin(machine)
        elif self._selected:
            self._resume(self._selected)
        elif self._view.machines:
            self._move(1)
        elif not self._may_begin:
            self.problem = self._view.found_text or _("No machine found.")
            self.search.field.selectAll()
            self._show()

    def _clicked(self, machine_id: str) -> None:
        if machine_id == self._selected:
            self._enter()
        else:
            self._select(machine_id)

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
        pages = {
            "F2": "new_machine",
            "F3": "practice",
            "F4": "meters",
            "F5": "settings",
            "F6": "log",
            "F7": "spec",
            "F10": "records",
        }
        if press == "F8":
            self._print_tags()
        elif press == "F9":
            self._look_into()
        elif press in pages:
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

    def _print_tags(self) -> None:
        """Of the machine selected, if one is."""
        found = (m.machine_id for m in self._view.machines if m.machine_id == self._selected)
        self.turned.emit(Turn(page="tags", machine_id=next(found, "")))

    def _look_into(self) -> None:
        """The file of the machine selected, or of the open slip's."""
        machines = {card.machine_id for card in self._view.machines}
        if self._selected in machines:
            self.turned.emit(Turn(page="machine", machine_id=self._selected))
        elif self._selected:
            self.turned.emit(Turn(page="machine", visit_id=self._selected))

    def perform(self, action: str) -> None:
        """The strip's Enter, Esc, tags and history."""
        if action == "enter":
            self._enter()
        elif action == "clear":
            self.search.field.clear()
        elif action == "tags":
            self._print_tags()
        elif action == "machine":
            self._look_into()

    # --- view ----------------------------------------------------------------------------------

    def _show(self) -> None:
        view = self._view
        loading = self._desk is None and not self._refused
        self.slips.put(
            SlipsShown(view.slips, self._selected, view.closed_text, loading, view.home_text)
        )
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
        self.show_frame(
            Bar(place=_("Counter"), meter=self._view.meter_text, live=self._view.meter_live),
            Keys(
                hints=tuple(counter_hints(self._view, self._selected)), note=_("No internet needed")
            ),
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
