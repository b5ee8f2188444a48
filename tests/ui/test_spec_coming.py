"""The spec book in the window while the marks behind a figure are still being read."""

import threading
from pathlib import Path

from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from benchassist.core.own_mark import MarkedReading
from benchassist.services.record.learned_bands import MOST_AT_ONCE
from benchassist.ui.field_box import FieldBox
from benchassist.ui.shell import Shell
from tests.services.fakes import FakeStore
from tests.ui.conftest import OpenWindow
from tests.ui.spec_shop import good_coils
from tests.ui.test_spec_page import key, type_in
from tests.ui.test_spec_parts import COIL, book, hints

COUNT = MOST_AT_ONCE + 4
VALUES = tuple(6400.0 + 10.0 * i for i in range(COUNT))
PATIENCE_S = 20.0


class Gate:
    """Holds a store's answer for the marks of coils back until it is opened."""

    def __init__(self, shell: Shell) -> None:
        self.opened = threading.Event()
        self._shell = shell
        own_bands = shell.spec._desk._own_bands  # type: ignore[union-attr]
        store: FakeStore = own_bands._store
        answer = store.part_marks

        def part_marks(check_key: str) -> tuple[MarkedReading, ...]:
            assert check_key != "coil_secondary" or self.opened.wait(PATIENCE_S)
            return answer(check_key)

        store.part_marks = part_marks  # type: ignore[method-assign]
        own_bands.forget()

    def open(self, qtbot: QtBot, text: str) -> None:
        """Let them come, and tick until the strip says so."""
        self.opened.set()

        def come() -> bool:
            self._shell.spec.refresh()
            return hints(self._shell).get("Ctrl+G") == text

        qtbot.waitUntil(come, timeout=int(PATIENCE_S * 1000))


def test_the_parts_come_to_the_list(open_window: OpenWindow, tmp_path: Path, qtbot: QtBot) -> None:
    """The cursor stays where it is; their key is offered when they are there."""
    shell = book(open_window, tmp_path, "", *good_coils(*VALUES))
    gate = Gate(shell)
    type_in(COIL)
    assert "Ctrl+G" not in hints(shell)
    cursor = shell.spec._cursor
    gate.open(qtbot, f"Good parts ({COUNT})")
    assert shell.spec._cursor == cursor
    assert f"{COUNT} good parts in this shop" in shell.spec.sheet.accessibleName()


def test_what_is_typed_in_the_form_stays(
    open_window: OpenWindow, tmp_path: Path, qtbot: QtBot
) -> None:
    """The sheet beside the form is told anew, its fields are not."""
    shell = book(open_window, tmp_path, "", *good_coils(*VALUES))
    gate = Gate(shell)
    type_in(COIL)
    key(shell, Qt.Key.Key_Return)
    box = shell.spec.boxes[0]
    assert isinstance(box, FieldBox)
    box.field.setText("6 kohm..7 kohm")
    gate.open(qtbot, f"Good parts ({COUNT})")
    assert shell.spec.boxes[0] is box
    assert box.field.text() == "6 kohm..7 kohm"
    assert "good parts in this shop" in shell.spec.sheet.accessibleName()


def test_the_list_of_parts_comes(open_window: OpenWindow, tmp_path: Path, qtbot: QtBot) -> None:
    """Ctrl+G shows at once that they are being read, then a row a part."""
    shell = book(open_window, tmp_path, "", *good_coils(*VALUES))
    gate = Gate(shell)
    type_in(COIL)
    key(shell, Qt.Key.Key_G, control=True)
    page = shell.spec
    assert page.bin.head.accessibleName() == "The parts are being read"
    assert page.bin.rows.value.empty == ""
    gate.opened.set()

    def come() -> bool:
        page.refresh()
        return len(page.bin.rows.value.rows) == COUNT

    qtbot.waitUntil(come, timeout=int(PATIENCE_S * 1000))
    assert "good parts in this shop" in page.bin.head.accessibleName()
    assert hints(shell)["Ctrl+Enter"] == "Make it the band"


def test_a_page_left_is_not_shown_again(
    open_window: OpenWindow, tmp_path: Path, qtbot: QtBot
) -> None:
    """They come when the list was narrowed to another figure: that one stays."""
    shell = book(open_window, tmp_path, "", *good_coils(*VALUES))
    gate = Gate(shell)
    type_in(COIL)
    shell.spec.finder.field.setText("plug gap")
    title = shell.spec.sheet.accessibleName()
    assert "gap" in title.lower()
    gate.opened.set()
    lessons = shell.spec._desk._own_bands._lessons  # type: ignore[union-attr]
    qtbot.waitUntil(lambda: all(one.errand.done for one in lessons.values()))
    shell.spec.refresh()
    assert shell.spec.sheet.accessibleName() == title
