from dataclasses import replace
from itertools import combinations

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtTest import QTest

from benchassist.services.desk import FieldChoice, MetersView, PortRow
from benchassist.ui.page import Turn
from benchassist.ui.shell import Shell
from tests.ui.conftest import OpenWindow
from tests.ui.desks import FakeMeters
from tests.ui.test_bench_page import press
from tests.ui.views import (
    METERS_FOUND,
    METERS_FOUND_MANY,
    METERS_LISTENING,
    METERS_LIVE,
    METERS_MATCHED,
    METERS_OFF,
    METERS_STRANGER,
    METERS_TWINS,
    METERS_WRONG,
    THERMOMETER,
)


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
    """Unlinking B leaves A alone; only A's leads are zeroed, and each has its own statement."""
    warm = FakeMeters(THERMOMETER)
    cold = FakeMeters(METERS_LIVE)
    shell = open_window(meters=cold, thermometer=warm)
    shell.turn(Turn(page="meters"))
    press(shell, Qt.Key.Key_S)
    for key in (Qt.Key.Key_Z, Qt.Key.Key_Return, Qt.Key.Key_T):
        press(shell, key)
    field = shell.meters.accuracy.field
    assert field.placeholderText() == "1 °C, or 0.5% + 1"
    field.setText("0.5% + 1")
    press(shell, Qt.Key.Key_Return)
    assert warm.calls == [("disconnect",), ("accuracy", "0.5% + 1")]
    assert cold.calls == []
    assert "Leads" not in shell.meters.card.accessibleName()
    shown = {hint.press for hint in shell.meters.keys.hints}
    assert "T" in shown
    assert "Z" not in shown


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


def presses(shell: Shell) -> set[str]:
    """The keys on the strip."""
    return {hint.press for hint in shell.meters.keys.hints}


def test_l_listens_on_the_port_chosen_and_stops(open_window: OpenWindow) -> None:
    """L listens on the port in the field; while it does, L stops. Where it stands is said."""
    shell, desk = meters(open_window, METERS_OFF)
    press(shell, Qt.Key.Key_L)
    assert desk.calls == []
    assert "choose a port" in shell.meters.message.accessibleName()
    press(shell, Qt.Key.Key_2)
    press(shell, Qt.Key.Key_L)
    desk.shown = METERS_LISTENING
    shell.meters._look()
    assert "line 3 of 7" in shell.meters.finding.accessibleName()
    QTest.mouseClick(shell.meters.listener, Qt.MouseButton.LeftButton)
    assert desk.calls == [("listen", "/dev/ttyS0"), ("stop",)]


def test_the_only_port_needs_no_choosing(open_window: OpenWindow) -> None:
    """Where there is one port, L listens on it."""
    shell, desk = meters(open_window, replace(METERS_OFF, ports=METERS_OFF.ports[1:]))
    press(shell, Qt.Key.Key_L)
    assert desk.calls == [("listen", "/dev/ttyS0")]


def test_a_proposal_fills_the_fields_and_enter_links(open_window: OpenWindow) -> None:
    """V takes the second: family, line and port stand in the fields; nothing is linked yet."""
    shell, desk = meters(open_window, METERS_FOUND)
    tiles = shell.meters.finding.targets
    assert tiles[1].accessibleName() == (
        "V. text-line at 9600-8N1 on /dev/ttyUSB0. Likely: 3 blocks fit; its lead is fed by RTS"
    )
    press(shell, Qt.Key.Key_V)
    assert shell.meters.line.field.text() == "9600-8N1"
    assert tiles[1].accessibleName().endswith("chosen")
    assert desk.calls == []
    press(shell, Qt.Key.Key_Return)
    assert desk.calls == [("connect", "/dev/ttyUSB0", "text-line", "9600-8N1")]


def test_the_usual_line_of_a_proposal_stays_empty(open_window: OpenWindow) -> None:
    """One at its family's own line leaves that field as usual, whatever stood in it."""
    shell, _desk = meters(open_window, METERS_FOUND)
    press(shell, Qt.Key.Key_V)
    QTest.mouseClick(shell.meters.finding.targets[0], Qt.MouseButton.LeftButton)
    assert shell.meters.protocol == "nibble-14"
    assert shell.meters.line.field.text() == ""


def test_what_has_no_room_stands_on_further_pages(open_window: OpenWindow) -> None:
    """The surest show first; N or its tile turns to every other one, and round again."""
    shell, _desk = meters(open_window, METERS_FOUND_MANY)
    page = shell.meters
    wanted = [row.key for row in METERS_FOUND_MANY.proposals]
    press(shell, Qt.Key.Key_W)
    assert page.port.field.text() == ""
    seen = [pick.key for pick in page.finding.items()]
    assert seen == wanted[:2]
    assert page.more.accessibleName() == "N. More, 1 of 3"
    press(shell, Qt.Key.Key_N)
    seen += [pick.key for pick in page.finding.items()]
    QTest.mouseClick(page.more, Qt.MouseButton.LeftButton)
    seen += [pick.key for pick in page.finding.items()]
    assert seen == wanted
    press(shell, Qt.Key.Key_U)
    assert page.port.field.text() == METERS_FOUND_MANY.proposals[4].port
    assert page.finding.page == 2
    press(shell, Qt.Key.Key_N)
    assert [pick.key for pick in page.finding.items()] == wanted[:2]


def test_proposals_that_all_show_have_no_further_page(open_window: OpenWindow) -> None:
    """No tile to turn, and the key does no harm."""
    shell, _desk = meters(open_window, METERS_FOUND)
    assert not shell.meters.more.isVisible()
    press(shell, Qt.Key.Key_N)
    assert len(shell.meters.finding.items()) == len(METERS_FOUND.proposals)


@pytest.mark.parametrize("view", [METERS_FOUND_MANY, METERS_TWINS, METERS_STRANGER])
def test_every_target_is_a_fingers_width(open_window: OpenWindow, view: MetersView) -> None:
    """44 design units high at least, paged or not, and none over another."""
    shell, _desk = meters(open_window, view)
    page = shell.meters
    tiles = [*page.finding.targets, page.more, page.listener, page.connecter, page.match]
    places = [QRect(tile.mapTo(page, QPoint()), tile.size()) for tile in tiles if tile.isVisible()]
    assert min(place.height() for place in places) >= 44 * page.look.s - 1
    assert not any(a.intersects(b) for a, b in combinations(places, 2))


def test_many_answers_are_all_reachable(open_window: OpenWindow) -> None:
    """More meters kept for such a lead than keys: N shows the others."""
    answers = tuple(FieldChoice(key=f"lead:{n}", text=f"Meter {n}") for n in range(8))
    shell, desk = meters(open_window, replace(METERS_TWINS, answers=answers))
    assert [pick.key for pick in shell.meters.finding.items()] == [f"lead:{n}" for n in range(5)]
    press(shell, Qt.Key.Key_N)
    press(shell, Qt.Key.Key_W)
    assert desk.calls == [("answer", "lead:7")]


def test_ports_past_the_tiles_are_named_with_their_keys(open_window: OpenWindow) -> None:
    """A fifth port has no tile; its number chooses it all the same."""
    ports = tuple(PortRow(port=f"/dev/ttyS{n}", text=f"/dev/ttyS{n}") for n in range(1, 7))
    shell, _desk = meters(open_window, replace(METERS_OFF, ports=ports))
    press(shell, Qt.Key.Key_6)
    assert shell.meters.port.field.text() == "/dev/ttyS6"


def test_a_proposal_that_is_gone_is_one_line(open_window: OpenWindow) -> None:
    """What the desk refuses is said; the fields stay."""
    shell, desk = meters(open_window, METERS_FOUND)
    desk.shown = METERS_OFF
    press(shell, Qt.Key.Key_V)
    assert "listen again" in shell.meters.message.accessibleName()
    assert shell.meters.port.field.text() == ""


def test_another_meter_is_asked_about(open_window: OpenWindow) -> None:
    """The question stands once, above the live number, and its answers have keys."""
    shell, desk = meters(open_window, METERS_STRANGER)
    page = shell.meters
    assert "Another meter came back" in page.finding.accessibleName()
    assert not page.message.isVisible()
    assert page.number.isVisible()
    assert page.number.geometry().top() >= page.finding.geometry().bottom()
    assert page.number.height() >= 100 * page.look.s
    assert not page.ports.isVisible()
    assert page.keys.hints[0].press == "U-V"
    assert [hint.press for hint in page.keys.hints if hint.main] == ["U-V"]
    press(shell, Qt.Key.Key_V)
    assert desk.calls == [("answer", "no")]
    desk.shown = METERS_LIVE
    page._look()
    assert page.number.isVisible()
    assert page.ports.isVisible()
    assert not page.finding.isVisible()


def test_leads_that_look_the_same_are_asked_about(open_window: OpenWindow) -> None:
    """Each meter kept for such a lead is an answer, and so is another one."""
    shell, desk = meters(open_window, METERS_TWINS)
    QTest.mouseClick(shell.meters.finding.targets[2], Qt.MouseButton.LeftButton)
    press(shell, Qt.Key.Key_U)
    assert desk.calls == [("answer", "new"), ("answer", "lead:1")]


def test_the_match_is_offered_only_while_linked(open_window: OpenWindow) -> None:
    """Without a link there is nothing to match: no key, no tile, and M says so."""
    shell, desk = meters(open_window, METERS_OFF)
    assert "M" not in presses(shell)
    assert not shell.meters.match.isVisible()
    press(shell, Qt.Key.Key_M)
    assert shell.page is shell.meters
    assert "link the meter first" in shell.meters.message.accessibleName()
    desk.shown = METERS_LIVE
    shell.meters._look()
    assert "M" in presses(shell)
    assert shell.meters.match.isVisible()
    assert "L" not in presses(shell)


def test_a_matched_display_is_said(open_window: OpenWindow) -> None:
    """Once matched the tile says so, and the line what follows from it."""
    shell, desk = meters(open_window, METERS_LIVE)
    assert shell.meters.match.accessibleName() == "M. Match the display"
    assert "not matched yet" in shell.meters.link.accessibleName()
    desk.shown = METERS_MATCHED
    shell.meters._look()
    assert shell.meters.match.accessibleName() == "M. Match again. display matched"
    assert "taken by itself" in shell.meters.link.accessibleName()
