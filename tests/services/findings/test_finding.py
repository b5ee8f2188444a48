"""Finding a meter on the meters page: what is remembered, what is heard, and what is asked."""

from pathlib import Path

import pytest

from benchassist.core.link import (
    LinkRequest,
    ListeningEnd,
    ListeningOn,
    PortInfo,
    Proposal,
    ProtocolInfo,
    Surety,
)
from benchassist.errors import InputError, StepError
from benchassist.services.bench.taking import MeterSetup
from benchassist.services.desk import MetersDesk, MetersView
from benchassist.services.metering.meter import Meter
from benchassist.services.metering.meter_memory import KnownMeter, MeterMemory
from benchassist.services.metering.meters_page import PORTS_EVERY, MetersPage
from benchassist.services.settings import Settings
from benchassist.units import UnitChoice
from tests.services.fakes import FakeClock, FakeLink, FakeListening, FakeRoom
from tests.services.rig import CARD, OTHER_CARD, ShopRig

LEAD = PortInfo(port="/dev/ttyUSB0", description="a lead", vid=1, pid=2, serial="L-77")
BARE = PortInfo(port="/dev/ttyUSB1", vid=1, pid=3, location="1-2")
TWIN = PortInfo(port="/dev/ttyUSB2", vid=1, pid=3, location="1-3")
MATCHED = "2026-06-09T08:00:00+00:00"


class Room(FakeRoom):
    """A room whose ports change."""

    def __init__(self, *ports: PortInfo) -> None:
        super().__init__()
        self.plugged = ports
        self.requests: list[LinkRequest] = []

    def ports(self) -> tuple[PortInfo, ...]:
        return self.plugged

    def protocols(self) -> tuple[ProtocolInfo, ...]:
        return (
            ProtocolInfo(name="scpi", line="9600-8N1"),
            ProtocolInfo(name="nibble-14", line="19200-7O1"),
            ProtocolInfo(name="text-line", line="19200-8N1"),
        )

    def open(self, request: LinkRequest) -> FakeLink:
        self.requests.append(request)
        return super().open(request)

    def scout(self, port: str) -> FakeListening:
        if port == "http://here":
            raise InputError("Port http://here: an address starts with one of socket://")
        return super().scout(port)


class Rig:
    """A meters page over a room and a memory."""

    def __init__(self, home: Path, *ports: PortInfo) -> None:
        self.clock = FakeClock()
        self.room = Room(*ports)
        self.memory = MeterMemory(home / "meters.json")
        self.anew()

    def anew(self) -> None:
        """The program starts."""
        self.meter = Meter(
            self.room, self.clock, (CARD, OTHER_CARD), MeterSetup(), memory=self.memory
        )
        self.page: MetersDesk = MetersPage(
            room=self.room,
            meter=self.meter,
            clock=self.clock,
            settings=Settings(),
            file=None,
            units=UnitChoice(),
        )

    @property
    def view(self) -> MetersView:
        """The page."""
        return self.page.view()

    def plug(self, *ports: PortInfo) -> None:
        """These ports are there now."""
        self.room.plugged = ports
        self.clock.pass_by(PORTS_EVERY)
        self.page.tick()

    def hear(self, *items: ListeningOn | ListeningEnd) -> None:
        """The search says so."""
        self.room.listenings[-1].items.extend(items)
        self.page.tick()

    def end(self, *found: Proposal, heard: bool = True, detail: str = "") -> None:
        """The search ends."""
        port = self.room.listenings[-1].port
        self.hear(ListeningEnd(port=port, proposals=found, heard=heard, detail=detail))


@pytest.fixture
def rig(tmp_path: Path) -> Rig:
    """A page with one lead plugged in."""
    return Rig(tmp_path, LEAD)


def likely(port: str = LEAD.port, **more: object) -> Proposal:
    """Three blocks of nibble-14."""
    given = {"protocol": "nibble-14", "line": "19200-7O1", "surety": Surety.LIKELY, "frames": 3}
    return Proposal(port=port, **(given | more))  # type: ignore[arg-type]


# --- listening ------------------------------------------------------------------------------------


def test_a_new_lead_has_no_proposals(rig: Rig) -> None:
    """Nobody listens unasked."""
    view = rig.view
    assert (view.proposals, view.listening, view.listening_text) == ((), False, "")
    assert rig.room.listenings == []


def test_listening_says_where_it_stands_and_what_it_brought(rig: Rig) -> None:
    """Line by line, then the proposals; nothing is linked by itself."""
    rig.page.listen(f" {LEAD.port} ")
    assert (rig.view.listening, rig.view.listening_text) == (True, "Listening on /dev/ttyUSB0")
    rig.hear(ListeningOn(port=LEAD.port, line="2400-8N1", number=4, of=5))
    assert rig.view.listening_text == "Listening on /dev/ttyUSB0: 2400-8N1, line 4 of 5"
    rig.hear(ListeningOn(port=LEAD.port, line="9600-8N1", number=1, of=2, asks=True))
    assert rig.view.listening_text == "Asking on /dev/ttyUSB0: 9600-8N1"
    rig.end(likely())
    view = rig.view
    assert not view.listening
    assert view.listening_text == "Choose what fits your meter, link it, then match the display"
    (row,) = view.proposals
    assert row.text == "nibble-14 at 19200-7O1 on /dev/ttyUSB0"
    assert row.sure_text == "Likely: 3 blocks fit"
    assert not view.connected
    assert rig.room.links == []


def test_a_proposal_chosen_is_what_fills_the_fields(rig: Rig) -> None:
    """The usual line stays empty, another is named; one that is gone is refused."""
    rig.page.listen(LEAD.port)
    odd = likely(protocol="text-line", line="9600-8N1", surety=Surety.POSSIBLE, frames=1)
    rig.end(likely(), odd)
    first, second = rig.view.proposals
    chosen = rig.page.choose_proposal(first.key)
    assert (chosen.port, chosen.protocol, chosen.line) == (LEAD.port, "nibble-14", "")
    chosen = rig.page.choose_proposal(second.key)
    assert (chosen.port, chosen.protocol, chosen.line) == (LEAD.port, "text-line", "9600-8N1")
    assert chosen.sure_text == "Possible: 1 block fits"
    with pytest.raises(InputError, match="that proposal is gone: listen again"):
        rig.page.choose_proposal("nothing")
    assert rig.room.links == []


def test_an_instrument_is_proposed_by_its_name(rig: Rig) -> None:
    """As it answers."""
    rig.page.listen(LEAD.port)
    rig.end(likely(protocol="scpi", line="9600-8N1", frames=1, identity="ACORN,B6,7,1"))
    assert rig.view.proposals[0].sure_text == "Likely: it answers as ACORN,B6,7,1"


@pytest.mark.parametrize(
    ("heard", "detail", "said"),
    [
        (True, "", "Something comes on /dev/ttyUSB0 that fits no family here"),
        (False, "", "Nothing comes on /dev/ttyUSB0: turn the meter on"),
        (False, "Port /dev/ttyUSB0 is in use: close it", "Port /dev/ttyUSB0 is in use: close it"),
    ],
)
def test_nothing_found_says_what_to_do(rig: Rig, *, heard: bool, detail: str, said: str) -> None:
    """Junk, silence and a port that does not open are three things."""
    rig.page.listen(LEAD.port)
    rig.end(heard=heard, detail=detail)
    assert rig.view.listening_text.startswith(said)
    assert (rig.view.listening, rig.view.proposals) == (False, ())


def test_listening_can_be_stopped(rig: Rig) -> None:
    """Also by listening anew; each search is closed."""
    rig.page.listen(LEAD.port)
    rig.page.listen(LEAD.port)
    assert [s.closed for s in rig.room.listenings] == [True, False]
    rig.page.stop_listening()
    assert [s.closed for s in rig.room.listenings] == [True, True]
    assert (rig.view.listening, rig.view.listening_text) == (False, "Stopped listening")
    rig.page.stop_listening()


def test_linking_ends_listening_first_and_clears_what_it_brought(rig: Rig) -> None:
    """The port is let go of before the link opens it."""
    rig.page.listen(LEAD.port)
    rig.page.connect(LEAD.port, "nibble-14", "")
    assert rig.room.listenings[0].closed
    view = rig.view
    assert (view.connected, view.listening, view.listening_text) == (True, False, "")
    assert view.proposals == ()


def test_what_cannot_be_listened_to_is_refused(rig: Rig) -> None:
    """No port, no address, or the port that is linked already."""
    with pytest.raises(InputError, match="choose a port"):
        rig.page.listen("  ")
    with pytest.raises(InputError, match="starts with one of"):
        rig.page.listen("http://here")
    assert not rig.view.listening
    rig.page.connect(LEAD.port, "nibble-14", "")
    with pytest.raises(StepError, match="/dev/ttyUSB0 is linked: unlink it to listen on it"):
        rig.page.listen(LEAD.port)


def test_a_shop_that_closes_stops_listening(tmp_path: Path) -> None:
    """On both pages."""
    rig = ShopRig(tmp_path)
    rig.shop.meters.listen("/dev/fake0")
    rig.shop.thermometers.listen("/dev/fake1")
    rig.shop.close()
    assert [s.closed for s in rig.room.listenings] == [True, True]


# --- supply ---------------------------------------------------------------------------------------


def test_the_supply_a_meter_was_heard_under_is_used_and_kept(rig: Rig) -> None:
    """Linked as it was heard; the next time without listening."""
    rig.page.listen(LEAD.port)
    rig.end(likely(dtr=False, rts=True))
    assert rig.view.proposals[0].sure_text == "Likely: 3 blocks fit; its lead is fed by RTS"
    rig.page.connect(LEAD.port, "nibble-14", "")
    rig.page.tick()
    rig.page.disconnect()
    rig.anew()
    rig.page.connect(LEAD.port, "nibble-14", "")
    rig.page.disconnect()
    rig.page.connect(LEAD.port, "text-line", "")
    assert [(r.dtr, r.rts) for r in rig.room.requests] == [
        (False, True),
        (False, True),
        (None, None),
    ]


# --- memory ---------------------------------------------------------------------------------------


def test_a_meter_that_was_used_is_proposed_as_soon_as_it_is_plugged_in(rig: Rig) -> None:
    """By its lead and not by its port; before and without any listening."""
    rig.page.connect(LEAD.port, "nibble-14", "")
    rig.page.tick()
    rig.meter.keep_match(rig.clock.now())
    rig.page.disconnect()
    rig.anew()
    (row,) = rig.view.proposals
    assert (row.port, row.protocol, row.line) == (LEAD.port, "nibble-14", "")
    assert row.sure_text == "Used before, display matched 9 Jun 2026"
    rig.plug()
    assert not rig.view.proposals
    rig.plug(PortInfo(port="/dev/ttyUSB9", vid=1, pid=2, serial="L-77"))
    (moved,) = rig.page.view().proposals
    assert moved.port == "/dev/ttyUSB9"


def test_a_meter_that_only_was_linked_is_remembered_too(rig: Rig) -> None:
    """How it is read, once it was heard; that its display was not matched is said."""
    rig.page.connect(LEAD.port, "text-line", "9600-8N1")
    assert rig.memory.recall("usb:0001:0002:L-77") is None
    rig.page.tick()
    rig.page.disconnect()
    (row,) = rig.view.proposals
    assert (row.protocol, row.line) == ("text-line", "9600-8N1")
    assert row.sure_text == "Used before"


def test_what_is_remembered_comes_before_what_is_heard(rig: Rig) -> None:
    """And says so where both agree; other ports' meters are left out while one is asked for."""
    rig.memory.keep("usb:0001:0002:L-77", KnownMeter(protocol="nibble-14", matched_at=MATCHED))
    rig.memory.keep("usb:0001:0003", KnownMeter(protocol="text-line"))
    rig.plug(LEAD, BARE)
    assert [r.port for r in rig.view.proposals] == [LEAD.port, BARE.port]
    rig.page.listen(LEAD.port)
    assert [r.port for r in rig.view.proposals] == [LEAD.port]
    rig.end(likely(protocol="text-line", line="19200-8N1"), likely())
    assert [(r.protocol, r.sure_text) for r in rig.view.proposals] == [
        ("nibble-14", "Used before, display matched 9 Jun 2026; heard now"),
        ("text-line", "Likely: 3 blocks fit"),
    ]


def test_an_instrument_is_proposed_by_the_lead_it_answered_on(rig: Rig) -> None:
    """Its match is kept with its name, how to reach it with its lead."""
    rig.page.connect(LEAD.port, "scpi", "")
    rig.page.tick()
    rig.meter.keep_match(rig.clock.now())
    rig.page.disconnect()
    rig.anew()
    (row,) = rig.view.proposals
    assert (row.protocol, row.sure_text) == ("scpi", "Used before")
    rig.page.connect(LEAD.port, "scpi", "")
    assert not rig.meter.may_take_by_itself
    rig.page.tick()
    assert rig.meter.may_take_by_itself


def test_the_name_of_a_port_is_nothing_to_remember(rig: Rig) -> None:
    """A port that USB knows nothing of may be another meter's tomorrow."""
    rig.plug(PortInfo(port="/dev/ttyS0"))
    rig.page.connect("/dev/ttyS0", "nibble-14", "")
    rig.page.tick()
    rig.page.disconnect()
    assert rig.view.proposals == ()


def test_a_damaged_memory_keeps_nobody_from_linking(tmp_path: Path) -> None:
    """It is told in one line, and the file is left as it is."""
    path = tmp_path / "meters.json"
    path.write_text("nonsense")
    rig = Rig(tmp_path, LEAD)
    assert rig.view.proposals == ()
    assert "not a list of known meters" in rig.view.link_error
    rig.page.connect(LEAD.port, "nibble-14", "")
    rig.page.tick()
    assert rig.view.meter_text == "Meter linked"
    assert "not a list of known meters" in rig.view.link_error
    assert path.read_text() == "nonsense"


# --- leads that look the same ---------------------------------------------------------------------


def test_leads_that_look_the_same_are_said_to(rig: Rig) -> None:
    """Each names the others and the socket it is in."""
    rig.plug(LEAD, BARE, TWIN)
    assert [row.note for row in rig.view.ports] == [
        "a lead",
        "looks like /dev/ttyUSB2, in USB socket 1-2",
        "looks like /dev/ttyUSB1, in USB socket 1-3",
    ]


def twice(rig: Rig) -> None:
    """Two meters on leads that look the same, both matched, one after the other."""
    rig.plug(BARE)
    rig.page.connect(BARE.port, "nibble-14", "")
    rig.page.choose_card(CARD.key)
    rig.meter.keep_match(rig.clock.now())
    rig.page.disconnect()
    rig.plug(BARE, TWIN)
    rig.page.connect(TWIN.port, "nibble-14", "")
    rig.page.answer("new")
    rig.page.choose_card(OTHER_CARD.key)
    rig.page.disconnect()


def test_two_that_look_the_same_ask_which_meter_it_is(rig: Rig) -> None:
    """Nothing kept of either is used until the person says; then what is kept of that one is."""
    twice(rig)
    rig.page.connect(BARE.port, "nibble-14", "")
    rig.page.tick()
    view = rig.view
    assert view.question == "Leads that look the same: which meter hangs on /dev/ttyUSB1?"
    assert [a.text for a in view.answers] == [
        "nibble-14, Hand-held 2,000 counts, display matched 9 Jun 2026",
        "nibble-14, Bench instrument",
        "Another one",
    ]
    assert rig.meter.matched_at is None
    rig.page.answer(view.answers[0].key)
    assert rig.view.question == ""
    assert rig.meter.may_take_by_itself
    assert rig.meter.setup.card == CARD
    with pytest.raises(StepError, match="nothing is asked"):
        rig.page.answer("new")


def test_another_one_is_kept_beside_the_others(rig: Rig) -> None:
    """And asked for like them the next time."""
    twice(rig)
    rig.page.connect(BARE.port, "nibble-14", "")
    rig.page.answer("new")
    assert not rig.meter.may_take_by_itself
    rig.meter.keep_match(rig.clock.now())
    rig.page.disconnect()
    rig.page.connect(TWIN.port, "nibble-14", "")
    assert len(rig.view.answers) == 4


def test_once_two_are_known_one_alone_asks_too(rig: Rig) -> None:
    """The other one may be in the drawer."""
    twice(rig)
    rig.plug(TWIN)
    rig.page.connect(TWIN.port, "nibble-14", "")
    assert rig.view.question
    assert not rig.meter.may_take_by_itself


def test_matching_the_display_answers_for_itself(rig: Rig) -> None:
    """Whoever it was, it is a meter with a match of its own now."""
    twice(rig)
    rig.page.connect(BARE.port, "nibble-14", "")
    rig.meter.keep_match(rig.clock.now())
    assert rig.view.question == ""
    assert rig.meter.may_take_by_itself
    assert len(rig.memory.alike("usb:0001:0003")) == 3


def test_both_are_proposed_for_either_port(rig: Rig) -> None:
    """What differs between them is their family and line."""
    twice(rig)
    rig.memory.keep("usb:0001:0003#3", KnownMeter(protocol="text-line"))
    rig.page.listen(BARE.port)
    assert [(r.protocol, r.sure_text) for r in rig.view.proposals] == [
        ("nibble-14", "Used before"),
        ("text-line", "Used before"),
    ]
