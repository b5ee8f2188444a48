"""Hints: which may stand where, and the counter's history without a machine selected."""

from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from benchassist.errors import ShopFileError
from benchassist.services.bench.view import KeyHint
from benchassist.services.desk import Desks
from benchassist.ui.entry import LineField
from benchassist.ui.frame import MARGIN, Keys
from benchassist.ui.hint import beside_a_line, stepping
from benchassist.ui.page import Turn
from benchassist.ui.shell import Shell
from tests.hostile import HOSTILE
from tests.ui.conftest import OpenWindow
from tests.ui.desks import FakeCounter, FakePrinter
from tests.ui.test_bench_page import press
from tests.ui.views import COUNTER_CLOSE, COUNTER_THREE


def hint(key: str) -> KeyHint:
    """A hint."""
    return KeyHint(press=key, text=key, action=key)


@pytest.mark.parametrize(
    ("here", "count", "left"),
    [(0, 1, []), (0, 0, []), (0, 3, ["Down"]), (1, 3, ["Down", "Up"]), (2, 3, ["Up"])],
)
def test_a_step_is_hinted_as_far_as_it_goes(here: int, count: int, left: list[str]) -> None:
    """None at the ends."""
    steps = stepping(here, count, before=hint("Up"), after=hint("Down"))
    assert [one.press for one in steps] == left


def test_beside_a_line_no_letter_is_hinted() -> None:
    """They are typed; what the line hands on stays."""
    keys = [hint(k) for k in ("N", "1-4", "1–9", "Space", "←", "Del", "F9", "Enter", "Ctrl+S", "U")]
    assert [one.press for one in beside_a_line(keys, {"U"})] == ["F9", "Enter", "Ctrl+S", "U"]


def test_f9_on_close_words_opens_the_one_machine_that_shows(open_window: OpenWindow) -> None:
    """Nothing is selected: its file can be looked into all the same, no visit is opened."""
    one = replace(COUNTER_CLOSE, machines=COUNTER_CLOSE.machines[:1])
    shell = open_window(counter=FakeCounter(one))
    QTest.keyClicks(shell.counter.search.field, "talwo")
    assert "F9" in [h.press for h in shell.strip.value.hints]
    press(shell, Qt.Key.Key_F9)
    assert shell.page is shell.machine
    assert shell.worked_on("machine") == Turn(page="machine", machine_id="m1")


def test_f9_among_several_says_what_to_do(open_window: OpenWindow) -> None:
    """Down selects one, and the line is gone."""
    close = replace(COUNTER_THREE, close=True)
    shell = open_window(counter=FakeCounter(close))
    QTest.keyClicks(shell.counter.search.field, "talwo")
    press(shell, Qt.Key.Key_F9)
    assert shell.counter.message.value == "Select the machine first: Down. Then F9 opens its file."
    press(shell, Qt.Key.Key_Down)
    assert not shell.counter.message.value
    press(shell, Qt.Key.Key_F9)
    assert shell.page is shell.machine


def test_f9_without_a_machine_says_so(open_window: OpenWindow) -> None:
    """Words that find nothing select nothing."""
    none = replace(COUNTER_CLOSE, machines=(), close=False)
    shell = open_window(counter=FakeCounter(none))
    QTest.keyClicks(shell.counter.search.field, "zzz")
    press(shell, Qt.Key.Key_F9)
    assert shell.counter.message.value.startswith("No machine is shown.")


def test_before_the_shop_is_open_a_key_says_so(qapp: object) -> None:
    """The strip hints at nothing that is not there yet; other keys are answered in a line."""

    def refused() -> Desks:
        raise ShopFileError("the shop file is no shop file")

    assert qapp is not None
    shell = Shell(refused)
    shell._painted = True
    shell.show()
    assert not shell.strip.value.hints
    QTest.keyClick(shell.counter.search.field, Qt.Key.Key_F10)
    assert shell.counter.message.value == "Not before the shop file is open."
    shell.load()
    assert shell.counter.message.value == "the shop file is no shop file"
    assert [h.press for h in shell.strip.value.hints] == ["F1"]
    shell.close()
    shell.deleteLater()


def test_the_strip_goes_with_the_focus(open_window: OpenWindow) -> None:
    """In the line of the PDF's path Enter keeps it and Esc leaves the line; clicks do the same."""
    printer = FakePrinter()
    shell = open_window(printer=printer)
    shell.turn(Turn(page="bench", visit_id="v1"))
    shell.turn(Turn(page="print"))
    press(shell, Qt.Key.Key_F)
    assert [(h.press, h.text) for h in shell.strip.value.hints] == [
        ("Enter", "Keep as a PDF"),
        ("Esc", "Leave the line"),
        ("F1", "Keys"),
    ]
    QTest.mouseClick(shell.strip.targets[1], Qt.MouseButton.LeftButton)
    assert shell.strip.value.hints[0].text == "Print"
    press(shell, Qt.Key.Key_F)
    QTest.mouseClick(shell.strip.targets[0], Qt.MouseButton.LeftButton)
    assert len(printer.paths) == 1


def test_what_is_told_of_a_line_is_plain(open_window: OpenWindow) -> None:
    """Its name, its description, and what stands in it while it is empty."""
    shell = open_window()
    field = LineField(shell)
    for text in HOSTILE.values():
        field.setAccessibleName(text)
        field.setAccessibleDescription(text)
        field.setPlaceholderText(text)
        for said in (
            field.accessibleName(),
            field.accessibleDescription(),
            field.placeholderText(),
        ):
            assert "\u202e" not in said
            assert said.isprintable() or "\u200d" in said


def test_a_cap_of_several_keys_is_no_button(open_window: OpenWindow) -> None:
    """It is drawn and told, and nothing on it can be clicked or reached; the others are buttons."""
    shell = open_window()
    keys = (KeyHint(press="1-3", text="Answer", action="", main=True), hint("N"), hint("Esc"))
    shell.strip.put(Keys(hints=keys))
    shown = [target for target in shell.strip.targets if target.isVisible()]
    assert [target.value.press for target in shown] == ["N", "Esc"]
    assert shell.strip.accessibleName() == "1-3: Answer"
    left = shown[0].x()
    assert left > 2 * shell.look.px(MARGIN)
    middle = QPoint(left // 2, shell.strip.height() // 2)
    assert shell.strip.childAt(middle) is None
    assert shell.strip.cursor().shape() is Qt.CursorShape.ArrowCursor
    drawn = shell.strip.grab().toImage()
    shell.strip.put(Keys(hints=keys[1:]))
    assert drawn != shell.strip.grab().toImage()
