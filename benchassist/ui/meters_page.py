"""Meters: choose port and protocol, see the live value, zero the leads, type the accuracy.

One meter shows at a time: A takes the readings, B is the thermometer.
"""

from collections.abc import Callable, Mapping

from PySide6.QtWidgets import QWidget

from benchassist.services.desk import Field, MetersDesk
from benchassist.services.translation import _
from benchassist.ui.bench_layout import MARGIN, Place
from benchassist.ui.bench_part import Heading, Title
from benchassist.ui.field_box import FieldBox
from benchassist.ui.look import Look
from benchassist.ui.message import Message
from benchassist.ui.meter_card import NO_METER, MeterCardSheet
from benchassist.ui.meters_frame import ACTIONS, meters_frame
from benchassist.ui.number_block import PAD, NumberBlock, NumberShown
from benchassist.ui.page import Page, Turn
from benchassist.ui.pick import (
    PROTOCOL_PRESSES,
    LinkLine,
    Picks,
    PicksShown,
    port_picks,
    protocol_picks,
)
from benchassist.ui.slip_part import SLIP_SHARE
from benchassist.ui.tile import Button, ButtonTile

TICKS_BETWEEN_LOOKS = 5
UNTYPED = ("", "", "")


class MetersPage(Page):
    """The card on the left, the link on the right."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk: MetersDesk | None = None
        self._other: MetersDesk | None = None
        self.second = False
        """Whether the thermometer shows."""
        self._aside = UNTYPED
        """Port, line and protocol chosen for the meter that does not show."""
        self._view = NO_METER
        self._ticks = 0
        self._protocol = ""
        self._rows = (0.0, 0.0)
        self.card = MeterCardSheet(self)
        self.title = Title(self)
        self.message = Message(self)
        self.link = LinkLine(self)
        self.ports = Picks(2, self)
        self.protocols = Picks(4, self)
        self.port = self._box("port", _("Port"), _("P: type it, socket://host:port too"))
        self.line = self._box("line", _("Line"), _("empty: as usual"))
        self.accuracy = self._box("accuracy", _("Accuracy of this meter"), _("T: type it"))
        self.connecter = ButtonTile(Button(press="Enter", text=_("Link it"), main=True), self)
        self.cards = ButtonTile(Button(press="K", text=""), self)
        self.match = ButtonTile(Button(press="M", text=_("Match the display")), self)
        self.number = NumberBlock(self)
        self._parts = (
            self.card,
            self.title,
            self.message,
            self.link,
            self.ports,
            self.protocols,
            self.port,
            self.line,
            self.accuracy,
            self.connecter,
            self.cards,
            self.match,
            self.number,
        )
        self._acts: Mapping[str, Callable[[], object]] = {
            "Enter": self._link,
            "Z": self._zero,
            "M": self._match,
            "S": self._show_other,
            "P": self.port.field.setFocus,
            "T": self._type_accuracy,
            "K": self._next_card,
            "Esc": lambda: self.turned.emit(Turn(page="back")),
        }
        self.ports.chosen.connect(self._choose_port)
        self.protocols.chosen.connect(self._choose_protocol)
        self.connecter.clicked.connect(self._link)
        self.cards.clicked.connect(self._next_card)
        self.match.clicked.connect(self._match)
        for box in (self.port, self.line):
            box.field.entered.connect(lambda _text: self._link())
        self.accuracy.field.entered.connect(self._set_accuracy)
        for box in (self.port, self.line, self.accuracy):
            box.field.left.connect(self.setFocus)

    def _box(self, key: str, label: str, hint: str) -> FieldBox:
        return FieldBox(Field(key=key, label=label, hint=hint), self, px=20)

    # --- desk ----------------------------------------------------------------------------------

    def open(self, desk: MetersDesk, other: MetersDesk | None = None) -> None:
        """The desk behind the page, and that of the thermometer where there is one."""
        self._desk, self._other = desk, other
        self.second = False

    def _show_other(self) -> None:
        """The other meter, with what had been chosen for it."""
        if self._other is None or self._desk is None:
            return
        self._desk, self._other = self._other, self._desk
        self.second = not self.second
        now = (self.port.field.text(), self.line.field.text(), self._protocol)
        port, line, self._protocol = self._aside
        self._aside = now
        self.port.field.setText(port)
        self.line.field.setText(line)
        self.card.show_leads(shown=not self.second)
        self.entered()
        self.place()

    def _match(self) -> None:
        self.turned.emit(Turn(page="match", second=self.second))

    def entered(self) -> None:
        """Show what stands now."""
        self.setFocus()
        self.problem = ""
        if self._desk is not None:
            self._view = self._desk.view()
            if not self.accuracy.field.hasFocus():
                self.accuracy.field.setText(self._view.accuracy_text)
        self._show()

    def refresh(self) -> None:
        """Tick; the live value shows a few times a second."""
        desk = self._desk
        if desk is None:
            return
        desk.tick()
        self._ticks += 1
        if self._ticks >= TICKS_BETWEEN_LOOKS:
            self._look()

    def _look(self) -> None:
        self._ticks = 0
        if self._desk is not None:
            self._view = self._desk.view()
        self._show()

    def _choose_port(self, port: str) -> None:
        self.port.field.setText(port)
        self._look()

    def _choose_protocol(self, name: str) -> None:
        self._protocol = name
        self._look()

    @property
    def protocol(self) -> str:
        """The protocol chosen, else the one linked, else the first."""
        rows = self._view.protocols
        linked = next((r.name for r in rows if r.linked), "")
        return self._protocol or linked or (rows[0].name if rows else "")

    def _link(self) -> None:
        desk = self._desk
        if desk is None:
            return
        if self._view.connected:
            self.attempt(desk.disconnect)
        else:
            port = self.port.field.text().strip()
            line = self.line.field.text().strip()
            self.attempt(lambda: desk.connect(port, self.protocol, line))
        self.setFocus()
        self._look()

    def _set_accuracy(self, text: str) -> None:
        desk = self._desk
        if desk is not None and self.attempt(lambda: desk.set_accuracy(text.strip())):
            self.setFocus()
        self._look()

    def _type_accuracy(self) -> None:
        if not self.second:
            self.accuracy.field.setFocus()

    def _next_card(self) -> None:
        desk, cards = self._desk, self._view.cards
        if desk is None or not cards:
            return
        keys = [card.key for card in cards]
        here = keys.index(self._view.card_key) if self._view.card_key in keys else -1
        key = keys[(here + 1) % len(keys)]
        self.attempt(lambda: desk.choose_card(key))
        self._look()
        self.accuracy.field.setText(self._view.accuracy_text)

    def _zero(self) -> None:
        if self._desk is not None and not self.second:
            self.attempt(self._desk.zero)
            self._look()

    # --- keys ----------------------------------------------------------------------------------

    def press(self, press: str) -> bool:
        """Keys while no field has the focus."""
        view, act = self._view, self._acts.get(press)
        if act is not None:
            act()
        elif press.isdecimal() and 0 < int(press) <= len(view.ports):
            self._choose_port(view.ports[int(press) - 1].port)
        elif press in PROTOCOL_PRESSES[: len(view.protocols)]:
            self._choose_protocol(view.protocols[PROTOCOL_PRESSES.index(press)].name)
        else:
            return False
        return True

    def perform(self, action: str) -> None:
        """The strip's keys."""
        self.press(ACTIONS.get(action, ""))

    # --- view ----------------------------------------------------------------------------------

    def _show(self) -> None:
        view = self._view
        self.card.put(view)
        name = _("Meter B, thermometer") if self.second else _("Meter A")
        self.title.put(Heading(name, view.link_text))
        self.message.put(self.problem or view.link_error or view.accuracy_error)
        self.message.setVisible(bool(self.message.value))
        self.link.put(view.link_hint)
        port = self.port.field.text().strip()
        label, none = _("1. Where is it plugged in?"), _("No port here yet. Plug it in.")
        self.ports.put(PicksShown(label, port_picks(view, port), none))
        chosen = self.protocol
        self.protocols.put(PicksShown(_("2. How does it speak?"), protocol_picks(view, chosen)))
        usual = next((p.line for p in view.protocols if p.name == chosen), "")
        self.line.field.setPlaceholderText(usual)
        text = _("Unlink") if view.connected else _("Link it")
        self.connecter.put(Button(press="Enter", text=text, main=not view.connected))
        card = next((c.text for c in view.cards if c.key == view.card_key), _("none chosen"))
        self.cards.setVisible(bool(view.cards))
        self.accuracy.setVisible(not self.second)
        self.cards.put(Button(press="K", text=_("Meter card"), note=card))
        self.number.put(NumberShown(number=view.number))
        linked = next((p.port for p in view.ports if p.linked), "")
        if linked and not port:
            self.port.field.setText(linked)
        if self._rows != self._rows_wanted():
            self.place()
        self.show_frame(*meters_frame(view, second=self.second, other=self._other is not None))

    def _rows_wanted(self) -> tuple[float, float]:
        """Heights of ports and protocols: one row of tiles each, or two."""
        ports = 70.0 if len(self.ports.items()) <= 2 else 120.0
        return ports, 70.0 if len(self.protocols.items()) <= 4 else 120.0

    def place(self) -> None:
        """From the top: title, link, ports, protocols, line, number, accuracy."""
        look = self.look
        high = self.height() / look.s
        left = self.units_wide * SLIP_SHARE
        x, wide = left + MARGIN, self.units_wide - left - 2 * MARGIN
        self.message.setVisible(bool(self.message.value))
        third = (wide - 32) / 3
        at = (x + third + 16, third) if not self.second else (x, (wide - 16) / 2)
        self._rows = self._rows_wanted()
        ports, protocols = self._rows
        speaks = 108 + ports + 8
        fields = speaks + protocols + 8
        number = fields + 74 + 12
        for part, where in (
            (self.card, Place(0, 0, left, high)),
            (self.message, Place(x, 4, wide, 32)),
            (self.title, Place(x, 32, wide, 46)),
            (self.link, Place(x, 76, wide, 30)),
            (self.ports, Place(x, 108, wide, ports)),
            (self.protocols, Place(x, speaks, wide, protocols)),
            (self.port, Place(x, fields, wide * 0.46, 74)),
            (self.line, Place(x + wide * 0.46 + 16, fields, wide * 0.26, 74)),
            (self.connecter, Place(x + wide * 0.72 + 32, fields + 26, wide * 0.28 - 32, 48)),
            (self.number, Place(x - PAD, number, wide + 2 * PAD, high - 100 - number)),
            (self.accuracy, Place(x, high - 92, third, 76)),
            (self.cards, Place(at[0], high - 76, at[1], 60)),
            (self.match, Place(at[0] + at[1] + 16, high - 76, at[1], 60)),
        ):
            part.setGeometry(look.rect(where))

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        super().dress(look)
        for part in self._parts:
            part.dress(look)
        self.place()
