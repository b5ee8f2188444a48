"""The spec book in the window: found, changed, refused, taken back, all of it by keys."""

from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from benchassist.services.spec.editor import SpecEditor
from benchassist.ui.field_box import FieldBox
from benchassist.ui.shell import Shell
from tests.ui.conftest import OpenWindow
from tests.ui.spec_shop import spec_desk
from tests.ui.test_bench_page import press

CONTROL = Qt.KeyboardModifier.ControlModifier
SHEET = "engines/a_flywheel_magneto.toml"


def spec(open_window: OpenWindow, own: Path) -> tuple[Shell, SpecEditor]:
    """The spec book, reached from the counter by its key."""
    desk = spec_desk(own)
    shell = open_window(spec=desk)
    press(shell, Qt.Key.Key_F7)
    assert shell.page is shell.spec
    return shell, desk


def type_in(text: str) -> None:
    """Letters into whatever has the focus."""
    focus = QApplication.focusWidget()
    assert focus is not None
    QTest.keyClicks(focus, text)


def key(shell: Shell, which: Qt.Key, *, control: bool = False) -> None:
    """A key on whatever has the focus."""
    held = CONTROL if control else Qt.KeyboardModifier.NoModifier
    QTest.keyClick(QApplication.focusWidget() or shell, which, held)


def found(shell: Shell) -> list[str]:
    """The names of the figures in the list."""
    return [one.title for one in shell.spec.figures.value.rows]


def change(shell: Shell, words: str, *fields: str, source: int = 0) -> None:
    """Find a figure, type its fields, answer the source, keep it: keys only."""
    shell.spec.finder.field.selectAll()
    type_in(words)
    key(shell, Qt.Key.Key_Return)
    for text in fields:
        type_in(text)
        key(shell, Qt.Key.Key_Return)
    if source:
        key(shell, Qt.Key.Key_Return)
        type_in(str(source))
    key(shell, Qt.Key.Key_Return, control=True)


COIL = "secondary horizontal"


def test_it_is_found_as_one_types(open_window: OpenWindow, tmp_path: Path) -> None:
    """Every word narrows; the figure under the cursor is read on the left."""
    shell, _desk = spec(open_window, tmp_path)
    everything = len(found(shell))
    type_in("coil secondary cap off")
    assert 0 < len(found(shell)) < everything
    assert set(found(shell)) == {"Coil secondary, cap off"}
    first = shell.spec.sheet.accessibleName()
    assert "Band: 5.5 kohm..13 kohm" in first
    assert "Source: Common practice" in first
    key(shell, Qt.Key.Key_Down)
    assert shell.spec.sheet.accessibleName() != first
    key(shell, Qt.Key.Key_Up)
    assert shell.spec.sheet.accessibleName() == first


def test_escape_goes_back_step_by_step(open_window: OpenWindow, tmp_path: Path) -> None:
    """From the form to the list, from words to none, from there to the counter."""
    shell, _desk = spec(open_window, tmp_path)
    type_in("coil")
    key(shell, Qt.Key.Key_Return)
    assert shell.spec.boxes
    type_in("nonsense")
    key(shell, Qt.Key.Key_Escape)
    assert not shell.spec.boxes
    key(shell, Qt.Key.Key_Escape)
    assert shell.spec.finder.field.text() == ""
    key(shell, Qt.Key.Key_Escape)
    assert shell.page is shell.counter
    assert not [*tmp_path.rglob("*.toml")]


def test_a_band_is_changed_by_keys_alone(open_window: OpenWindow, tmp_path: Path) -> None:
    """Band, note, source by its number, Ctrl+Enter: the list shows the shop's own."""
    shell, _desk = spec(open_window, tmp_path)
    change(shell, COIL, "6 kohm..12 kohm", "Workshop manual, page 4-12", source=1)
    assert shell.spec.form is None, shell.spec.problem
    assert 'band = "6 kohm..12 kohm"' in (tmp_path / SHEET).read_text("utf-8")
    (row,) = shell.spec.figures.value.rows
    assert (row.value, row.origin) == ("6 kohm..12 kohm", "the shop’s own")
    assert "Kept" in shell.spec.said.accessibleName()


def test_faults_show_as_one_types(qtbot: QtBot, open_window: OpenWindow, tmp_path: Path) -> None:
    """A fault stands below the fields after a pause, and goes when it is right; none is kept."""
    shell, _desk = spec(open_window, tmp_path)
    type_in(COIL)
    key(shell, Qt.Key.Key_Return)
    assert "Open visits keep what they began with" in shell.spec.wrong.accessibleName()
    type_in("13 kohm..6 kohm")
    qtbot.waitUntil(lambda: "the lower limit must stand first" in shell.spec.wrong.accessibleName())
    key(shell, Qt.Key.Key_Return, control=True)
    assert shell.spec.form is not None
    assert shell.spec.message.value.startswith("Band: '13 kohm..6 kohm'")
    assert not [*tmp_path.rglob("*.toml")]
    box = shell.spec.boxes[0]
    assert isinstance(box, FieldBox)
    box.field.selectAll()
    type_in("6 kohm..13 kohm")
    qtbot.waitUntil(lambda: "Nothing wrong" in shell.spec.wrong.accessibleName())
    assert not shell.spec.message.isVisible()


def test_undo_and_restore_by_keys(open_window: OpenWindow, tmp_path: Path) -> None:
    """Ctrl+Z in the list takes changes back one by one, whatever is typed; Ctrl+R restores."""
    shell, _desk = spec(open_window, tmp_path)
    change(shell, COIL, "6 kohm..12 kohm", "Manual, page 4", source=1)
    change(shell, COIL, "7 kohm..12 kohm")
    assert [h.text for h in shell.spec.keys.hints if h.press == "Ctrl+Z"] == ["Undo (2)"]
    key(shell, Qt.Key.Key_Z, control=True)
    assert shell.spec.figures.value.rows[0].value == "6 kohm..12 kohm"
    assert shell.spec.finder.field.text() == COIL
    key(shell, Qt.Key.Key_R, control=True)
    assert shell.spec.figures.value.rows[0].value == "5.5 kohm..13 kohm"
    assert not (tmp_path / SHEET).exists()
    key(shell, Qt.Key.Key_Z, control=True)
    assert shell.spec.figures.value.rows[0].value == "6 kohm..12 kohm"
    key(shell, Qt.Key.Key_Z, control=True)
    key(shell, Qt.Key.Key_Z, control=True)
    assert "Nothing was changed here" in shell.spec.message.value


def test_a_strength_needs_its_note(open_window: OpenWindow, tmp_path: Path) -> None:
    """Without one the line names the field; with it the strength is kept."""
    shell, _desk = spec(open_window, tmp_path)
    words = "fuel restricted bowl slows quits"
    change(shell, words, "5")
    assert shell.spec.message.value.startswith("Note: say whose figure this is")
    key(shell, Qt.Key.Key_Down)
    type_in("our own, 14 machines")
    key(shell, Qt.Key.Key_Return)
    assert shell.spec.form is None
    assert shell.spec.figures.value.rows[0].value == "5"


def test_a_file_left_out_is_told(open_window: OpenWindow, tmp_path: Path) -> None:
    """The shop's own faulty file stands in the message line with file and line."""
    (tmp_path / "engines").mkdir()
    (tmp_path / "engines" / "mine.toml").write_text("key = [", "utf-8")
    shell, _desk = spec(open_window, tmp_path)
    assert "mine.toml:1" in shell.spec.message.value
    assert shell.spec.message.isVisible()


def test_what_came_from_elsewhere_shows_on_entering(
    open_window: OpenWindow, tmp_path: Path
) -> None:
    """The book is read anew whenever the page is opened."""
    shell, _desk = spec(open_window, tmp_path)
    change(shell, COIL, "6 kohm..12 kohm", "Manual, page 4", source=1)
    path = tmp_path / SHEET
    path.write_text(path.read_text("utf-8").replace("6 kohm..12", "8 kohm..12"), "utf-8")
    key(shell, Qt.Key.Key_Escape)
    key(shell, Qt.Key.Key_Escape)
    assert shell.page is shell.counter
    press(shell, Qt.Key.Key_F7)
    type_in(COIL)
    assert shell.spec.figures.value.rows[0].value == "8 kohm..12 kohm"


def test_a_window_without_a_book_says_so(open_window: OpenWindow) -> None:
    """The key leads nowhere and one line says why."""
    shell = open_window()
    press(shell, Qt.Key.Key_F7)
    assert shell.page is shell.counter
    assert "no spec book" in shell.counter.problem
