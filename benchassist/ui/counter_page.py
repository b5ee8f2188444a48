"""The counter: one box to find a machine, the open slips, what else can be begun.

It is also the first thing painted, empty, while the rest of the program is still loading.
"""

import time

from PySide6.QtWidgets import QWidget

from benchassist.services.desk import CounterDesk, CounterView, MachineCard
from benchassist.services.front.migration_view import MigrationView
from benchassist.services.translation import _
from benchassist.ui.counter_choice import came_free, empty_text, file_of, first_choice, selectable
from benchassist.ui.counter_keys import PLACES, counter_hints, waiting_hints
from benchassist.ui.counter_layout import counter_places
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
from benchassist.ui.look import Look
from benchassist.ui.message import Message
from benchassist.ui.page import Page, Turn
from benchassist.ui.tile import Button, ButtonTile
from benchassist.ui.work_panel import WorkPanel, WorkShown

TICKS_BETWEEN_LOOKS = 25
"""The shop file is asked again once a second, and at once when the search changes."""
SLOW_S, TICKS_OF_REST, KNOWN_SLOW_S = 0.25, 8, 300.0
"""Where an answer takes so long, one is asked for once the typing rests, not at every letter."""


class CounterPage(Page):
    """Find a machine, take up a visit, begin one."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk: CounterDesk | None = None
        self._view = CounterView()
        self._asked = self._selected = ""
        self._ticks, self._slow_until = 0, 0.0
        self._refused, self._waits, self._keeps = "", False, True
        self.slips = OpenSlips(self)
        self.head = CounterHead(self)
        self.search = SearchBox(self)
        self.message = Message(self)
        self.machines = Machines(self)
        self.work = WorkPanel(self, px=34, note_px=17)
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
        self._parts = (self.slips, self.head, self.search, self.message, self.machines, self.work)
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

    def open(self, desk: CounterDesk, *, keeps: bool = True) -> None:
        """The shop file is open. `keeps`: there are records to look after."""
        self._desk, self._keeps, self._refused, self.problem = desk, keeps, "", ""
        self._look()

    def refuse(self, why: str) -> None:
        """The shop file could not be opened."""
        self._refused, self._waits = why, False
        self._show()
        self.place()

    def wait_for(self, view: MigrationView | None) -> None:
        """The shop is brought up to date first, so far; None: no longer."""
        self._waits = view is not None
        if view is not None:
            self.work.put(WorkShown(view.share, view.text, view.note))
        if self.work.isHidden() is self._waits:
            self._show()
            self.place()

    def entered(self) -> None:
        """Ready to type."""
        self.search.field.setFocus()
        self.search.field.selectAll()
        self._look()

    def refresh(self) -> None:
        """Tick, and look again once a second."""
        if self._desk is None:
            if self.problem:
                self._show()
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
        self._asked, before, began = self.search.field.text(), self._view, time.monotonic()
        self._view = desk.view(self._asked, self._selected)
        if time.monotonic() - began > SLOW_S:
            self._slow_until = began + KNOWN_SLOW_S
        if came_free(before, self._view):
            self.problem = ""
        if self._selected not in selectable(self._view):
            # Words that find no machine select no slip, and words that are only close to those of
            # a machine do not select it: a tag misread would open another visit.
            sure = self._may_begin and not self._view.close
            self._selected = first_choice(self._view) if sure else ""
        self._show()

    def _searched(self, text: str) -> None:
        self.problem = self._selected = ""
        if time.monotonic() < self._slow_until:
            self._ticks = TICKS_BETWEEN_LOOKS - TICKS_OF_REST
        else:
            self._look()

    def _catch_up(self) -> None:
        """Look for what was typed, where that was put off."""
        if self._asked != self.search.field.text():
            self._look()

    @property
    def _may_begin(self) -> bool:
        """Whether there is something to select that was asked for."""
        return bool(self._view.machines) or not self._asked.strip()

    # --- selection -----------------------------------------------------------------------------

    def _move(self, by: int) -> None:
        self._catch_up()
        order = selectable(self._view)
        if order:
            here = order.index(self._selected) if self._selected in order else -1
            self._select(order[max(0, min(len(order) - 1, here + by))])

    def _select(self, which: str) -> None:
        """A machine selected shows its last visit."""
        self._selected, self.problem = which, ""
        self._look()

    def _enter(self) -> None:
        self._catch_up()
        machine = next((m for m in self._view.machines if m.machine_id == self._selected), None)
        if machine is not None:
            self._begin(machine)
        elif self._selected:
            self._resume(self._selected)
        elif self._view.machines:
            self._move(1)
        elif not self._may_begin:
            view = self._view
            self.problem = view.nothing_text or view.found_text or _("No machine found.")
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
        if press in PLACES:
            self.turned.emit(Turn(page=PLACES[press]))
        elif press == "F8":
            self._print_tags()
        elif press == "F9":
            self._look_into()
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
        self._catch_up()
        found = (m.machine_id for m in self._view.machines if m.machine_id == self._selected)
        self.turned.emit(Turn(page="tags", machine_id=next(found, "")))

    def _look_into(self) -> None:
        """The file of the machine selected, or of the open slip's."""
        self._catch_up()
        found = file_of(self._view, self._selected)
        if isinstance(found, Turn):
            self.turned.emit(found)
        else:
            self.problem = found
            self._show()

    def perform(self, action: str) -> None:
        """The strip's Enter, Esc, tags and history."""
        does = {
            "enter": self._enter,
            "clear": self.search.field.clear,
            "tags": self._print_tags,
            "machine": self._look_into,
        }
        if action in does:
            does[action]()

    # --- view ----------------------------------------------------------------------------------

    def _show(self) -> None:
        view = self._view
        closed = self._desk is None
        self.slips.put(
            SlipsShown(view.slips, self._selected, view.closed_text, closed, view.home_text)
        )
        self.head.put(CounterWords(view.found_text if self._asked else ""))
        if not closed:
            empty = empty_text(view, asked=self._asked)
        elif self._refused:
            empty = _("The shop is not open.")
        else:
            empty = _("Opening the shop. You can type already.")
        self.machines.put(MachinesShown(view.machines, self._selected, empty))
        wrong = self._refused or self.problem or view.banner
        if wrong != self.message.value:
            self.message.put(wrong)
            self.place()
        self._show_frame()

    def _show_frame(self) -> None:
        if self._desk is not None:
            typed, keeps = bool(self._asked), self._keeps
            hints = counter_hints(self._view, self._selected, typed=typed, keeps=keeps)
        else:
            hints = waiting_hints(opening=not (self._waits or self._refused))
        self.show_frame(
            Bar(place=_("Counter"), meter=self._view.meter_text, live=self._view.meter_live),
            Keys(hints=tuple(hints), note=_("No internet needed")),
        )

    # --- places --------------------------------------------------------------------------------

    def place(self) -> None:
        """Left the slips, right the box and what it found."""
        look, buttons = self.look, self.buttons
        at = counter_places(self.units_wide, self.height() / look.s, message=self.message.value)
        parts: tuple[QWidget, ...] = (*self._parts, *buttons)
        for part, where in zip(parts, at.in_order, strict=True):
            part.setGeometry(look.rect(where))
        self.search.raise_()
        self.message.setVisible(bool(self.message.value))
        self.work.setVisible(self._waits)
        for covered in (self.machines, *buttons):
            covered.setVisible(not self._waits)

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        super().dress(look)
        for part in self._parts:
            part.dress(look)
        for button in self.buttons:
            button.dress(look)
        self.place()
