"""A photo's whole way: dropped on the window, kept, shown, printed, there again next time."""

import hashlib
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from benchassist.assembly import Place, open_shop
from benchassist.services.shop import Shop
from benchassist.ui.habits import Habits
from benchassist.ui.page import Turn
from benchassist.ui.photo_door import Handed
from benchassist.ui.shell import Shell
from tests.core import pictures
from tests.end_to_end.paper import pages_of

PATIENCE_MS = 20_000


def window(qtbot: QtBot, shop: Shop) -> Shell:
    """The window on a shop; its timer stands still."""
    shell = Shell(shop.desks, Habits(theme="light"))
    qtbot.addWidget(shell)
    shell.show()
    shell.load()
    shell._timer.stop()
    return shell


def ticked(shell: Shell, true: Callable[[], bool]) -> Callable[[], bool]:
    """Whether something holds after one more tick."""

    def now() -> bool:
        shell.tick()
        return true()

    return now


@pytest.fixture
def place(tmp_path: Path) -> Place:
    """A shop and its home."""
    return Place(str(tmp_path / "shop.sqlite"), tmp_path / "home")


def test_a_photo_from_the_camera_to_the_slip(qtbot: QtBot, place: Place, tmp_path: Path) -> None:
    """Upright on screen and paper, its original untouched; the place it was taken at stays here."""
    camera = tmp_path / "DSC_0042.JPG"
    camera.write_bytes(pictures.jpeg(pictures.picture(1600, 1200), 6, planted=True))
    digest = hashlib.sha256(camera.read_bytes()).hexdigest()
    shop = open_shop(place)
    machine = shop.counter.new_machine({"tag": "TH-07", "unit": "Sprayer pump"})
    fields = shop.counter.interview(machine, {})
    answers = {fields[0].key: fields[0].choices[0].key}
    visit = shop.counter.open_visit(machine, answers)
    shell = window(qtbot, shop)
    shell.turn(Turn(page="bench", visit_id=visit))
    shell.entrance.take(Handed(files=(camera,)))
    assert shell.page is shell.photos
    page = shell.photos
    qtbot.waitUntil(ticked(shell, lambda: bool(page.shown.tiles)), timeout=PATIENCE_MS)
    qtbot.waitUntil(
        ticked(shell, lambda: not page.busy and not page.shown.tiles[0].pencilled),
        timeout=PATIENCE_MS,
    )
    (tile,) = page.shown.tiles
    small = QImage.fromData(tile.thumbnail)
    assert (small.width(), small.height()) == (240, 320)
    image = page.picture.value.image
    assert image.height() > image.width() > 400
    # The red corner of the camera's picture is at the upper right once it is turned.
    assert image.pixelColor(image.width() - 20, 20).red() > 200
    lies = place.home / "photos" / digest[:2] / f"{digest}.jpg"
    assert lies.read_bytes() == camera.read_bytes()

    page.press("C")
    page.entry.field.setText("coil, crack by the tab")
    page.perform("keep")
    qtbot.waitUntil(ticked(shell, lambda: not page.shown.tiles[0].pencilled), timeout=PATIENCE_MS)
    slip = shop.slip(visit)
    assert [(p.caption, p.width, p.height) for p in slip.photos] == [
        ("coil, crack by the tab", 1200, 1600)
    ]
    pdf = tmp_path / "slip.pdf"
    shop.printer(visit).write_pdf(pdf)
    assert pages_of(pdf) == 1
    assert [word for word in pictures.PLANTED if word in pdf.read_bytes()] == []
    shell.close()
    shop.close()

    again = open_shop(place)
    shell = window(qtbot, again)
    shell.turn(Turn(page="photos", machine_id=machine))
    qtbot.waitUntil(ticked(shell, lambda: bool(shell.photos.shown.tiles)), timeout=PATIENCE_MS)
    (tile,) = shell.photos.shown.tiles
    assert tile.text == "Today: coil, crack by the tab"
    assert not tile.missing
    shell.close()
    again.close()
