"""What the meters page shows: the card on the left, the link and what comes of it on the right."""

from dataclasses import fields

from PySide6.QtWidgets import QWidget

from benchassist.services.desk import Field
from benchassist.services.translation import _
from benchassist.ui.bench_part import Heading, Title
from benchassist.ui.field_box import FieldBox
from benchassist.ui.finding_panel import PRESSES, FindingPanel, FindingShown, finding_of
from benchassist.ui.frame import Keys
from benchassist.ui.hint import line_hints
from benchassist.ui.look import Look
from benchassist.ui.message import Message
from benchassist.ui.meter_card import NO_METER, MeterCardSheet
from benchassist.ui.meters_frame import match_button, match_words, meters_frame
from benchassist.ui.meters_layout import meters_places
from benchassist.ui.number_block import NumberBlock, NumberShown
from benchassist.ui.page import Page
from benchassist.ui.pick import LinkLine, Picks, PicksShown, port_picks, protocol_picks
from benchassist.ui.tile import Button, ButtonTile


class MetersBoard(Page):
    """The parts of the meters page, filled from a view and placed for it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.second = False
        """Whether the thermometer shows."""
        self.has_other = False
        """Whether there are two meters."""
        self._view = NO_METER
        self._protocol = ""
        self._counts = (0, 0, 0)
        """Of the ports, protocols and answers that are placed."""
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
        self.match = ButtonTile(Button(), self)
        self.number = NumberBlock(self)
        self.finding = FindingPanel(self)
        self.listener = ButtonTile(Button(), self)
        self.more = ButtonTile(Button(), self)
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
            self.finding,
            self.listener,
            self.more,
        )

    def _box(self, key: str, label: str, hint: str) -> FieldBox:
        return FieldBox(Field(key=key, label=label, hint=hint), self, px=20)

    @property
    def protocol(self) -> str:
        """The protocol chosen, else the one linked, else the first."""
        rows = self._view.protocols
        linked = next((r.name for r in rows if r.linked), "")
        return self._protocol or linked or (rows[0].name if rows else "")

    def _show(self) -> None:
        """Hand every part its piece of the view."""
        view = self._view
        self.card.put(view)
        name = _("Meter B, thermometer") if self.second else _("Meter A")
        self.title.put(Heading(name, view.link_text))
        trouble = view.link_error if view.link_error != view.question else ""
        self.message.put(self.problem or trouble or view.accuracy_error)
        self.message.setVisible(bool(self.message.value))
        self.link.put(view.link_hint or match_words(view, second=self.second))
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
        self.accuracy.field.setPlaceholderText(
            _("1 °C, or 0.5% + 1") if self.second else _("0.8% + 3; 200 ohm 1%")
        )
        self.cards.put(Button(press="K", text=_("Meter card"), note=card))
        self.number.put(NumberShown(number=view.number))
        linked = next((p.port for p in view.ports if p.linked), "")
        if linked and not port:
            self.port.field.setText(linked)
        self._show_finding(port)
        if self._counts != self._count():
            self.place()
        self._show_pages()
        bar, keys = meters_frame(view, second=self.second, other=self.has_other)
        if self.accuracy.hasFocus():
            keys = Keys(hints=line_hints(_("Keep it")))
        elif self.port.hasFocus() or self.line.hasFocus():
            keys = Keys(hints=line_hints(text))
        self.show_frame(bar, keys)

    def _show_finding(self, port: str) -> None:
        """While no meter is linked it has the place of the number; a question stands above it.

        What can be chosen of ports and protocols gives way to a question meanwhile.
        """
        view = self._view
        line = self.line.field.text().strip()
        shown = finding_of(view, port=port, protocol=self.protocol, line=line)
        asks_or_finds = shown.asks or not view.connected
        self.finding.put(shown if asks_or_finds else FindingShown())
        self.finding.setVisible(asks_or_finds)
        self.number.setVisible(shown.asks or not asks_or_finds)
        self.ports.setVisible(not shown.asks)
        self.protocols.setVisible(not shown.asks)
        text = _("Stop listening") if view.listening else _("Listen")
        self.listener.put(Button(press="L", text=text))
        self.listener.setVisible(asks_or_finds and not shown.asks)
        self.match.put(match_button(view))
        self.match.setVisible(view.connected)

    def _show_pages(self) -> None:
        """The key to further proposals or answers, where there are any."""
        finding = self.finding
        self.more.setVisible(finding.isVisibleTo(self) and finding.pages > 1)
        text = _("More, {page} of {pages}").format(page=finding.page + 1, pages=finding.pages)
        self.more.put(Button(press="N", text=text))

    def _count(self) -> tuple[int, int, int]:
        answers = min(len(self._view.answers), len(PRESSES)) if self._view.question else 0
        return len(self.ports.items()), len(self.protocols.items()), answers

    def place(self) -> None:
        """Every part in its place for the present size."""
        self.message.setVisible(bool(self.message.value))
        self._counts = self._count()
        ports, protocols, answers = self._counts
        high = self.height() / self.look.s
        places = meters_places(
            self.units_wide, high, ports=ports, protocols=protocols, answers=answers
        )
        for name in (field.name for field in fields(places)):
            part: QWidget = getattr(self, name)
            part.setGeometry(self.look.rect(getattr(places, name)))
        self.listener.raise_()
        self.more.raise_()
        self._show_pages()

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        super().dress(look)
        for part in self._parts:
            part.dress(look)
        self.place()
