"""The page of the photos: dragged, pasted, picked; looked at, captioned, taken out of sight."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QGuiApplication, QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from benchassist.errors import InputError, StepError
from benchassist.services.record.photo_view import PhotoData, PhotoStrip
from benchassist.ui import file_dialog
from benchassist.ui.page import Page, Turn
from benchassist.ui.photo_door import Handed, handed_of
from benchassist.ui.photo_page import PhotoPage
from benchassist.ui.shell import Shell
from tests.ui.conftest import OpenWindow
from tests.ui.photo_views import FakePhotos, drawn, none, seven


@pytest.fixture
def clipboard(qapp: QApplication) -> Iterator[None]:
    """An empty clipboard, empty again afterwards."""
    assert qapp is not None
    QGuiApplication.clipboard().clear()
    yield
    QGuiApplication.clipboard().clear()


def press(
    shell: Shell,
    key: Qt.Key,
    held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier,
) -> None:
    """A key on whatever has the focus."""
    QTest.keyClick(QApplication.focusWidget() or shell, key, held)


def photos(open_window: OpenWindow, desk: FakePhotos) -> Shell:
    """The page of a machine's photos, come to from the bench."""
    shell = open_window(photos=desk)
    shell.turn(Turn(page="bench", visit_id="v1"))
    shell.turn(Turn(page="photos", machine_id="m1"))
    return shell


def settle(qtbot: QtBot, page: PhotoPage) -> None:
    """Let it read the picture it shows."""

    def read() -> bool:
        page.refresh()
        return not page.busy

    qtbot.waitUntil(read)


def front(shell: Shell) -> Page:
    """The page in front."""
    return shell.page


def files_of(*paths: str) -> QMimeData:
    """What a file manager hands over."""
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(path) for path in paths])
    return mime


def drop(widget: QWidget, mime: QMimeData) -> bool:
    """Drag something over a part of the window and let go; whether it was taken."""
    where, action = QPointF(5.0, 5.0), Qt.DropAction.CopyAction
    button, key = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    target: QWidget | None = widget
    while target is not None and not target.acceptDrops():
        target = target.parentWidget()
    assert target is not None
    enter = QDragEnterEvent(where.toPoint(), action, mime, button, key)
    enter.ignore()
    QApplication.sendEvent(target, enter)
    if not enter.isAccepted():
        return False
    event = QDropEvent(where, action, mime, button, key)
    QApplication.sendEvent(target, event)
    return event.isAccepted()


def test_the_newest_is_shown_large_and_the_others_in_a_row(
    open_window: OpenWindow, qtbot: QtBot
) -> None:
    """Small at once, from its file as soon as that is read; the row says how many there are."""
    shell = photos(open_window, FakePhotos(seven()))
    page = shell.photos
    assert page.picture.value.image.width() == 320
    settle(qtbot, page)
    assert page.picture.value.image.width() > 320
    assert page.line.value.text == "coil, crack by tab"
    assert page.strip.accessibleName() == "Photos. 7"
    assert 3 <= len(page.strip.items()) < 7


def test_arrows_go_through_them_and_the_row_follows(open_window: OpenWindow) -> None:
    """To the right they get older; both ends hold."""
    page = photos(open_window, FakePhotos(seven())).photos
    for _step in range(9):
        page.press("Right")
    assert page.entry_id == "p6"
    assert page.strip.items()[-1].tile.entry_id == "p6"
    for _step in range(9):
        page.press("Left")
    assert page.entry_id == "p0"
    assert page.strip.items()[0].tile.entry_id == "p0"
    page.strip.chosen.emit("p2")
    assert page.entry_id == "p2"


def test_enter_looks_at_it_large_and_esc_comes_back(open_window: OpenWindow) -> None:
    """Then Esc goes back to the page before."""
    shell = photos(open_window, FakePhotos(seven()))
    page = shell.photos
    high = page.picture.height()
    press(shell, Qt.Key.Key_Return)
    assert page.strip.isHidden()
    assert page.picture.height() > high
    press(shell, Qt.Key.Key_Escape)
    assert not page.strip.isHidden()
    assert front(shell) is page
    press(shell, Qt.Key.Key_Escape)
    assert front(shell) is shell.bench


def test_a_picture_that_cannot_be_read_says_so(open_window: OpenWindow, qtbot: QtBot) -> None:
    """Its small picture stays."""
    desk = FakePhotos(seven())
    desk.load = lambda: PhotoData(data=b"\xff\xd8 rotten")
    page = photos(open_window, desk).photos
    settle(qtbot, page)
    assert page.picture.value.image.width() == 320
    assert page.line.value.note.startswith("the picture cannot be read")


def test_a_note_of_the_file_stands_below(open_window: OpenWindow, qtbot: QtBot) -> None:
    """Where what is shown is not the original."""
    desk = FakePhotos(seven())
    note = "The original is on another computer: this is its small picture"
    desk.load = lambda: PhotoData(data=drawn("cap"), note=note)
    page = photos(open_window, desk).photos
    settle(qtbot, page)
    assert page.line.value.note == note


# --- adding ---------------------------------------------------------------------------------------


def test_files_dragged_onto_the_page_are_added(open_window: OpenWindow) -> None:
    """Several at once, wherever on the page they are dropped; others' links are not."""
    desk = FakePhotos(none())
    page = photos(open_window, desk).photos
    assert drop(page.picture, files_of("/photos/coil.jpg", "/photos/plug.png"))
    assert desk.files == [Path("/photos/coil.jpg"), Path("/photos/plug.png")]
    link = QMimeData()
    link.setUrls([QUrl("https://example.invalid/coil.jpg")])
    link.setText("coil")
    assert not drop(page.picture, link)
    assert len(desk.files) == 2


def test_while_they_are_held_over_the_page_it_says_where_they_go(open_window: OpenWindow) -> None:
    """And no more once they are gone."""
    page = photos(open_window, FakePhotos(seven())).photos
    mime = files_of("/photos/coil.jpg")
    enter = QDragEnterEvent(
        QPointF(5, 5).toPoint(),
        Qt.DropAction.CopyAction,
        mime,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    QApplication.sendEvent(page, enter)
    assert page.strip.value.dragged
    assert drop(page, mime)
    assert not page.strip.value.dragged


@pytest.mark.usefixtures("clipboard")
def test_a_picture_is_pasted_as_a_file(open_window: OpenWindow) -> None:
    """As the bytes it has, or as a PNG without loss where it is only pixels."""
    desk = FakePhotos(none())
    shell = photos(open_window, desk)
    mime = QMimeData()
    mime.setData("image/jpeg", drawn("cap"))
    QGuiApplication.clipboard().setMimeData(mime)
    press(shell, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert desk.images == [drawn("cap")]
    image = QImage.fromData(drawn("plug_gap"))
    plain = QMimeData()
    plain.setImageData(image)
    handed = handed_of(plain)
    assert QImage.fromData(handed.image) == image.convertToFormat(
        QImage.fromData(handed.image).format()
    )
    assert handed.image.startswith(b"\x89PNG")


@pytest.mark.usefixtures("clipboard")
def test_an_empty_clipboard_is_said(open_window: OpenWindow) -> None:
    """In one line on the page."""
    shell = photos(open_window, FakePhotos(seven()))
    press(shell, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert shell.photos.message.value == "There is no picture to paste: copy one first"


def test_files_are_picked(open_window: OpenWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    """O asks the system's dialog; none picked adds none."""
    desk = FakePhotos(none())
    shell = photos(open_window, desk)
    picked = ["/photos/coil.jpg"]
    monkeypatch.setattr(file_dialog, "pick_photos", lambda *_given: picked)
    press(shell, Qt.Key.Key_O)
    assert desk.files == [Path("/photos/coil.jpg")]
    picked.clear()
    press(shell, Qt.Key.Key_O)
    assert len(desk.files) == 1


def test_a_refusal_stands_on_the_page(open_window: OpenWindow) -> None:
    """In one line."""
    desk = FakePhotos(none())
    desk.refuses = StepError("this machine has no visit to add a photo to: open one first")
    page = photos(open_window, desk).photos
    page.take(Handed(files=(Path("/photos/coil.jpg"),)))
    assert page.message.value == "This machine has no visit to add a photo to: open one first"


def test_what_was_added_last_is_selected(open_window: OpenWindow) -> None:
    """Once; the arrows then go where they are sent."""
    desk = FakePhotos(seven())
    page = photos(open_window, desk).photos
    page.press("Right")
    desk.shown = replace(seven(), fresh="p3", said="Photo added")
    page.refresh()
    assert page.entry_id == "p3"
    assert page.line.value.note == "Photo added"
    page.press("Right")
    page.refresh()
    assert page.entry_id == "p4"


@pytest.mark.parametrize("page", ["bench", "findings", "print", "machine"])
def test_a_photo_dropped_on_another_page_goes_to_its_machine(
    open_window: OpenWindow, page: str
) -> None:
    """And is shown there; Esc leads back."""
    desk = FakePhotos(none())
    shell = open_window(photos=desk)
    shell.turn(Turn(page="bench", visit_id="v1"))
    shell.turn(Turn(page=page, machine_id="m1" if page == "machine" else ""))
    before = shell.page
    handed = Handed(files=(Path("/photos/coil.jpg"),))
    shell.entrance.take(handed)
    assert desk.files == [Path("/photos/coil.jpg")]
    assert front(shell) is shell.photos
    press(shell, Qt.Key.Key_Escape)
    assert front(shell) is before


@pytest.mark.usefixtures("clipboard")
def test_a_picture_pasted_at_the_bench_is_a_photo(open_window: OpenWindow) -> None:
    """Ctrl+V there; with nothing to paste the key does nothing. Ctrl+P shows the photos."""
    desk = FakePhotos(seven())
    shell = open_window(photos=desk)
    shell.turn(Turn(page="bench", visit_id="v1"))
    control = Qt.KeyboardModifier.ControlModifier
    press(shell, Qt.Key.Key_V, control)
    assert front(shell) is shell.bench
    mime = QMimeData()
    mime.setData("image/png", b"\x89PNG ...")
    QGuiApplication.clipboard().setMimeData(mime)
    press(shell, Qt.Key.Key_V, control)
    assert desk.images == [b"\x89PNG ..."]
    assert front(shell) is shell.photos
    press(shell, Qt.Key.Key_Escape)
    press(shell, Qt.Key.Key_P, control)
    assert front(shell) is shell.photos


def test_at_the_counter_it_says_what_to_open_first(open_window: OpenWindow) -> None:
    """A photo belongs to a machine's visit."""
    desk = FakePhotos(none())
    shell = open_window(photos=desk)
    assert drop(shell, files_of("/photos/coil.jpg"))
    assert desk.files == []
    assert front(shell) is shell.counter
    assert shell.counter.problem.startswith("Open a visit or a machine’s file first")


# --- captions, out of sight -----------------------------------------------------------------------


def test_a_caption_is_typed_on_the_page(open_window: OpenWindow) -> None:
    """C asks for it with what stands there; Enter keeps, Esc leaves it."""
    desk = FakePhotos(seven())
    shell = photos(open_window, desk)
    page = shell.photos
    press(shell, Qt.Key.Key_C)
    assert page.entry.field.text() == "coil, crack by tab"
    page.entry.field.setText("coil, tab broken off")
    press(shell, Qt.Key.Key_Return)
    assert desk.captions == [("p0", "coil, tab broken off")]
    assert not page.asking
    press(shell, Qt.Key.Key_C)
    press(shell, Qt.Key.Key_Escape)
    assert len(desk.captions) == 1
    assert front(shell) is page


def test_a_caption_that_is_refused_stays_to_be_mended(open_window: OpenWindow) -> None:
    """What is wrong stands below it."""
    desk = FakePhotos(seven())
    shell = photos(open_window, desk)
    press(shell, Qt.Key.Key_C)
    desk.refuses = InputError("caption: 130 signs are too many, up to 120 would be right")
    press(shell, Qt.Key.Key_Return)
    assert shell.photos.asking
    assert shell.photos.entry.value.error.startswith("caption: 130 signs")
    press(shell, Qt.Key.Key_Return)
    assert not shell.photos.asking


def test_del_pressed_twice_takes_a_photo_out_of_sight(open_window: OpenWindow) -> None:
    """Another key between them starts anew."""
    desk = FakePhotos(seven())
    desk.after = replace(seven(), tiles=seven().tiles[1:])
    shell = photos(open_window, desk)
    press(shell, Qt.Key.Key_Delete)
    assert shell.photos.line.value.note.startswith("Del once more")
    press(shell, Qt.Key.Key_Right)
    press(shell, Qt.Key.Key_Left)
    press(shell, Qt.Key.Key_Delete)
    assert desk.removed == []
    press(shell, Qt.Key.Key_Delete)
    assert desk.removed == ["p0"]
    assert shell.photos.entry_id == "p1"


def test_a_machine_without_photos_or_visits_has_few_keys(open_window: OpenWindow) -> None:
    """Where there is no visit nothing can be added."""
    empty = PhotoStrip(title="Photos", empty_text="No photos. They belong to a visit.")
    shell = photos(open_window, FakePhotos(empty))
    assert [hint.press for hint in shell.photos.keys.hints] == ["Esc", "F1"]
    for key in (Qt.Key.Key_Return, Qt.Key.Key_Delete, Qt.Key.Key_C, Qt.Key.Key_Right):
        press(shell, key)
    assert front(shell) is shell.photos
    assert shell.photos.picture.accessibleName().startswith("No photos.")
