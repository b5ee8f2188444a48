from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from benchassist.assembly import Place, open_shop
from benchassist.errors import InputError, ShopFileError
from benchassist.practice.session import PracticeBenchDesk, PracticeSession
from benchassist.services.desk import Desks
from benchassist.services.settings import SettingsFile
from benchassist.services.settings_page import SettingsPage
from benchassist.services.shop import Shop
from benchassist.ui.choice_box import ChoiceBox
from benchassist.ui.entry import LineField
from benchassist.ui.field_box import FieldBox
from benchassist.ui.field_column import key_of
from benchassist.ui.habits import Habits
from benchassist.ui.page import Turn
from benchassist.ui.shell import Shell
from tests.ui.conftest import OpenBench, OpenWindow
from tests.ui.desks import FakeBench, FakeSettings, desks_of
from tests.ui.test_bench_page import press
from tests.ui.views import CANNOT_TELL, METERS_LIVE, SETTINGS, STEADYING

CONTROL = Qt.KeyboardModifier.ControlModifier
AS_THEY_WERE = {field.key: field.value for field in SETTINGS}


def settings(open_window: OpenWindow) -> tuple[Shell, FakeSettings]:
    """The settings, reached from the counter by their key."""
    desk = FakeSettings()
    shell = open_window(settings=desk)
    press(shell, Qt.Key.Key_F5)
    assert shell.page is shell.settings
    return shell, desk


def line(shell: Shell, place: int) -> LineField:
    """The line of a written field."""
    box = shell.settings.boxes[place]
    assert isinstance(box, FieldBox)
    return box.field


def keep(shell: Shell) -> None:
    """Ctrl+Enter on whatever has the focus."""
    QTest.keyClick(QApplication.focusWidget() or shell, Qt.Key.Key_Return, CONTROL)


def test_the_form_shows_what_stands(open_window: OpenWindow) -> None:
    """Every field has its value; the sheet reads them."""
    shell, _desk = settings(open_window)
    assert shell.settings.values == AS_THEY_WERE
    assert "Done by: R. Pell" in shell.settings.sheet.accessibleName()
    assert shell.settings.boxes[8].accessibleName() == "Temperature. °C"


def test_settings_are_kept_by_keyboard_alone(open_window: OpenWindow) -> None:
    """Enter goes on through lines and choices, a number chooses, Enter on the last keeps."""
    shell, desk = settings(open_window)
    QTest.keyClicks(line(shell, 0), "Fenwick Yard")
    for _ in range(8):
        press(shell, Qt.Key.Key_Return)
    press(shell, Qt.Key.Key_2)
    press(shell, Qt.Key.Key_Return)
    press(shell, Qt.Key.Key_Right)
    press(shell, Qt.Key.Key_Return)
    press(shell, Qt.Key.Key_Return)
    assert desk.kept == []
    press(shell, Qt.Key.Key_Return)
    changed = {
        "shop_name": "Fenwick Yard",
        "temperature_unit": "fahrenheit",
        "length_unit": "thousandths",
    }
    assert desk.kept == [AS_THEY_WERE | changed]
    assert shell.page is shell.counter


def test_ctrl_enter_keeps_from_any_field(open_window: OpenWindow) -> None:
    """From a line and from a choice alike."""
    for steps in (2, 9):
        shell, desk = settings(open_window)
        for _ in range(steps):
            press(shell, Qt.Key.Key_Down)
        keep(shell)
        assert desk.kept == [AS_THEY_WERE]
        assert shell.page is shell.counter


def test_escape_leaves_them_as_they_were(open_window: OpenWindow) -> None:
    """Nothing is kept; coming again shows what stands."""
    shell, desk = settings(open_window)
    QTest.keyClicks(line(shell, 0), "x")
    press(shell, Qt.Key.Key_Escape)
    assert shell.page is shell.counter
    press(shell, Qt.Key.Key_F5)
    assert shell.settings.values == AS_THEY_WERE
    assert desk.kept == []


def test_a_fault_is_one_line_and_nothing_is_lost(open_window: OpenWindow) -> None:
    """The field is named, the page stays, what was written stays."""
    shell, desk = settings(open_window)
    line(shell, 7).setText("wide")
    keep(shell)
    assert shell.page is shell.settings
    assert shell.settings.message.isVisible()
    assert shell.settings.message.accessibleName().startswith("k: 'wide'")
    assert shell.settings.values["k"] == "wide"
    assert desk.kept == []


def test_a_click_chooses_whatever_has_the_focus(open_window: OpenWindow) -> None:
    """A tile takes its answer; number keys are that choice's from then on."""
    shell, _desk = settings(open_window)
    paper = shell.settings.boxes[11]
    assert isinstance(paper, ChoiceBox)
    QTest.mouseClick(paper.targets[1], Qt.MouseButton.LeftButton)
    assert shell.settings.values["paper"] == "letter"
    press(shell, Qt.Key.Key_1)
    press(shell, Qt.Key.Key_3)
    assert shell.settings.values["paper"] == "a4"
    press(shell, Qt.Key.Key_Up)
    assert shell.settings.boxes[10].hasFocus()


def test_damaged_settings_are_said_where_one_was(open_window: OpenWindow) -> None:
    """A file that cannot be read is named on the counter."""

    class Damaged(FakeSettings):
        def form(self) -> tuple[()]:
            raise InputError("settings.json: not a settings file")

    shell = open_window(settings=Damaged())
    press(shell, Qt.Key.Key_F5)
    assert shell.page is shell.counter
    assert "not a settings file" in shell.counter.message.accessibleName()


def test_a_window_without_settings_says_so(open_window: OpenWindow) -> None:
    """One line, and the page stays."""
    shell = open_window()
    object.__setattr__(shell.desks, "settings", None)
    press(shell, Qt.Key.Key_F5)
    assert shell.page is shell.counter
    assert "no settings" in shell.counter.message.accessibleName()


def test_every_page_goes_on_with_the_desks_made_anew(open_bench: OpenBench) -> None:
    """From the bench over the keys page: kept settings bring another bench for the same visit."""
    asked: list[str] = []
    anew = FakeBench(CANNOT_TELL)

    def bench(visit: str) -> FakeBench:
        asked.append(visit)
        return anew

    def renew() -> Desks:
        return replace(desks_of(meters=METERS_LIVE), bench=bench)

    shell, _desk = open_bench(STEADYING, renew=renew)
    press(shell, Qt.Key.Key_F1)
    press(shell, Qt.Key.Key_F5)
    assert shell.page is shell.settings
    keep(shell)
    assert shell.page is shell.keys
    press(shell, Qt.Key.Key_Escape)
    assert asked == ["v1"]
    assert shell.page is shell.bench
    assert shell.bench.view == CANNOT_TELL
    shell.turn(Turn(page="meters"))
    assert shell.meters.number.isVisible()


def test_desks_that_cannot_be_made_anew_are_one_line(open_window: OpenWindow) -> None:
    """What was kept is kept; the page says what is wrong."""

    def renew() -> Desks:
        raise ShopFileError("shop.sqlite: gone")

    shell = open_window(renew=renew)
    press(shell, Qt.Key.Key_F5)
    keep(shell)
    assert shell.page is shell.settings
    assert shell.settings.message.accessibleName() == "shop.sqlite: gone"


@pytest.fixture
def practice(tmp_path: Path, qtbot: QtBot) -> Iterator[tuple[Shell, Shop]]:
    """The window on a real shop with the practice meter linked."""
    with ExitStack() as stack:
        shop = open_shop(Place(str(tmp_path / "shop.sqlite"), tmp_path))
        stack.callback(shop.close)
        session = stack.enter_context(PracticeSession(shop))
        shell = Shell(session.desks, Habits(theme="light"))
        qtbot.addWidget(shell)
        shell.show()
        shell.load()
        shell._timer.stop()
        yield shell, shop


def test_a_real_bench_shows_the_unit_that_was_kept(
    practice: tuple[Shell, Shop], qtbot: QtBot
) -> None:
    """Fahrenheit is on the bench at once, with the practice hands still on its probes."""
    shell, shop = practice
    bench = shop.bench(shell.visit_id)

    def is_on_disk() -> bool:
        bench.settle()
        return bench.pen.all_in_ink

    qtbot.waitUntil(is_on_disk)
    visit_id = shell.visit_id
    shell.turn(Turn(page="settings"))
    box = next(b for b in shell.settings.boxes if isinstance(b, ChoiceBox))
    box.choose("fahrenheit")
    shell.settings.submit()
    assert shell.page is shell.bench
    assert shell.visit_id == visit_id
    desk = shell.bench._desk
    assert isinstance(desk, PracticeBenchDesk)
    assert desk.bench is shop.bench(visit_id) is not bench
    assert desk.bench.units.temperature == "fahrenheit"
    assert shop.meter.linked


@pytest.mark.parametrize("size", [(1366, 768), (1920, 1080)])
def test_the_whole_form_stands_on_the_page(
    open_window: OpenWindow, tmp_path: Path, size: tuple[int, int]
) -> None:
    """Every field of the real form and its button, inside the page and none on another."""
    desk = SettingsPage(SettingsFile(tmp_path / "settings.json"), lambda _settings: None)
    shell = open_window(settings=desk)
    shell.resize(*size)
    shell.turn(Turn(page="settings"))
    page = shell.settings
    parts = [*page.boxes, page.keep]
    assert len(page.boxes) == len(desk.form())
    for part in parts:
        assert page.rect().contains(part.geometry())
        assert part.height() >= 44
    for i, one in enumerate(parts):
        assert not any(one.geometry().intersects(other.geometry()) for other in parts[:i])
    page._go(page.boxes.index(next(b for b in page.boxes if key_of(b) == "own_content")))
    assert "of good parts" in page.sheet.accessibleName()
