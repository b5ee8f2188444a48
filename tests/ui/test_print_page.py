from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtPrintSupport import QPrintDialog
from PySide6.QtWidgets import QDialog

from benchassist.core.slip import Slip
from benchassist.errors import PrintError
from benchassist.ui.page import Turn
from benchassist.ui.shell import Shell
from tests.ui.conftest import OpenWindow
from tests.ui.desks import FakePrinter
from tests.ui.test_bench_page import press


class StubbornPrinter(FakePrinter):
    """A printer that cannot write."""

    def write_pdf(self, path: Path) -> None:
        """Refuse."""
        raise PrintError(f"{path}: the folder cannot be written; name another")


def printing(open_window: OpenWindow, desk: FakePrinter) -> Shell:
    """The print page, called from the bench."""
    shell = open_window(printer=desk)
    shell.turn(Turn(page="bench", visit_id="v1"))
    press(shell, Qt.Key.Key_P)
    return shell


def test_the_preview_is_the_slip(open_window: OpenWindow) -> None:
    """P on the bench shows the page that would be printed."""
    shell = printing(open_window, FakePrinter())
    assert shell.page is shell.printing
    assert shell.printing.preview.accessibleName().startswith("Job slip 0412")
    assert shell.printing.path.field.text().endswith("slip-0412.pdf")


def test_a_pdf_is_kept_where_it_is_wanted(open_window: OpenWindow, tmp_path: Path) -> None:
    """F goes to the path; Enter writes there, with its suffix, and says so."""
    desk = FakePrinter()
    shell = printing(open_window, desk)
    press(shell, Qt.Key.Key_F)
    shell.printing.path.field.setText(str(tmp_path / "harrow"))
    press(shell, Qt.Key.Key_Return)
    assert desk.paths == [tmp_path / "harrow.pdf"]
    assert "harrow.pdf" in shell.printing.said.accessibleName()


def test_a_pdf_without_a_path_is_one_line(open_window: OpenWindow) -> None:
    """Nothing is written, and the page says what is missing."""
    desk = FakePrinter()
    shell = printing(open_window, desk)
    shell.printing.path.field.setText(" ")
    press(shell, Qt.Key.Key_F)
    press(shell, Qt.Key.Key_Return)
    assert desk.paths == []
    assert "type its path" in shell.printing.message.accessibleName()


def test_a_pdf_that_cannot_be_written_is_one_line(open_window: OpenWindow) -> None:
    """The reason stands on the page."""
    shell = printing(open_window, StubbornPrinter())
    shell.printing._save("/nowhere/slip.pdf")
    assert shell.printing.message.isVisible()
    assert "cannot be written" in shell.printing.message.accessibleName()


@pytest.mark.parametrize(
    ("answer", "printed"), [(QDialog.DialogCode.Accepted, 1), (QDialog.DialogCode.Rejected, 0)]
)
def test_enter_asks_for_a_printer(
    open_window: OpenWindow,
    monkeypatch: pytest.MonkeyPatch,
    answer: QDialog.DialogCode,
    printed: int,
) -> None:
    """The system's dialog decides; only its yes prints."""
    monkeypatch.setattr(QPrintDialog, "exec", lambda _self: answer)
    desk = FakePrinter()
    shell = printing(open_window, desk)
    press(shell, Qt.Key.Key_Return)
    assert len(desk.printers) == printed
    assert ("Printed." in shell.printing.said.accessibleName()) is bool(printed)


def test_escape_returns_to_the_bench(open_window: OpenWindow) -> None:
    """The preview is one key away from the bench, both ways."""
    shell = printing(open_window, FakePrinter())
    press(shell, Qt.Key.Key_Escape)
    assert shell.page is shell.bench


class SmallPhotos(FakePrinter):
    """A slip whose photos are small until they are `ready`; counts how often it is composed."""

    def __init__(self) -> None:
        super().__init__()
        self.ready = False
        self.composed = 0

    def slip(self) -> Slip:
        """An invented slip, named by how often it was asked for."""
        self.composed += 1
        self.coming = not self.ready
        return replace(super().slip(), title=f"Job slip {self.composed}")

    def news(self) -> bool:
        """Whether it would be another now."""
        return self.coming and self.ready


def test_photos_come_into_the_preview(open_window: OpenWindow) -> None:
    """The slip is composed anew once they are ready, and not before."""
    desk = SmallPhotos()
    shell = printing(open_window, desk)
    shell.printing.refresh()
    assert desk.composed == 1
    desk.ready = True
    shell.printing.refresh()
    shell.printing.refresh()
    assert desk.composed == 2
    assert shell.printing.preview.accessibleName().startswith("Job slip 2")


def test_a_pdf_waits_for_the_photos(open_window: OpenWindow, tmp_path: Path) -> None:
    """The page says so, and writes where it was wanted once they are ready."""
    desk = SmallPhotos()
    shell = printing(open_window, desk)
    shell.printing._save(str(tmp_path / "harrow"))
    assert desk.paths == []
    assert shell.printing.said.accessibleName() == "Making the photos ready"
    shell.printing.refresh()
    assert desk.paths == []
    desk.ready = True
    shell.printing.refresh()
    shell.printing.refresh()
    assert desk.paths == [tmp_path / "harrow.pdf"]
    assert "harrow.pdf" in shell.printing.said.accessibleName()


def test_the_printer_is_asked_for_when_the_photos_are_ready(
    open_window: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Enter is kept in mind."""
    monkeypatch.setattr(QPrintDialog, "exec", lambda _self: QDialog.DialogCode.Accepted)
    desk = SmallPhotos()
    shell = printing(open_window, desk)
    press(shell, Qt.Key.Key_Return)
    assert desk.printers == []
    desk.ready = True
    shell.printing.refresh()
    assert len(desk.printers) == 1


def test_what_waits_is_forgotten_with_the_page(open_window: OpenWindow, tmp_path: Path) -> None:
    """Nothing is written behind one's back."""
    desk = SmallPhotos()
    shell = printing(open_window, desk)
    shell.printing._save(str(tmp_path / "harrow"))
    press(shell, Qt.Key.Key_Escape)
    desk.ready = True
    shell.printing.refresh()
    assert desk.paths == []
