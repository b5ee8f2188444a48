"""The meters page: ports, families, the meter card, the lead zero."""

from dataclasses import replace

from benchassist.core.link import LinkRequest, PortInfo
from benchassist.core.plain_text import brief
from benchassist.core.quantity import Quantity
from benchassist.core.reading import LinkState, Reading
from benchassist.core.steady import Phase
from benchassist.errors import BenchError, InputError, StepError
from benchassist.services.bench.view import Number, NumberState
from benchassist.services.desk import FieldChoice, MetersView, PortRow, ProposalRow, ProtocolRow
from benchassist.services.findings.finding import Finding
from benchassist.services.metering.meter import Meter
from benchassist.services.metering.meter_memory import twins_of
from benchassist.services.metering.range_table import range_rows
from benchassist.services.needs import Clock, MeterRoom
from benchassist.services.settings import Settings, SettingsFile
from benchassist.services.translation import _
from benchassist.services.wording import accuracy_text, link_text
from benchassist.units import UnitChoice, shown, text_of

PORTS_EVERY = 1.0


class MetersPage:
    """Links and what is known of the meter; satisfies `desk.MetersDesk`."""

    def __init__(
        self,
        *,
        room: MeterRoom,
        meter: Meter,
        clock: Clock,
        settings: Settings,
        file: SettingsFile | None,
        units: UnitChoice,
    ) -> None:
        self._room = room
        self._meter = meter
        self._clock = clock
        self._settings = settings
        self._file = file
        self._units = units
        self._ports = room.ports()
        self._looked_at = clock.monotonic()
        self._leads_error = ""
        self._accuracy_error = ""
        self._finding = Finding(room, meter.acquaintance.at)
        self._finding.look(self._ports)

    def tick(self) -> None:
        """Take in readings and link changes; look for new ports once a second."""
        self._meter.attend(None)
        self._meter.take_in()
        now = self._clock.monotonic()
        if now - self._looked_at >= PORTS_EVERY:
            self._looked_at = now
            self._look_at(self._room.ports())
        self._finding.take_in()

    def _look_at(self, ports: tuple[PortInfo, ...]) -> None:
        if ports != self._ports:
            self._ports = ports
            self._finding.look(ports)

    def view(self) -> MetersView:
        """What the page shows now."""
        meter, request = self._meter, self._meter.request
        here = request.port if request is not None else ""
        family = request.protocol if request is not None else ""
        rows = [
            PortRow(port=p.port, text=p.port, note=self._note_of(p), linked=p.port == here)
            for p in self._ports
        ]
        if here and here not in {p.port for p in self._ports}:
            rows.insert(0, PortRow(port=here, text=here, linked=True))
        question = meter.acquaintance.question
        card = meter.setup.card
        leads = meter.zeroed
        zero = (
            text_of(leads.zero.value, Quantity.RESISTANCE, resolution=leads.zero.resolution)
            if (leads is not None)
            else None
        )
        return MetersView(
            ports=tuple(rows),
            protocols=tuple(
                ProtocolRow(name=f.name, text=f.name, line=f.line, linked=f.name == family)
                for f in self._room.protocols()
            ),
            meter_text=link_text(meter.link_state, meter.age),
            meter_live=meter.live is not None,
            link_text=self._link_text(),
            link_hint="" if meter.linked else _("Choose its port and its family, then press Enter"),
            link_error=meter.trouble,
            connected=meter.linked,
            number=self._number(),
            card_title=card.name if card is not None else _("No meter card"),
            card_source=self._source(),
            card_note=_(
                "Doubt = percent of the reading, plus that many counts of the last digit. "
                "It sets how wide every lozenge is."
            ),
            ranges=range_rows(meter.setup, self._settings.k),
            cards=tuple(FieldChoice(key=c.key, text=c.name) for c in meter.cards),
            card_key=card.key if card is not None else "",
            leads_value=zero.digits if zero is not None else "",
            leads_unit=zero.unit if zero is not None else "",
            leads_when=leads.at.astimezone().strftime("%H:%M") if leads is not None else "",
            leads_note=_("Taken off every ohms reading")
            if leads is not None
            else _("Touch the probes together, then press Z"),
            leads_error=self._leads_error,
            accuracy_text=meter.setup.accuracy_note,
            accuracy_error=self._accuracy_error,
            listening=self._finding.is_listening,
            listening_text=self._finding.text,
            proposals=() if meter.linked else self._finding.rows(),
            question=question.text if question is not None else "",
            answers=question.answers if question is not None else (),
            matched=meter.may_take_by_itself,
        )

    def _note_of(self, port: PortInfo) -> str:
        """What is known of a port; where another looks the same, which, and where this one is."""
        parts = [port.description]
        if twins := twins_of(port.port, self._ports):
            others = ", ".join(twin.port for twin in twins)
            parts.append(_("looks like {others}").format(others=others))
            if port.location:
                parts.append(_("in USB socket {place}").format(place=port.location))
        return ", ".join(part for part in parts if part)

    def _source(self) -> str:
        """Whose figures the table shows."""
        card = self._meter.setup.card
        if self._meter.setup.stated:
            return _("As typed; the rest as the card has it") if card else _("As typed")
        return card.source_note if card else accuracy_text(self._meter.setup.worst_case)

    def _link_text(self) -> str:
        meter = self._meter
        if meter.link_state is LinkState.LIVE and meter.period:
            return _("Live, {rate:.1f} readings a second").format(rate=1.0 / meter.period)
        if not meter.linked:
            return _("Not linked")
        return link_text(meter.link_state, meter.age)

    def _number(self) -> Number:
        meter, reading = self._meter, self._meter.live
        if not meter.linked:
            return Number(state=NumberState.NO_METER, jaw_word=_("No meter"))
        if reading is None:
            return Number(state=NumberState.WAITING, jaw_word=_("Waiting for the meter"))
        return self._live_number(reading)

    def _live_number(self, reading: Reading) -> Number:
        steady = self._meter.now_steady
        met = steady.phase in {Phase.STEADY, Phase.LIFT}
        if reading.overload:
            return Number(state=NumberState.OVERLOAD, words=_("Above range"))
        digits, unit = shown(reading, self._units)
        return Number(
            state=NumberState.STEADYING if steady.fraction or met else NumberState.MOVING,
            digits=digits,
            unit=unit,
            jaws=1.0 if met else steady.fraction,
            jaw_word=_("Steady") if met else _("Moving"),
            jaw_hint=", ".join(sorted(reading.flags)),
        )

    def connect(self, port: str, protocol: str, line: str) -> None:
        """Open a link; an empty line is the family's own. Raises InputError, PortError."""
        port = _named(port)
        self._finding.stop()  # it reads the port that is to be linked
        dtr, rts = self._finding.supply(port, protocol)
        self._meter.expect(None)
        self._meter.connect(
            LinkRequest(port=port, protocol=protocol, line=line.strip() or None, dtr=dtr, rts=rts)
        )
        self._finding.clear()

    def disconnect(self) -> None:
        """Close the link."""
        self._meter.disconnect()
        self._finding.clear()

    # --- finding a meter -------------------------------------------------------------------------

    def listen(self, port: str) -> None:
        """Find out how a meter on a port speaks; it goes on beside everything else.

        Raises InputError for what cannot be a port, StepError for one that is linked.
        """
        port = _named(port)
        request = self._meter.request
        if request is not None and request.port == port:
            raise StepError(_("{port} is linked: unlink it to listen on it").format(port=port))
        self._finding.start(port)

    def stop_listening(self) -> None:
        """Listen no more."""
        self._finding.stop()

    def choose_proposal(self, key: str) -> ProposalRow:
        """What to fill port, family and line with. Raises InputError for one that is gone."""
        return self._finding.row(key)

    def answer(self, key: str) -> None:
        """Answer the question asked. Raises StepError where none is."""
        self._meter.answer(key)

    # --- what is known of it ---------------------------------------------------------------------

    def choose_card(self, key: str) -> None:
        """Take a meter card of the spec book for this meter, from now on."""
        card = next((c for c in self._meter.cards if c.key == key), None)
        if key and card is None:
            known = ", ".join(c.key for c in self._meter.cards)
            raise InputError(
                _("no meter card '{key}': there are {known}").format(key=brief(key), known=known)
            )
        self._meter.choose_card(card)
        self._accuracy_error = ""
        self._keep(card=key, accuracy="")

    def set_accuracy(self, text: str) -> None:
        """An accuracy statement typed in. Raises InputError saying what would be right."""
        try:
            self._meter.set_accuracy(text)
        except InputError as error:
            self._accuracy_error = str(error)
            raise
        self._accuracy_error = ""
        self._keep(card=self._settings.meter_card, accuracy=self._meter.setup.accuracy_note)

    def _keep(self, *, card: str, accuracy: str) -> None:
        if self._file is None:
            return
        kept = replace(self._file.read(), meter_card=card, meter_accuracy=accuracy)
        self._settings = kept
        self._file.write(kept)

    def zero(self) -> None:
        """Keep what the probes held together show. Raises StepError where nothing steady shows."""
        try:
            self._meter.zero_leads()
        except BenchError as error:
            self._leads_error = str(error)
            raise
        self._leads_error = ""


def _named(port: str) -> str:
    """The port typed or chosen. Raises InputError where there is none."""
    if not port.strip():
        raise InputError(_("choose a port, or type one such as socket://192.0.2.7:5025"))
    return port.strip()
