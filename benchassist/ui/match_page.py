"""Match the display: type what the meter shows, then see what the link says.

The link's value comes with the answer to what was typed and not before: there is nothing here that
could show it.
"""

from types import MappingProxyType
from typing import Any

from PySide6.QtWidgets import QWidget

from benchassist.errors import StepError
from benchassist.services.bench.view import KeyHint
from benchassist.services.desk import Desks, MatchDesk, MatchView, MetersDesk
from benchassist.services.translation import _
from benchassist.ui.bench_layout import MARGIN, Place
from benchassist.ui.bench_part import Heading, Title
from benchassist.ui.cue import Cue, Heard
from benchassist.ui.frame import Bar, Keys
from benchassist.ui.look import Look
from benchassist.ui.match_field import MatchField
from benchassist.ui.match_row import LINE_LEFT, MatchSlot, Slot, SlotShown, cover_left
from benchassist.ui.match_words import MatchNote, MatchWords
from benchassist.ui.message import Message
from benchassist.ui.meter_card import MeterCardSheet
from benchassist.ui.meters_frame import meter_place
from benchassist.ui.page import Page, Turn
from benchassist.ui.part import Part
from benchassist.ui.slip_part import SLIP_SHARE
from benchassist.ui.tile import Button, ButtonTile

TICKS_BETWEEN_CARDS = 25
UNITS_AT_MOST = 12
TYPED = frozenset("0123456789.,-")
ACTIONS = MappingProxyType({"check": "Enter", "rub": "Backspace", "unit": "U", "zero": "Z"})
GAP = 12.0


class MatchPage(Page):
    """The card on the left; what is typed beside what the link says on the right."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk: MatchDesk | None = None
        self._meters: MetersDesk | None = None
        self._second = False
        self._view = MatchView()
        self._ticks = 0
        self.card = MeterCardSheet(self)
        self.title = Title(self)
        self.message = Message(self)
        self.telling = MatchWords(self)
        self.slots = tuple(MatchSlot(self) for _ in range(3))
        self.note = MatchNote(self)
        self.leave = ButtonTile(Button(), self)
        self.field = MatchField(self)
        self._parts: tuple[Part[Any] | ButtonTile, ...] = (
            self.card,
            self.title,
            self.message,
            self.telling,
            *self.slots,
            self.note,
            self.leave,
        )
        self.field.entered.connect(self._submit)
        self.field.left.connect(self._leave)
        self.field.unit_asked.connect(self._next_unit)
        self.field.zero_asked.connect(self._zero)
        self.field.textChanged.connect(lambda _text: self._typed())
        self.leave.clicked.connect(self._leave)

    # --- desk ----------------------------------------------------------------------------------

    def open(self, desks: Desks, *, second: bool = False) -> None:
        """Start anew with one meter; `second` is the thermometer. Raises StepError without it."""
        desk = desks.match_thermometer if second else desks.match
        meters = desks.thermometer if second else desks.meters
        if desk is None or meters is None:
            raise StepError(_("there is no meter here whose display could be matched"))
        self._desk, self._meters, self._second = desk, meters, second
        self.problem = ""
        self.card.show_leads(shown=not second)
        desk.begin()
        for _turn in range(UNITS_AT_MOST):  # a thermometer shows degrees
            if desk.view().unit.startswith("°" if second else "kΩ"):
                break
            desk.next_unit()
        self.field.clear()
        self._show_card()
        self._look()

    def entered(self) -> None:
        """Ready to type."""
        self._look()
        (self if self._view.done else self.field).setFocus()

    def refresh(self) -> None:
        """One tick, one view; the card now and then."""
        desk = self._desk
        if desk is None:
            return
        desk.tick()
        self._ticks = (self._ticks + 1) % TICKS_BETWEEN_CARDS
        if self._ticks == 0:
            self._show_card()
        if desk.view() != self._view:
            self._look()

    def _show_card(self) -> None:
        if self._meters is not None:
            self.card.put(self._meters.view())

    def _look(self) -> None:
        if self._desk is not None:
            self._view = self._desk.view()
        self._show()

    def _submit(self, text: str) -> None:
        desk, typed = self._desk, text.strip()
        if desk is None:
            return
        if not typed:
            self.problem = _("Type what the display shows, then press Enter.")
            self._show()
            return
        self.attempt(lambda: desk.submit(typed))
        self._look()
        if error := self.problem or self._view.error:
            self.cued.emit(Heard(Cue.REFUSED, error))
            return
        self.field.clear()
        last = self._view.rows[-1] if self._view.rows else None
        if last is not None:
            said = self._view.note if self._view.done else last.text
            self.cued.emit(Heard(Cue.TAKEN if last.same else Cue.REFUSED, said))
        if self._view.done:
            self.setFocus()

    def _next_unit(self) -> None:
        if self._desk is not None:
            self._desk.next_unit()
            self._look()

    def _zero(self) -> None:
        meters = self._meters
        if meters is not None and not self._second:
            self.attempt(meters.zero)
            self._show_card()
            self._look()

    def _leave(self) -> None:
        self.turned.emit(Turn(page="back"))

    def _typed(self) -> None:
        self.problem = ""
        self._show()

    # --- keys ----------------------------------------------------------------------------------

    def press(self, press: str) -> bool:
        """Keys while the line has not the focus."""
        if press == "Esc" or (press == "Enter" and self._view.done):
            self._leave()
        elif self._view.done:
            return False
        elif press == "Enter":
            self._submit(self.field.text())
        elif press == "U":
            self._next_unit()
        elif press == "Z":
            self._zero()
        elif press == "Backspace":
            self.field.setFocus()
            self.field.backspace()
        elif press in TYPED:
            self.field.setFocus()
            self.field.insert(press)
        else:
            return False
        return True

    def perform(self, action: str) -> None:
        """The strip's keys."""
        self.press(ACTIONS.get(action, ""))

    # --- view ----------------------------------------------------------------------------------

    def _show(self) -> None:
        view = self._view
        name = _("Match the thermometer") if self._second else _("Match the display")
        self.title.put(Heading(name, view.count_text))
        self.message.put(self.problem or view.error)
        self.message.setVisible(bool(self.message.value))
        self.telling.put(view)
        self.field.setVisible(not view.done)
        for slot, shown in zip(self.slots, self._slots(), strict=True):
            slot.put(shown)
        if view.done:
            self.note.put(("", ""))
            self.leave.put(Button(press="Enter", text=_("Go on"), main=True))
        else:
            then, later = _("Three in a row, and it takes by itself."), _("until then a key takes")
            if self._second or view.matched:
                then, later = "", _("display matched") if view.matched else ""
            self.note.put((view.note, then))
            self.leave.put(Button(press="Esc", text=_("Leave for now"), note=later))
        self._place_rows()
        self._show_frame()

    def _slots(self) -> tuple[SlotShown, ...]:
        """Rows compared, the one being typed, those to come."""
        view = self._view
        done = [SlotShown(slot=Slot.DONE, number=r.number, row=r) for r in view.rows]
        if view.done:
            coming = tuple(SlotShown(number=n) for n in range(len(done) + 1, 4))
            return (*done[-3:], *coming)
        done = done[-2:]
        typed = self.field.text()
        typing = SlotShown(
            slot=Slot.TYPING,
            number=view.number,
            unit="" if any(c.isalpha() for c in typed) else view.unit,
            unit_left=LINE_LEFT + self._line_width() + 20,
            cover=_("covered till you press Enter")
            if view.meter_live
            else _("nothing comes in: link the meter first"),
        )
        coming = tuple(SlotShown(number=view.number + i) for i in range(1, 3 - len(done)))
        return (*done, typing, *coming)

    def _line_width(self) -> float:
        named = any(c.isalpha() for c in self.field.text())
        room = cover_left(self._wide()) - LINE_LEFT - (24.0 if named else 120.0)
        return self.field.fit(self.look, room)

    def _wide(self) -> float:
        return self.units_wide * (1.0 - SLIP_SHARE) - 2 * MARGIN

    def _show_frame(self) -> None:
        view = self._view
        hints = (KeyHint(press="Enter", text=_("Go on"), action="check", main=True),)
        if not view.done:
            rub = KeyHint(press="Backspace", text=_("Rub out"), action="rub")
            zero = KeyHint(press="Z", text=_("Zero leads"), action="zero")
            hints = (
                KeyHint(press="Enter", text=_("Check it"), action="check", main=True),
                *((rub,) if self.field.text() else ()),
                KeyHint(press="U", text=_("Change unit"), action="unit"),
                *(() if self._second or self.field.text() else (zero,)),
                KeyHint(press="Esc", text=_("Leave for now"), action="back"),
            )
        place = meter_place(second=self._second)
        self.show_frame(
            Bar(place=place, meter=view.meter_text, live=view.meter_live),
            Keys(hints=(*hints, KeyHint(press="F1", text=_("Keys"), action="help"))),
        )

    # --- places --------------------------------------------------------------------------------

    def place(self) -> None:
        """Card left; title, words, rows, note from the top on the right."""
        look = self.look
        high = self.height() / look.s
        left = self.units_wide * SLIP_SHARE
        x, wide = left + MARGIN, self._wide()
        for part, where in (
            (self.card, Place(0, 0, left, high)),
            (self.message, Place(x, 4, wide, 30)),
            (self.title, Place(x, 34, wide, 46)),
            (self.telling, Place(x, 80, wide, 66)),
            (self.note, Place(x, high - 104, wide - 356, 84)),
            (self.leave, Place(x + wide - 340, high - 92, 340, 68)),
        ):
            part.setGeometry(look.rect(where))
        self._place_rows()

    def _place_rows(self) -> None:
        look = self.look
        x, y = self.units_wide * SLIP_SHARE + MARGIN, 154.0
        room = self.height() / look.s - 116.0 - y - 2 * GAP
        low = min(110.0, 0.26 * room)
        tall = min(200.0, room - 2 * low)
        for slot in self.slots:
            high = tall if slot.value.slot is Slot.TYPING else low
            slot.setGeometry(look.rect(Place(x, y, self._wide(), high)))
            if slot.value.slot is Slot.TYPING:
                line = Place(x + LINE_LEFT, y + 46, self._line_width() + 6, high - 60)
                self.field.setGeometry(look.rect(line))
                self.field.raise_()
            y += high + GAP

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        super().dress(look)
        for part in self._parts:
            part.dress(look)
        self.field.dress(look)
        self._show()
        self.place()
