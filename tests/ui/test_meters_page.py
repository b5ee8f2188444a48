from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from benchassist.services.desk import MetersView
from benchassist.ui.page import Turn
from benchassist.ui.shell import Shell
from tests.ui.conftest import OpenWindow
from tests.ui.desks import FakeMeters
from tests.ui.test_bench_page import press
from tests.ui.views import METERS_LIVE, METERS_OFF, METERS_WRONG, THERMOMETER


def meters(open_window: OpenWindow, view: MetersView) -> tuple[Shell, FakeMeters]:
    """The meters page."""
    desk = FakeMeters(view)
    shell = open_window(meters=desk)
    shell.turn(Turn(page="meters"))
    return shell, desk


def test_a_meter_is_linked_by_three_keys(open_window: OpenWindow) -> None:
    """A number picks the port, a letter the protocol, Enter links."""
    shell, desk = meters(open_window, METERS_OFF)
    press(shell, Qt.Key.Key_1)
    press(shell, Qt.Key.Key_C)
    press(shell, Qt.Key.Key_Return)
    assert desk.calls == [("connect", "/dev/ttyUSB0", "nibble-14", "")]


def test_an_address_and_a_line_may_be_typed(open_window: OpenWindow) -> None:
    """P goes to the port's field; an address and a line setting are handed on as typed."""
    shell, desk = meters(open_window, METERS_OFF)
    press(shell, Qt.Key.Key_P)
    QTest.keyClicks(shell.meters.port.field, "socket://127.0.0.1:5025")
    shell.meters.line.field.setText("9600-8N1")
    press(shell, Qt.Key.Key_Return)
    assert desk.calls == [("connect", "socket://127.0.0.1:5025", "scpi", "9600-8N1")]


def test_no_port_is_one_line(open_window: OpenWindow) -> None:
    """Enter without a port says what would be right."""
    shell, desk = meters(open_window, METERS_OFF)
    press(shell, Qt.Key.Key_Return)
    assert desk.calls == []
    assert "choose one, or type its path" in shell.meters.message.accessibleName()


def test_a_linked_meter_shows_its_number_and_card(open_window: OpenWindow) -> None:
    """Live value, link in words, ranges with their doubt and the lead zero are all there."""
    shell, desk = meters(open_window, METERS_LIVE)
    assert "0.2 Ω" in shell.meters.number.accessibleName()
    assert shell.meters.title.value.step_text == "Linked, 2 readings a second"
    card = shell.meters.card.accessibleName()
    assert "20 kΩ: 0.8% + 2" in card
    assert "0.2 Ω. Taken off every ohms reading" in card
    assert shell.meters.port.field.text() == "/dev/ttyUSB0"
    press(shell, Qt.Key.Key_Z)
    press(shell, Qt.Key.Key_Return)
    assert desk.calls == [("zero",), ("disconnect",)]


def test_an_accuracy_statement_is_typed(open_window: OpenWindow) -> None:
    """T goes to the field; a wrong statement stays there with what would be right."""
    shell, desk = meters(open_window, METERS_LIVE)
    press(shell, Qt.Key.Key_T)
    field = shell.meters.accuracy.field
    assert field.hasFocus()
    assert field.text() == "0.8% + 3"
    field.setText("fine")
    press(shell, Qt.Key.Key_Return)
    assert "write it like 0.8% + 3" in shell.meters.message.accessibleName()
    assert field.text() == "fine"
    field.setText("1% + 2")
    field.setFocus()
    press(shell, Qt.Key.Key_Return)
    assert desk.calls == [("accuracy", "1% + 2")]


def test_a_meter_card_is_chosen_by_its_key(open_window: OpenWindow) -> None:
    """K goes through the cards of the spec book."""
    shell, desk = meters(open_window, METERS_OFF)
    press(shell, Qt.Key.Key_K)
    desk.shown = replace(METERS_OFF, card_key="handheld_2000")
    shell.meters._look()
    press(shell, Qt.Key.Key_K)
    assert desk.calls == [("card", "handheld_2000"), ("card", "bench_6")]


def test_a_busy_port_and_a_failed_zero_are_said(open_window: OpenWindow) -> None:
    """What the link and the lead zero have to say stands in words."""
    shell, _desk = meters(open_window, METERS_WRONG)
    assert shell.meters.message.accessibleName() == METERS_WRONG.link_error


def test_the_card_does_not_repaint_with_the_number(open_window: OpenWindow) -> None:
    """A live value leaves the table alone."""
    shell, desk = meters(open_window, METERS_LIVE)
    before = shell.meters.card.value
    desk.shown = replace(METERS_LIVE, number=replace(METERS_LIVE.number, digits="0.3"))
    shell.meters._look()
    assert shell.meters.card.value is before
    assert "0.3 Ω" in shell.meters.number.accessibleName()


def test_escape_goes_back_to_where_one_was(open_window: OpenWindow) -> None:
    """The meters page returns to the bench it was called from."""
    shell, _desk = meters(open_window, METERS_OFF)
    shell.turn(Turn(page="bench", visit_id="v1"))
    press(shell, Qt.Key.Key_L)
    assert shell.page is shell.meters
    press(shell, Qt.Key.Key_Escape)
    assert shell.page is shell.bench


def test_the_thermometer_is_one_key_away(open_window: OpenWindow) -> None:
    """S shows meter B by name and unit, with what was chosen for each kept apart."""
    shell, desk = meters(open_window, METERS_OFF)
    press(shell, Qt.Key.Key_1)
    press(shell, Qt.Key.Key_C)
    assert shell.meters.title.value.title == "Meter A"
    press(shell, Qt.Key.Key_S)
    page = shell.meters
    assert page.title.value.title == "Meter B, thermometer"
    assert page.bar.place == "Meters · B, thermometer"
    assert "84.2 °C" in page.number.accessibleName()
    assert page.port.field.text() == "/dev/ttyS0"
    assert page.protocol == "scpi"
    press(shell, Qt.Key.Key_S)
    assert page.title.value.title == "Meter A"
    assert page.port.field.text() == "/dev/ttyUSB0"
    press(shell, Qt.Key.Key_Return)
    assert desk.calls == [("connect", "/dev/ttyUSB0", "nibble-14", "")]


def test_keys_reach_the_meter_that_shows(open_window: OpenWindow) -> None:
    """Unlinking B leaves A alone; leads and an ohms statement are A's."""
    warm = FakeMeters(THERMOMETER)
    cold = FakeMeters(METERS_LIVE)
    shell = open_window(meters=cold, thermometer=warm)
    shell.turn(Turn(page="meters"))
    press(shell, Qt.Key.Key_S)
    for key in (Qt.Key.Key_Z, Qt.Key.Key_T, Qt.Key.Key_Return):
        press(shell, key)
    assert warm.calls == [("disconnect",)]
    assert cold.calls == []
    assert not shell.meters.accuracy.isVisible()
    assert "Leads" not in shell.meters.card.accessibleName()
    assert {"Z", "T"} & {hint.press for hint in shell.meters.keys.hints} == set()


def test_a_shop_with_one_meter_has_no_other(open_window: OpenWindow) -> None:
    """Without the second desk the key is not offered and does nothing."""
    shell, _desk = meters(open_window, METERS_OFF)
    shell.meters.open(FakeMeters())
    shell.meters.entered()
    press(shell, Qt.Key.Key_S)
    assert shell.meters.title.value.title == "Meter A"
    assert "S" not in {hint.press for hint in shell.meters.keys.hints}


def test_the_meter_that_shows_is_matched(open_window: OpenWindow) -> None:
    """M turns to the match of A or of B."""
    shell, _desk = meters(open_window, METERS_LIVE)
    press(shell, Qt.Key.Key_M)
    assert shell.page is shell.match
    assert shell.match.title.value.title == "Match the display"
    press(shell, Qt.Key.Key_Escape)
    press(shell, Qt.Key.Key_S)
    press(shell, Qt.Key.Key_M)
    assert shell.match.title.value.title == "Match the thermometer"
    press(shell, Qt.Key.Key_Escape)
    assert shell.meters.second
