from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from benchassist.ui.page import Turn
from benchassist.ui.shell import Shell
from tests.ui.conftest import OpenWindow
from tests.ui.desks import FakeCounter
from tests.ui.test_bench_page import press


def form(open_window: OpenWindow) -> tuple[Shell, FakeCounter]:
    """The new-machine form."""
    desk = FakeCounter()
    shell = open_window(counter=desk)
    shell.turn(Turn(page="new_machine"))
    return shell, desk


def interview(open_window: OpenWindow) -> tuple[Shell, FakeCounter]:
    """The interview's first question."""
    desk = FakeCounter()
    shell = open_window(counter=desk)
    shell.turn(Turn(page="interview", machine_id="m1"))
    return shell, desk


def test_a_machine_is_made_by_keyboard_alone(open_window: OpenWindow) -> None:
    """Enter goes from field to field, a number picks the ignition, Enter keeps and goes on."""
    shell, desk = form(open_window)
    for box, text in zip(
        shell.new_machine.boxes,
        ("TH-07", "Tallow Hill", "0123", "pump", "C-210", "77"),
        strict=True,
    ):
        assert box.field.hasFocus()
        box.field.setText(text)
        press(shell, Qt.Key.Key_Return)
    press(shell, Qt.Key.Key_1)
    press(shell, Qt.Key.Key_Return)
    assert desk.made == [
        {
            "tag": "TH-07",
            "customer": "Tallow Hill",
            "phone": "0123",
            "unit": "pump",
            "engine": "C-210",
            "serial": "77",
            "engine_class": "a",
        }
    ]
    assert shell.page is shell.interview
    assert desk.asked_for == "m9"


def test_the_card_reads_as_it_is_written(open_window: OpenWindow) -> None:
    """The sheet on the left shows what stands in the fields."""
    shell, _desk = form(open_window)
    QTest.keyClicks(shell.new_machine.boxes[1].field, "Quarry Lane")
    said = shell.new_machine.sheet.accessibleName()
    assert "Customer: Quarry Lane" in said
    assert "Ignition: Not known yet" in said


def test_a_refused_card_says_why_and_stays(open_window: OpenWindow) -> None:
    """What the desk refuses stands in one line; nothing typed is lost."""
    shell, desk = form(open_window)
    shell.new_machine.boxes[0].field.clear()
    shell.new_machine.boxes[1].field.setText("Quarry Lane")
    shell.new_machine.submit()
    assert desk.made == []
    assert shell.new_machine.message.isVisible()
    assert "up to 16 letters" in shell.new_machine.message.accessibleName()
    assert shell.new_machine.boxes[1].field.text() == "Quarry Lane"


def test_the_interview_is_answered_by_keys(open_window: OpenWindow) -> None:
    """A number, a line, minutes, a number: then the visit is open on the bench."""
    shell, desk = interview(open_window)
    press(shell, Qt.Key.Key_1)
    assert shell.interview.title.value.step_text == "Question 2 of 4"
    QTest.keyClicks(shell.interview.box.field, "quits hot")
    press(shell, Qt.Key.Key_Return)
    QTest.keyClicks(shell.interview.box.field, "25")
    press(shell, Qt.Key.Key_Return)
    press(shell, Qt.Key.Key_2)
    assert desk.opened == [
        ("m1", {"complaint": "quits_hot", "words": "quits hot", "minutes": "25", "how": "fading"})
    ]
    assert shell.page is shell.bench
    assert shell.visit_id == "v9"


def test_a_question_may_be_skipped_and_taken_up_again(open_window: OpenWindow) -> None:
    """Down passes a question, Up comes back to it; what was passed is not sent."""
    shell, desk = interview(open_window)
    press(shell, Qt.Key.Key_1)
    press(shell, Qt.Key.Key_Down)
    press(shell, Qt.Key.Key_Up)
    assert shell.interview.question.key == "words"
    press(shell, Qt.Key.Key_Down)
    press(shell, Qt.Key.Key_Down)
    press(shell, Qt.Key.Key_Right)
    assert desk.opened == [("m1", {"complaint": "quits_hot"})]


def test_the_complaint_has_to_be_answered(open_window: OpenWindow) -> None:
    """The first question decides the others: it cannot be passed."""
    shell, desk = interview(open_window)
    press(shell, Qt.Key.Key_Down)
    assert shell.interview.question.key == "complaint"
    assert "has to be answered" in shell.interview.message.accessibleName()
    assert desk.opened == []


def test_escape_leaves_the_interview(open_window: OpenWindow) -> None:
    """Esc goes back to the counter; nothing is opened."""
    shell, desk = interview(open_window)
    press(shell, Qt.Key.Key_1)
    press(shell, Qt.Key.Key_Escape)
    assert shell.page is shell.counter
    assert desk.opened == []
