from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from benchassist.services.desk import MetersView
from benchassist.ui.page import Turn
from benchassist.ui.shell import Shell
from tests.ui.conftest import OpenWindow
from tests.ui.desks import FakeMeters
from tests.ui.test_bench_page import press
from tests.ui.views import METERS_LIVE, METERS_OFF, METERS_WRONG


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
