"""Meters: choose port and protocol, see the live value, zero the leads, type the accuracy.

One meter shows at a time: A takes the readings, B is the thermometer.
"""

from collections.abc import Callable, Mapping

from PySide6.QtWidgets import QWidget

from benchassist.services.desk import MetersDesk, ProposalRow
from benchassist.services.translation import _
from benchassist.ui.meters_board import MetersBoard
from benchassist.ui.meters_frame import ACTIONS
from benchassist.ui.page import Turn
from benchassist.ui.pick import PROTOCOL_PRESSES

TICKS_BETWEEN_LOOKS = 5
UNTYPED = ("", "", "")


class MetersPage(MetersBoard):
    """A desk behind the board, and every key of the page."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk: MetersDesk | None = None
        self._other: MetersDesk | None = None
        self._aside = UNTYPED
        """Port, line and protocol chosen for the meter that does not show."""
        self._ticks = 0
        self._acts: Mapping[str, Callable[[], object]] = {
            "Enter": self._link,
            "L": self._listen,
            "Z": self._zero,
            "M": self._match,
            "S": self._show_other,
            "P": self.port.field.setFocus,
            "T": self.accuracy.field.setFocus,
            "K": self._next_card,
            "N": self._turn_page,
            "Esc": lambda: self.turned.emit(Turn(page="back")),
        }
        self.ports.chosen.connect(self._choose_port)
        self.protocols.chosen.connect(self._choose_protocol)
        self.connecter.clicked.connect(self._link)
        self.cards.clicked.connect(self._next_card)
        self.match.clicked.connect(self._match)
        self.finding.chosen.connect(self._choose)
        self.listener.clicked.connect(self._listen)
        self.more.clicked.connect(self._turn_page)
        for box in (self.port, self.line):
            box.field.entered.connect(lambda _text: self._link())
        self.accuracy.field.entered.connect(self._set_accuracy)
        for box in (self.port, self.line, self.accuracy):
            box.field.left.connect(self.setFocus)

    # --- desk ----------------------------------------------------------------------------------

    def open(self, desk: MetersDesk, other: MetersDesk | None = None) -> None:
        """The desk behind the page, and that of the thermometer where there is one."""
        if self.second:
            self._swap_chosen()
        self._desk, self._other = desk, other
        self.second, self.has_other = False, other is not None
        self.card.show_leads(shown=True)
        self.place()

    def _show_other(self) -> None:
        """The other meter, with what had been chosen for it."""
        if self._other is None or self._desk is None:
            return
        self._desk, self._other = self._other, self._desk
        self.second = not self.second
        self._swap_chosen()
        self.card.show_leads(shown=not self.second)
        self.entered()
        self.place()

    def _swap_chosen(self) -> None:
        now = (self.port.field.text(), self.line.field.text(), self._protocol)
        port, line, self._protocol = self._aside
        self._aside = now
        self.port.field.setText(port)
        self.line.field.setText(line)

    def _match(self) -> None:
        if self._view.connected:
            self.turned.emit(Turn(page="match", second=self.second))
        else:
            self.problem = _("link the meter first, then match its display")
            self._show()

    def entered(self) -> None:
        """Show what stands now."""
        self.setFocus()
        self.problem = ""
        if self._desk is not None:
            self._view = self._desk.view()
            if not self.accuracy.field.hasFocus():
                self.accuracy.field.setText(self._view.accuracy_text)
        self._show()

    def focus_moved(self) -> None:
        """Other keys mean something there."""
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

    def _listen(self) -> None:
        """Listen on the port chosen, or on the only one there is; or stop."""
        desk, ports = self._desk, self._view.ports
        if desk is None:
            return
        port = self.port.field.text().strip() or (ports[0].port if len(ports) == 1 else "")
        self.attempt(desk.stop_listening if self._view.listening else lambda: desk.listen(port))
        self.setFocus()
        self._look()

    def _choose(self, key: str) -> None:
        """Answer the question, or let a proposal fill port, protocol and line."""
        desk = self._desk
        if desk is None:
            return
        if self._view.question:
            self.attempt(lambda: desk.answer(key))
        else:
            self.attempt(lambda: self._fill_in(desk.choose_proposal(key)))
        self.setFocus()
        self._look()

    def _fill_in(self, row: ProposalRow) -> None:
        self._protocol = row.protocol
        self.port.field.setText(row.port)
        self.line.field.setText(row.line)

    def _set_accuracy(self, text: str) -> None:
        desk = self._desk
        if desk is not None and self.attempt(lambda: desk.set_accuracy(text.strip())):
            self.setFocus()
        self._look()

    def _turn_page(self) -> None:
        """Further proposals or answers."""
        self.finding.turn()
        self._show()

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
        elif chosen := self.finding.chosen_by(press):
            self._choose(chosen)
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
