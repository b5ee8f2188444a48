"""The shop's own good parts in the spec book, all of it by keys."""

from pathlib import Path

from PySide6.QtCore import Qt

from benchassist.core.visit import Visit
from benchassist.services.spec.view import PartState
from benchassist.ui.shell import Shell
from tests.services.good_bin import CAPS
from tests.ui.conftest import OpenWindow
from tests.ui.spec_shop import good_caps, good_coils, odd_caps, spec_desk
from tests.ui.test_bench_page import press
from tests.ui.test_spec_page import key, type_in

COIL = "secondary horizontal coil"
CAP = "plug cap 3.75"


def book(open_window: OpenWindow, own: Path, words: str, *visits: Visit) -> Shell:
    """The spec book with the cursor on one figure."""
    shell = open_window(spec=spec_desk(own, *visits))
    press(shell, Qt.Key.Key_F7)
    type_in(words)
    return shell


def hints(shell: Shell) -> dict[str, str]:
    """What the strip offers."""
    return {hint.press: hint.text for hint in shell.spec.keys.hints}


def values(shell: Shell) -> list[str]:
    """The list of parts."""
    return [row.value for row in shell.spec.bin.rows.value.rows]


def test_the_key_is_there_where_parts_are(open_window: OpenWindow, tmp_path: Path) -> None:
    """A figure without marks offers nothing, and Ctrl+G shows an empty list that says how."""
    shell = book(open_window, tmp_path, COIL, *good_caps())
    assert "Ctrl+G" not in hints(shell)
    key(shell, Qt.Key.Key_G, control=True)
    assert "0 of 10 good parts" in shell.spec.bin.head.accessibleName()
    assert "G marks the part just read" in shell.spec.bin.rows.value.empty
    key(shell, Qt.Key.Key_Escape)
    assert shell.spec.finder.isVisible()
    assert not shell.spec.bin.isVisible()


def test_band_claim_and_parts_are_shown(open_window: OpenWindow, tmp_path: Path) -> None:
    """In large type, on the sheet, on the ruler, and a row a part."""
    shell = book(open_window, tmp_path, COIL, *good_coils())
    assert hints(shell)["Ctrl+G"] == "Good parts (14)"
    assert "This shop’s parts: 5.91 to 7.09 kΩ" in shell.spec.sheet.accessibleName()
    key(shell, Qt.Key.Key_G, control=True)
    page = shell.spec
    assert page.bin.isVisible()
    assert not page.finder.isVisible()
    said = "5.91 to 7.09 kΩ, from 14 good parts in this shop"
    assert page.bin.head.accessibleName() == said
    assert "It claims: Holds 95 % of such parts" in page.sheet.accessibleName()
    assert "This shop: 5.91 to 7.09 kΩ, from 14 good parts" in page.bin.panel.accessibleName()
    assert len(values(shell)) == 14


def test_a_part_is_set_aside_with_a_reason_and_counted_again(
    open_window: OpenWindow, tmp_path: Path
) -> None:
    """X asks why; without a reason the question stays; X on the struck row takes it up again."""
    shell = book(open_window, tmp_path, CAP, *odd_caps())
    key(shell, Qt.Key.Key_G, control=True)
    page = shell.spec
    odd = page.bin.rows.value.rows[0]
    assert (odd.state, odd.note) == (PartState.APART, "stands apart, counts")
    type_in("x")
    assert page.bin.asking
    assert hints(shell)["Enter"] == "Set aside"
    key(shell, Qt.Key.Key_Return)
    assert page.bin.reason.value.error == "say why, such as: read through a wet boot"
    type_in("another make x")
    key(shell, Qt.Key.Key_Return)
    assert hints(shell)["X"] == "Count it again"
    assert "from 14 good parts" in page.bin.head.accessibleName()
    assert page.bin.said.value.fine.startswith("Set aside: another make x")
    assert {row.note for row in page.bin.rows.value.rows if row.aside} == {
        "set aside: another make x",
        "set aside: read through a wet boot, clips slipped",
    }
    assert hints(shell)["X"] == "Count it again"
    type_in("x")
    assert "from 15 good parts" in page.bin.head.accessibleName()


def test_escape_leaves_the_question_then_the_parts(open_window: OpenWindow, tmp_path: Path) -> None:
    """Nothing is said of the part; a form that was open comes back."""
    shell = book(open_window, tmp_path, CAP, *good_caps())
    key(shell, Qt.Key.Key_Return)
    assert shell.spec.form is not None
    key(shell, Qt.Key.Key_G, control=True)
    type_in("x")
    type_in("not sure")
    key(shell, Qt.Key.Key_Escape)
    assert not shell.spec.bin.asking
    assert "from 14" in shell.spec.bin.head.accessibleName()
    key(shell, Qt.Key.Key_Escape)
    assert shell.spec.form is not None
    assert shell.spec.boxes[0].isVisible()
    key(shell, Qt.Key.Key_Escape)
    assert shell.spec.finder.isVisible()


def test_it_is_made_the_band_and_taken_back(open_window: OpenWindow, tmp_path: Path) -> None:
    """Ctrl+Enter writes it into the shop's own book; Ctrl+Z takes that back like any change."""
    shell = book(open_window, tmp_path, COIL, *good_coils())
    key(shell, Qt.Key.Key_G, control=True)
    key(shell, Qt.Key.Key_Return, control=True)
    page = shell.spec
    assert page.bin.said.value.fine.startswith("5.91 kΩ..7.09 kΩ stands in the shop’s own book")
    assert "Ctrl+Enter" not in hints(shell)
    key(shell, Qt.Key.Key_Escape)
    row = page.figures.value.rows[0]
    assert (row.value, row.own) == ("5.91 kΩ..7.09 kΩ", True)
    assert "Note: 14 of them by 9 Jun 2026" in page.sheet.accessibleName()
    key(shell, Qt.Key.Key_G, control=True)
    key(shell, Qt.Key.Key_Z, control=True)
    assert hints(shell)["Ctrl+Enter"] == "Make it the band"
    key(shell, Qt.Key.Key_Escape)
    assert page.figures.value.rows[0].value == "5.5 kohm..13 kohm"


def test_nine_parts_offer_no_band(open_window: OpenWindow, tmp_path: Path) -> None:
    """Ctrl+Enter does nothing while there is none; the cursor moves through the list."""
    shell = book(open_window, tmp_path, CAP, *good_caps(*CAPS[:9]))
    key(shell, Qt.Key.Key_G, control=True)
    page = shell.spec
    assert page.bin.head.accessibleName() == "9 of 10 good parts: 1 more makes a band"
    key(shell, Qt.Key.Key_Return, control=True)
    assert not (tmp_path / "checks").exists()
    assert not page.bin.adopter.isVisible()
    for _step in range(20):
        key(shell, Qt.Key.Key_Down)
    assert page.bin.rows.value.here == 8
    key(shell, Qt.Key.Key_PageUp)
    assert page.bin.rows.value.here < 8
    key(shell, Qt.Key.Key_Up)
    page.bin.rows.chosen.emit(page.bin.rows.value.rows[2].key)
    assert page.bin.rows.value.here == 2
