"""Photos for a slip in view: small at once, made ready for print in a thread."""

import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from benchassist.core.slip import Slip
from benchassist.core.visit import Visit
from benchassist.services.slips.photo import PRINT_SIDE
from benchassist.services.slips.visit_printer import VisitPrinter
from tests.core import pictures
from tests.services.photo_rig import FakeEye, PhotoRig

PATIENCE_S = 20.0
LARGE = b"reduced to %d" % PRINT_SIDE
SMALL = b"small"


class Lens:
    """What decodes, held back until it may; writes down in which threads."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.may = threading.Event()
        self.threads: list[threading.Thread] = []
        reduced = FakeEye.reduced

        def held(eye: FakeEye, data: bytes, side: int) -> bytes:
            self.threads.append(threading.current_thread())
            assert self.may.wait(PATIENCE_S)
            return reduced(eye, data, side)

        monkeypatch.setattr(FakeEye, "reduced", held)


@pytest.fixture
def rig(tmp_path: Path) -> Iterator[PhotoRig]:
    """A shop that keeps photos."""
    rig = PhotoRig(tmp_path)
    yield rig
    rig.shop.close()


@pytest.fixture
def visit(rig: PhotoRig, tmp_path: Path) -> Visit:
    """A visit with six photos."""
    machine = rig.machine()
    visit_id = rig.opened(machine)
    desk = rig.photos(machine)
    for i in range(6):
        path = tmp_path / f"{i}.png"
        path.write_bytes(pictures.png(pictures.picture(40 + i)))
        desk.add_files([path])
        rig.until(desk, lambda: not desk.strip().busy_text)
    desk.close()
    return rig.shop.visit(visit_id)


@pytest.fixture
def lens(monkeypatch: pytest.MonkeyPatch) -> Lens:
    """Held back: adding photos needs it not."""
    return Lens(monkeypatch)


def until(true: Callable[[], bool]) -> None:
    """Wait for what a thread comes to."""
    end = time.monotonic() + PATIENCE_S
    while not true():
        assert time.monotonic() < end
        threading.Event().wait(0.002)


def kinds(slip: Slip) -> list[bytes]:
    """Which of the two each photo is."""
    return [LARGE if photo.data.startswith(LARGE) else photo.data[:5] for photo in slip.photos]


def printer_of(rig: PhotoRig, visit: Visit) -> VisitPrinter:
    """The slip's printer, as the window asks for it."""
    return rig.shop.printer(visit.header.id)


def test_small_ones_stand_until_the_others_are_made(
    rig: PhotoRig, visit: Visit, lens: Lens
) -> None:
    """The slip waits for no decoder; each picture is made once, and never in this thread."""
    printer = printer_of(rig, visit)
    assert kinds(printer.slip()) == [SMALL] * 3
    assert (printer.coming, printer.news()) == (True, False)
    assert kinds(printer.slip()) == [SMALL] * 3
    lens.may.set()
    until(printer.news)
    assert printer.coming
    assert kinds(printer.slip()) == [LARGE] * 3
    assert (printer.coming, printer.news()) == (False, False)
    assert len(lens.threads) == 3
    assert threading.current_thread() not in lens.threads


def test_they_stay_ready(rig: PhotoRig, visit: Visit, lens: Lens) -> None:
    """For the next time the page is opened."""
    lens.may.set()
    printer = printer_of(rig, visit)
    printer.slip()
    until(printer.news)
    printer.slip()
    again = printer_of(rig, visit)
    assert kinds(again.slip()) == [LARGE] * 3
    assert not again.coming
    assert len(lens.threads) == 3


def test_paper_gets_no_small_ones(rig: PhotoRig, visit: Visit, lens: Lens, tmp_path: Path) -> None:
    """Whoever prints without looking waits for them."""
    printer = printer_of(rig, visit)
    printer.slip()
    threading.Timer(0.05, lens.may.set).start()
    printer.write_pdf(tmp_path / "slip.pdf")
    printer.print_on(object())
    assert [kinds(slip) for slip in rig.printer.printed] == [[LARGE] * 3] * 2


def test_one_that_cannot_be_made_stays_small(
    rig: PhotoRig, visit: Visit, lens: Lens, tmp_path: Path
) -> None:
    """Its original lies elsewhere: it is not tried on and on."""
    for file in (tmp_path / "photos").glob("*/*.png"):
        file.unlink()
    lens.may.set()
    printer = printer_of(rig, visit)
    printer.slip()
    until(printer.news)
    assert kinds(printer.slip()) == [SMALL] * 3
    assert not printer.coming


def test_one_of_which_nothing_is_here_is_not_tried_on_and_on(
    rig: PhotoRig, visit: Visit, lens: Lens, tmp_path: Path
) -> None:
    """Neither thumbnail nor file."""
    for file in (tmp_path / "photos").glob("*/*.png"):
        file.unlink()
    rig.store.kept_photos.clear()
    lens.may.set()
    printer = printer_of(rig, visit)
    assert printer.slip().photos == ()
    until(printer.news)
    assert printer.slip().photos == ()
    assert not printer.coming


def test_a_page_that_was_left_changes_no_other(rig: PhotoRig, visit: Visit, lens: Lens) -> None:
    """What it had made is dropped, whoever comes next has its own."""
    left = printer_of(rig, visit)
    left.slip()
    other = printer_of(rig, visit)
    assert not other.coming
    lens.may.set()
    left.close(PATIENCE_S)
    assert not other.coming
    assert kinds(other.slip()) == [SMALL] * 3


def test_closing_the_shop_waits_for_the_thread(rig: PhotoRig, visit: Visit, lens: Lens) -> None:
    """It reads from the store."""
    printer = printer_of(rig, visit)
    printer.slip()
    threading.Timer(0.05, lens.may.set).start()
    rig.shop.close()
    assert printer.news()
