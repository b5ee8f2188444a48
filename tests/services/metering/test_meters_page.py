"""The meters page: links made and refused, the card and statement kept, the leads zeroed."""

from dataclasses import replace
from pathlib import Path

import pytest

from benchassist.core.link import LinkRequest, PortInfo
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, LinkChange, LinkItem, LinkState, Reading
from benchassist.errors import InputError, StepError
from benchassist.services.bench.view import NumberState
from benchassist.services.desk import MetersView
from benchassist.services.metering.meters_page import PORTS_EVERY, MetersPage
from benchassist.services.settings import Settings
from tests.services.fakes import PLAIN, FakeLink, FakeRoom, overload
from tests.services.rig import CARD, OTHER_CARD, ShopRig


class Rig(ShopRig):
    """A shop whose meters page is in front."""

    def __init__(self, home: Path) -> None:
        super().__init__(home)
        self.page: MetersPage = self.shop.meters
        self.t = 0.0

    def link(self) -> None:
        """Link the one meter there is."""
        self.page.connect("/dev/fake0", "nibble-14", "")
        self.page.tick()

    def hear(self, item: LinkItem) -> None:
        """One thing comes in."""
        self.room.links[-1].items.append(item)
        self.page.tick()

    def feed(self, reading: Reading, *, seconds: float = 2.0) -> None:
        """The same reading for a while."""
        for _ in range(int(4 * seconds)):
            self.t += 0.25
            self.clock.pass_by(0.25)
            self.hear(replace(reading, t_s=self.t))

    @property
    def view(self) -> MetersView:
        """The page."""
        return self.page.view()


@pytest.fixture
def rig(tmp_path: Path) -> Rig:
    """A shop without a linked meter."""
    return Rig(tmp_path)


def leads(ohm: float) -> Reading:
    """What the probes show held together."""
    return replace(PLAIN, value=ohm, resolution=0.1, full_scale=200.0, exponent=0)


# --- link -----------------------------------------------------------------------------------------


def test_before_a_link_it_says_how_to_make_one(rig: Rig) -> None:
    """Ports and families to choose from, nothing live."""
    view = rig.view
    assert [(row.port, row.note, row.linked) for row in view.ports] == [
        ("/dev/fake0", "lead", False)
    ]
    assert [(row.name, row.line, row.linked) for row in view.protocols] == [
        ("nibble-14", "19200-7O1", False)
    ]
    assert (view.connected, view.meter_live, view.link_text) == (False, False, "Not linked")
    assert view.link_hint
    assert view.link_error == ""
    assert view.number.state is NumberState.NO_METER


def test_a_linked_meter_shows_live_with_its_rate(rig: Rig) -> None:
    """Its port and family are marked; the number follows."""
    rig.link()
    assert rig.view.number.state is NumberState.WAITING
    rig.feed(replace(PLAIN, value=4380.0))
    view = rig.view
    assert (view.connected, view.meter_live, view.link_hint) == (True, True, "")
    assert view.link_text == "Live, 4.0 readings a second"
    assert view.ports[0].linked
    assert view.protocols[0].linked
    assert (view.number.digits, view.number.unit, view.number.jaw_word) == ("4.380", "kΩ", "Steady")


def test_flags_and_overload_show_as_they_are(rig: Rig) -> None:
    """Words for above range; the display's own flags beside the number."""
    rig.link()
    rig.feed(overload(0.0), seconds=0.5)
    assert (rig.view.number.state, rig.view.number.words) == (NumberState.OVERLOAD, "Above range")
    rig.feed(replace(PLAIN, value=1.0, flags=frozenset({Flag.HOLD, Flag.AUTO})), seconds=0.5)
    assert rig.view.number.jaw_hint == "auto, hold"


def test_a_port_typed_by_hand_stands_in_the_list(rig: Rig) -> None:
    """A network address is no port of this computer, and is linked all the same."""
    rig.page.connect(" socket://192.0.2.7:5025 ", "nibble-14", " 9600-8N1 ")
    assert rig.view.ports[0].port == "socket://192.0.2.7:5025"
    assert rig.view.ports[0].linked
    request = rig.shop.meter.request
    assert request is not None
    assert request.line == "9600-8N1"


def test_no_port_is_one_line(rig: Rig) -> None:
    """Nothing was opened, and what was linked stays so."""
    rig.link()
    with pytest.raises(InputError, match="choose a port"):
        rig.page.connect("  ", "nibble-14", "")
    assert rig.shop.meter.linked
    assert len(rig.room.links) == 1


def test_a_line_that_is_none_is_one_line(rig: Rig) -> None:
    """The room's own words; the page stands unlinked and can be tried again."""

    class Strict(FakeRoom):
        def open(self, request: LinkRequest) -> FakeLink:
            if request.line == "banana":
                raise InputError("Line setting 'banana': write baud, bits, parity and stop")
            return super().open(request)

    rig.shop.meter._room = rig.room = Strict()
    with pytest.raises(InputError, match="banana"):
        rig.page.connect("/dev/fake0", "nibble-14", "banana")
    assert rig.view.link_text == "Not linked"
    rig.page.connect("/dev/fake0", "nibble-14", "")
    assert rig.view.connected


def test_a_port_that_does_not_open_says_why(rig: Rig) -> None:
    """Not that a meter was lost: there was none."""
    rig.link()
    channel = rig.shop.meter.channel
    assert channel is not None
    channel.has_lived = False
    why = "Port /dev/fake0 is not there: plug the meter's lead in"
    rig.hear(LinkChange(t_s=0.0, channel="A", state=LinkState.LOST, detail=why))
    assert rig.view.link_error == why


def test_a_meter_that_was_lost_says_what_to_do(rig: Rig) -> None:
    """And comes back by itself."""
    rig.link()
    rig.feed(replace(PLAIN, value=1.0))
    rig.hear(LinkChange(t_s=0.0, channel="A", state=LinkState.LOST, detail="device gone"))
    view = rig.view
    assert view.link_error.startswith("Meter lost: push its lead in again")
    assert view.number.state is NumberState.WAITING
    rig.hear(LinkChange(t_s=0.0, channel="A", state=LinkState.LIVE))
    assert rig.view.link_error == ""


def test_disconnecting_forgets_what_was_shown(rig: Rig) -> None:
    """The link is closed."""
    rig.link()
    rig.feed(replace(PLAIN, value=1.0))
    rig.page.disconnect()
    assert rig.room.links[0].closed
    assert rig.view.number.state is NumberState.NO_METER
    assert rig.view.link_text == "Not linked"


def test_ports_are_looked_for_once_a_second(rig: Rig) -> None:
    """A lead plugged in while the page is open appears."""
    rig.room.ports = lambda: (  # type: ignore[method-assign]
        PortInfo(port="/dev/fake0"),
        PortInfo(port="/dev/fake1"),
    )
    rig.page.tick()
    assert len(rig.view.ports) == 1
    rig.clock.pass_by(PORTS_EVERY)
    rig.page.tick()
    assert [row.port for row in rig.view.ports] == ["/dev/fake0", "/dev/fake1"]


# --- card and statement ---------------------------------------------------------------------------


def test_a_card_is_chosen_and_kept(rig: Rig, tmp_path: Path) -> None:
    """Its ranges are shown with an example; the next start has it."""
    assert rig.view.card_title == "No meter card"
    assert rig.view.accuracy_text == ""
    assert rig.view.card_source == "2 % + 5 counts assumed: no accuracy statement"
    rig.page.choose_card("drawer")
    view = rig.view
    assert (view.card_key, view.card_title, view.card_source) == (
        "drawer",
        CARD.name,
        "its booklet",
    )
    assert view.accuracy_text == ""
    assert [row.range_text for row in view.ranges][:3] == ["200 Ω", "2 kΩ", "20 kΩ"]
    assert view.ranges[2].doubt_text == "0.8% + 3"
    assert rig.file.read().meter_card == "drawer"
    assert ShopRig(tmp_path).shop.meter.setup.card == CARD


def test_no_card_can_be_chosen_again(rig: Rig) -> None:
    """The empty key goes back to none."""
    rig.page.choose_card("drawer")
    rig.page.choose_card("")
    assert rig.view.card_key == ""
    assert rig.file.read().meter_card == ""


def test_a_card_that_is_not_there_is_one_line(rig: Rig) -> None:
    """It names those there are, and the one before stays."""
    rig.page.choose_card("drawer")
    with pytest.raises(InputError, match="'lost': there are drawer, bench"):
        rig.page.choose_card("lost")
    assert rig.view.card_key == "drawer"
    assert rig.file.read().meter_card == "drawer"


def test_a_typed_statement_is_kept_beside_the_card(rig: Rig) -> None:
    """Empty goes back to the card's own."""
    rig.page.choose_card("drawer")
    rig.page.set_accuracy(" 0.5% + 2 ")
    assert rig.view.accuracy_text == "0.5% + 2"
    assert (rig.file.read().meter_card, rig.file.read().meter_accuracy) == ("drawer", "0.5% + 2")
    rig.page.set_accuracy("")
    assert rig.view.accuracy_text == ""
    assert (rig.file.read().meter_card, rig.file.read().meter_accuracy) == ("drawer", "")


def test_what_was_typed_stands_in_the_table(rig: Rig) -> None:
    """On the card's range, on one of its own, or on every range where none is said."""
    rig.page.choose_card("drawer")
    rig.page.set_accuracy("0.5% + 2; 2 kohm 1% + 4; 200 Mohm 5% + 5; °C 1% + 1")
    rows = [(row.range_text, row.doubt_text) for row in rig.view.ranges]
    assert rows[:5] == [
        ("ohms", "0.5% + 2"),
        ("200 MΩ", "5% + 5"),
        ("200 Ω", "0.5% + 2"),
        ("2 kΩ", "1% + 4"),
        ("20 kΩ", "0.5% + 2"),
    ]
    assert rows[-1] == ("temperature", "1% + 1")
    assert rig.view.card_source == "As typed; the rest as the card has it"


def test_the_thermometer_has_a_statement_of_its_own(tmp_path: Path) -> None:
    """In celsius without a unit, kept with that meter and not in the shop's settings."""
    rig = ShopRig(tmp_path)
    rig.shop.thermometers.set_accuracy("0.5% + 1")
    view = rig.shop.thermometers.view()
    assert view.accuracy_text == "°C 0.5% + 1"
    assert [(row.range_text, row.doubt_text) for row in view.ranges] == [
        ("temperature", "0.5% + 1")
    ]
    assert view.card_source == "As typed"
    assert rig.shop.meters.view().accuracy_text == ""
    assert rig.file.read().meter_accuracy == ""
    with pytest.raises(InputError, match="'1 fish'"):
        rig.shop.thermometers.set_accuracy("1 fish")
    rig.shop.thermometers.set_accuracy("1 °C")
    assert rig.shop.thermometers.view().ranges[0].doubt_text == "1 °C"


@pytest.mark.parametrize("text", ["very fine", "0.5", "-1% + 2", "0.5% + lots", "nan% + 2"])
def test_a_faulty_statement_is_one_line_and_changes_nothing(rig: Rig, text: str) -> None:
    """It stands by the field until the next one is right."""
    rig.page.set_accuracy("0.5% + 2")
    with pytest.raises(InputError):
        rig.page.set_accuracy(text)
    assert rig.view.accuracy_error
    assert "\n" not in rig.view.accuracy_error
    assert rig.file.read().meter_accuracy == "0.5% + 2"
    assert rig.view.accuracy_text == "0.5% + 2"
    rig.page.set_accuracy("0.8% + 3")
    assert rig.view.accuracy_error == ""


def test_a_new_card_clears_the_faulty_statement(rig: Rig) -> None:
    """What was wrong with the old line says nothing of the card."""
    with pytest.raises(InputError):
        rig.page.set_accuracy("very fine")
    rig.page.choose_card("bench")
    assert rig.view.accuracy_error == ""
    assert rig.view.card_title == OTHER_CARD.name


def test_what_else_the_shop_set_stays(rig: Rig) -> None:
    """Keeping the card does not undo a theme chosen meanwhile."""
    rig.file.write(Settings(theme="dark", done_by="R. Ash"))
    rig.page.choose_card("drawer")
    kept = rig.file.read()
    assert (kept.theme, kept.done_by, kept.meter_card) == ("dark", "R. Ash", "drawer")


# --- leads ----------------------------------------------------------------------------------------


def test_the_leads_are_zeroed_and_said_when(rig: Rig) -> None:
    """Value, unit, time of day."""
    rig.link()
    assert rig.view.leads_note == "Touch the probes together, then press Z"
    rig.feed(leads(0.2))
    rig.page.zero()
    view = rig.view
    assert (view.leads_value, view.leads_unit, view.leads_error) == ("0.2", "Ω", "")
    assert view.leads_when == rig.clock.now().astimezone().strftime("%H:%M")
    assert view.leads_note == "Taken off every ohms reading"


@pytest.mark.parametrize(
    ("reading", "seconds", "says"),
    [
        (leads(0.2), 0.5, "not steady yet"),
        (overload(0.0), 2.0, "the probes are apart"),
        (leads(5.0), 2.0, "too much for leads"),
        (replace(leads(0.2), quantity=Quantity.VOLTAGE), 2.0, "set the meter to ohms"),
    ],
)
def test_a_refused_zero_stands_by_the_leads(
    rig: Rig, reading: Reading, seconds: float, says: str
) -> None:
    """Moving, apart, worn or another function; a good touch clears it."""
    rig.link()
    rig.feed(reading, seconds=seconds)
    with pytest.raises(StepError, match=says):
        rig.page.zero()
    assert says in rig.view.leads_error
    assert rig.view.leads_value == ""
    rig.feed(leads(0.2), seconds=4.0)
    rig.page.zero()
    assert rig.view.leads_error == ""


def test_a_bench_that_waits_for_hertz_does_not_bar_the_zero(rig: Rig) -> None:
    """The page in front decides what is wanted; the bench wants its own again when it is back."""
    rig.link()
    rig.shop.meter.expect(Quantity.FREQUENCY)
    rig.feed(leads(0.2))
    rig.page.zero()
    assert rig.view.leads_value == "0.2"


def test_a_zero_made_here_counts_on_the_bench(rig: Rig) -> None:
    """From its making on, in the visit that is opened next."""
    rig.link()
    rig.feed(leads(0.2))
    rig.page.zero()
    bench = rig.shop.bench(rig.visit())
    bench.tick()
    zeroed = bench.visit.leads("A")
    assert zeroed is not None
    assert zeroed.zero.value == 0.2
    assert bench.view().leads_text == "Leads 0.2 Ω, taken off"
