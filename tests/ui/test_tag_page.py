from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtPrintSupport import QPrintDialog
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog
from pytestqt.qtbot import QtBot

from benchassist.assembly import Place, open_shop
from benchassist.core.tag import code_of
from benchassist.errors import PrintError
from benchassist.services.shop import Shop
from benchassist.ui.choice_box import ChoiceBox
from benchassist.ui.field_box import FieldBox
from benchassist.ui.habits import Habits
from benchassist.ui.page import Turn
from benchassist.ui.shell import Shell
from tests.ui.conftest import OpenWindow
from tests.ui.desks import FakeCounter
from tests.ui.tag_views import FakeTags
from tests.ui.test_bench_page import press
from tests.ui.views import COUNTER_FOUND

CONTROL = Qt.KeyboardModifier.ControlModifier


def tags(open_window: OpenWindow) -> tuple[Shell, FakeTags]:
    """The tags of the machine found, from the counter by its key."""
    desk = FakeTags()
    shell = open_window(tags=desk, counter=FakeCounter(COUNTER_FOUND))
    QTest.keyClicks(shell.counter.search.field, "tal")
    press(shell, Qt.Key.Key_F8)
    assert shell.page is shell.tags
    return shell, desk


def hold(shell: Shell, key: Qt.Key) -> None:
    """Ctrl and a key on whatever has the focus."""
    QTest.keyClick(QApplication.focusWidget() or shell, key, CONTROL)


def written(shell: Shell, key: str) -> FieldBox:
    """The box of a written field."""
    return next(b for b in shell.tags.boxes if isinstance(b, FieldBox) and b.value.key == key)


def finish(shell: Shell, desk: FakeTags) -> None:
    """What is under way comes to its end, and the page looks at it."""
    desk.drawn = 1.0
    assert shell.tags._watch.isActive()
    shell.tags._fetch()
    assert not shell.tags._watch.isActive()


def test_the_counter_asks_for_the_machine_selected(open_window: OpenWindow) -> None:
    """F8 with a machine found is about that machine, without one about none."""
    _shell, desk = tags(open_window)
    assert desk.asked == [("m1", "")]
    other = FakeTags()
    shell = open_window(tags=other)
    press(shell, Qt.Key.Key_F8)
    assert other.asked == [("", "")]


def test_the_slips_page_asks_for_its_visit(open_window: OpenWindow) -> None:
    """T on the page of the slip is about the machine of that visit; Esc goes back to it."""
    desk = FakeTags()
    shell = open_window(tags=desk)
    shell.turn(Turn(page="bench", visit_id="v1"))
    press(shell, Qt.Key.Key_P)
    press(shell, Qt.Key.Key_T)
    assert shell.page is shell.tags
    assert desk.asked == [("", "v1")]
    press(shell, Qt.Key.Key_Escape)
    assert shell.printing.isVisible()


def test_choices_are_made_by_keyboard_and_shown(open_window: OpenWindow) -> None:
    """Numbers choose, Enter goes on, the preview and its line follow every key."""
    shell, _desk = tags(open_window)
    press(shell, Qt.Key.Key_Return)
    press(shell, Qt.Key.Key_6)
    press(shell, Qt.Key.Key_Return)
    QTest.keyClicks(written(shell, "start").field, "1")
    press(shell, Qt.Key.Key_Return)
    QTest.keyClicks(written(shell, "copies").field, "12")
    assert shell.tags.values["stock"] == "single-57x32"
    assert shell.tags.shown is not None
    assert len(shell.tags.shown.job.tags) == 12
    assert shell.tags.said.accessibleName().startswith("12 tags on 1 sheet")
    assert shell.tags.preview.accessibleName() == f"{code_of('TH-07')} Power-sprayer pump"


def test_a_click_on_a_label_starts_there(open_window: OpenWindow) -> None:
    """The first free label is picked in the preview."""
    shell, _desk = tags(open_window)
    preview = shell.tags.preview
    middle_of_the_fifth_row = QPoint(preview.width() // 2, int(0.55 * preview.height()))
    QTest.mouseClick(preview, Qt.MouseButton.LeftButton, pos=middle_of_the_fifth_row)
    assert written(shell, "start").field.text() == "14"
    QTest.mouseClick(preview, Qt.MouseButton.LeftButton, pos=QPoint(2, 2))
    assert written(shell, "start").field.text() == "14"


def test_a_click_chooses_a_size(open_window: OpenWindow) -> None:
    """A tile takes its answer."""
    shell, _desk = tags(open_window)
    stock = shell.tags.boxes[1]
    assert isinstance(stock, ChoiceBox)
    QTest.mouseClick(stock.targets[7], Qt.MouseButton.LeftButton)
    assert shell.tags.values["stock"] == "single-38x25"
    assert shell.tags.shown is not None
    assert shell.tags.shown.job.stock.width_mm == 38.0


def test_a_wrong_number_is_one_line_and_nothing_is_shown(open_window: OpenWindow) -> None:
    """The field is named; with the right number the line is gone."""
    shell, _desk = tags(open_window)
    written(shell, "start").field.setText("x")
    assert shell.tags.message.isVisible()
    assert shell.tags.message.accessibleName().startswith("first free label: 'x'")
    assert shell.tags.preview.accessibleName() == "Nothing to print"
    written(shell, "start").field.setText("2")
    assert not shell.tags.message.isVisible()


def test_a_pdf_is_kept_where_it_is_wanted(open_window: OpenWindow, tmp_path: Path) -> None:
    """Ctrl+S writes it with its suffix and says so."""
    shell, desk = tags(open_window)
    assert written(shell, "path").field.text().endswith("tags-TH-07.pdf")
    written(shell, "path").field.setText(str(tmp_path / "tags"))
    hold(shell, Qt.Key.Key_S)
    assert desk.paths == [tmp_path / "tags.pdf"]
    assert shell.tags.said.accessibleName().startswith("Making the PDF, 0 %")
    finish(shell, desk)
    assert shell.tags.said.accessibleName() == f"Kept as {tmp_path / 'tags.pdf'}"
    written(shell, "copies").field.setText("3")
    assert shell.tags.said.accessibleName().startswith("3 tags")


def test_a_pdf_under_way_is_told_and_no_other_is_begun(open_window: OpenWindow) -> None:
    """How far it is, on the page and on its key; choices go on, a second PDF waits."""
    shell, desk = tags(open_window)
    hold(shell, Qt.Key.Key_S)
    desk.drawn = 0.42
    shell.tags._fetch()
    assert shell.tags.said.accessibleName().startswith("Making the PDF, 42 %")
    assert "Making the PDF" in [hint.text for hint in shell.strip.value.hints]
    hold(shell, Qt.Key.Key_S)
    assert shell.tags.message.accessibleName() == "A PDF is being made: wait until it is kept"
    written(shell, "copies").field.setText("2")
    assert not shell.tags.message.isVisible()
    assert len(desk.paths) == 1
    finish(shell, desk)
    assert "Keep as a PDF" in [hint.text for hint in shell.strip.value.hints]


def test_a_page_that_was_left_says_on_return_what_was_kept(open_window: OpenWindow) -> None:
    """It is made whatever page is in front; said once."""
    shell, desk = tags(open_window)
    hold(shell, Qt.Key.Key_S)
    press(shell, Qt.Key.Key_Escape)
    assert shell.page is shell.counter
    finish(shell, desk)
    shell.turn(Turn(page="tags", machine_id="m1"))
    assert shell.tags.said.accessibleName().startswith("Kept as ")
    press(shell, Qt.Key.Key_Escape)
    shell.turn(Turn(page="tags", machine_id="m1"))
    assert not shell.tags.said.accessibleName().startswith("Kept as ")


@pytest.mark.parametrize("away", [False, True])
def test_a_pdf_that_cannot_be_kept_is_one_line(open_window: OpenWindow, away: bool) -> None:
    """Where the person is by now; the page of the tags says nothing was kept."""
    shell, desk = tags(open_window)
    hold(shell, Qt.Key.Key_S)
    if away:
        press(shell, Qt.Key.Key_Escape)
    desk.refusal = PrintError("/gone/tags.pdf: No such file or directory. Name another.")
    finish(shell, desk)
    page = shell.counter if away else shell.tags
    assert page.message.isVisible()
    assert page.message.accessibleName() == str(desk.refusal)
    assert not shell.tags.said.accessibleName().startswith("Kept as ")
    desk.refusal = None
    shell.turn(Turn(page="tags", machine_id="m1"))
    hold(shell, Qt.Key.Key_S)
    assert not shell.tags.message.isVisible()


@pytest.mark.parametrize(
    ("answer", "printed"), [(QDialog.DialogCode.Accepted, 1), (QDialog.DialogCode.Rejected, 0)]
)
def test_ctrl_enter_asks_for_a_printer(
    open_window: OpenWindow,
    monkeypatch: pytest.MonkeyPatch,
    answer: QDialog.DialogCode,
    printed: int,
) -> None:
    """From any field; only the dialog's yes prints."""
    monkeypatch.setattr(QPrintDialog, "exec", lambda _self: answer)
    shell, desk = tags(open_window)
    press(shell, Qt.Key.Key_Down)
    press(shell, Qt.Key.Key_Down)
    hold(shell, Qt.Key.Key_Return)
    assert len(desk.printers) == printed
    assert (shell.tags.said.accessibleName() == "Printed.") is bool(printed)


def test_a_window_without_a_printer_for_tags_says_so(open_window: OpenWindow) -> None:
    """One line, and the counter stays."""
    shell = open_window()
    object.__setattr__(shell.desks, "tags", None)
    press(shell, Qt.Key.Key_F8)
    assert shell.page is shell.counter
    assert "no printer for tags" in shell.counter.message.accessibleName()


# --- scanned at a real counter ------------------------------------------------------------------


@pytest.fixture
def counter(tmp_path: Path, qtbot: QtBot) -> Iterator[tuple[Shell, Shop]]:
    """The window on a real shop with two machines whose tags begin alike, one visit open."""
    with ExitStack() as stack:
        shop = open_shop(Place(str(tmp_path / "shop.sqlite"), tmp_path))
        stack.callback(shop.close)
        ids = {
            tag: shop.counter.new_machine({"tag": tag, "customer": name, "unit": "Yard washer"})
            for tag, name in (("M-014", "N. Moor"), ("M-0142", "Q. Lane"), ("M-041", "H. Dell"))
        }
        qtbot.waitUntil(lambda: len(shop.store.machines()) == 3)
        visit_id = shop.counter.open_visit(ids["M-041"], {"complaint": "quits_hot"})
        shop.bench(visit_id)
        qtbot.waitUntil(lambda: len(shop.store.visits()) == 1)
        shell = Shell(shop.desks, Habits(theme="light"))
        qtbot.addWidget(shell)
        shell.show()
        shell.activateWindow()
        qtbot.waitUntil(shell.isActiveWindow)
        shell.load()
        shell._timer.stop()
        yield shell, shop


def scan(shell: Shell, text: str) -> None:
    """What a keyboard scanner does: every character, then Enter, wherever the focus is."""
    for character in text:
        QTest.keyClicks(QApplication.focusWidget() or shell, character)
    QTest.keyClick(QApplication.focusWidget() or shell, Qt.Key.Key_Return)


@pytest.mark.parametrize("text", ["M-014", "m-014", code_of("M-014"), code_of("M-014").lower()])
def test_a_scan_opens_the_machine(counter: tuple[Shell, Shop], text: str) -> None:
    """Payload and code open that very machine, not the one whose tag begins alike."""
    shell, shop = counter
    scan(shell, text)
    assert shell.page is shell.interview
    tags = {machine.id: machine.tag for machine in shop.store.machines()}
    assert tags[shell.interview._machine_id] == "M-014"


def test_a_scan_goes_on_with_the_open_visit(counter: tuple[Shell, Shop]) -> None:
    """A machine that is on the bench comes back there."""
    shell, shop = counter
    scan(shell, "M-041")
    assert shell.page is shell.bench
    assert shop.visit(shell.visit_id).header.machine.tag == "M-041"


@pytest.mark.parametrize("focus", [True, False])
def test_a_mistyped_code_opens_nothing(counter: tuple[Shell, Shop], focus: bool) -> None:
    """One line says so, no open slip is taken up instead, and the next scan replaces the text."""
    shell, _shop = counter
    if not focus:
        shell.setFocus()
        assert QApplication.focusWidget() is not shell.counter.search.field
    check = code_of("M-014")[-1]
    scan(shell, f"M-041.{check}")
    assert shell.page is shell.counter
    shell.tick()
    assert shell.counter.message.isVisible()
    assert "does not fit the tag" in shell.counter.message.accessibleName()
    scan(shell, "M-014")
    assert shell.interview.isVisible()


def test_an_unknown_tag_opens_no_slip(counter: tuple[Shell, Shop]) -> None:
    """Enter on what finds no machine says so, and stays."""
    shell, _shop = counter
    scan(shell, "Z-900")
    assert shell.page is shell.counter
    assert shell.counter.message.accessibleName() == "0 machines found"


def test_a_real_tag_is_printed_from_the_counter(
    counter: tuple[Shell, Shop], tmp_path: Path, qtbot: QtBot
) -> None:
    """The machine found, on the size chosen, as a file; the page says when it is there."""
    shell, _shop = counter
    QTest.keyClicks(shell.counter.search.field, "moor")
    press(shell, Qt.Key.Key_F8)
    assert shell.page is shell.tags
    assert shell.tags.shown is not None
    assert [tag.payload for tag in shell.tags.shown.job.tags] == ["M-014"]
    written(shell, "path").field.setText(str(tmp_path / "tags.pdf"))
    hold(shell, Qt.Key.Key_S)
    qtbot.waitUntil(lambda: shell.tags.said.accessibleName().startswith("Kept as "))
    assert (tmp_path / "tags.pdf").read_bytes().startswith(b"%PDF")
