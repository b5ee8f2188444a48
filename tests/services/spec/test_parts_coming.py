"""The spec book while the marks behind a figure are still being read."""

import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from benchassist.core.own_mark import MarkedReading
from benchassist.core.visit import Visit
from benchassist.errors import StepError, StoreError
from benchassist.services.record.learned_bands import MOST_AT_ONCE
from benchassist.services.settings import SettingsFile
from benchassist.services.shop import Shop
from benchassist.services.spec.editor import SpecEditor
from benchassist.specbook.book import Book
from benchassist.specbook.own_sheet import OwnSheets
from tests.services.fakes import FakeClock, FakeRoom, FakeStore
from tests.services.good_bin import fill, marked_visit
from tests.services.rig import FakePrinter

COIL, CAP = "engines/A/coil_secondary", "checks/cap/marked_5k"
MANY = MOST_AT_ONCE + 5
PATIENCE_S = 20.0


class SlowStore(FakeStore):
    """Gives marks only when it may."""

    def __init__(self) -> None:
        super().__init__()
        self.may = threading.Event()
        self.fault = ""

    def part_marks(self, check_key: str) -> tuple[MarkedReading, ...]:
        assert self.may.wait(PATIENCE_S)
        if self.fault:
            raise StoreError(self.fault)
        return super().part_marks(check_key)


class Bin:
    """A shop over the shipped book with many good coils."""

    def __init__(self, home: Path) -> None:
        self.book, self.store, self.clock = Book(home / "profiles"), SlowStore(), FakeClock()
        fill(self.store, *self.coils(MANY))
        self.shop = Shop(
            store=self.store,
            book=self.book,
            room=FakeRoom(),
            printer=FakePrinter(),
            clock=self.clock,
            settings_file=SettingsFile(home / "settings.json"),
            sheets=OwnSheets(self.book),
        )
        assert self.shop.spec is not None
        self.spec: SpecEditor = self.shop.spec
        self.spec.open()

    def coils(self, count: int) -> list[Visit]:
        """Good ones, a machine each."""
        procedure = self.book.procedure("quits_hot", "A")
        return [
            marked_visit(i, 6400.0 + 10.0 * i, procedure, "coil_secondary") for i in range(count)
        ]

    def news(self) -> None:
        """Wait until there are any."""
        end = time.monotonic() + PATIENCE_S
        while not self.spec.news():
            assert time.monotonic() < end
            threading.Event().wait(0.002)


@pytest.fixture
def bin_(tmp_path: Path) -> Iterator[Bin]:
    """With a store that does not answer yet."""
    made = Bin(tmp_path)
    yield made
    made.store.may.set()
    made.shop.close()


def test_a_figure_is_shown_and_its_parts_come(bin_: Bin) -> None:
    """The form waits for nothing; once they are read it is asked for again."""
    before = bin_.spec.form(COIL)
    assert "This shop’s parts" not in dict(before.pairs)
    assert before.parts_text == ""
    assert not bin_.spec.news()
    bin_.store.may.set()
    bin_.news()
    after = bin_.spec.form(COIL)
    assert f"from {MANY} good parts" in dict(after.pairs)["This shop’s parts"]
    assert after.parts_text == f"Good parts ({MANY})"
    assert not bin_.spec.news()


def test_a_figure_left_behind_brings_no_news(bin_: Bin) -> None:
    """Another one is under the cursor by then."""
    bin_.spec.form(COIL)
    lesson = bin_.shop.own_bands._lessons["coil_secondary"]
    bin_.store.may.set()
    bin_.spec.form(CAP)
    lesson.errand.close(PATIENCE_S)
    assert lesson.errand.done
    assert not bin_.spec.news()


def test_the_parts_are_being_read(bin_: Bin) -> None:
    """Nothing can be done with them meanwhile, and the page says why."""
    view = bin_.spec.parts(COIL)
    assert (view.coming, view.origin, view.rows) == (True, "The parts are being read", ())
    with pytest.raises(StepError, match="being read: try again in a moment"):
        bin_.spec.adopt(COIL)
    with pytest.raises(StepError, match="being read: try again in a moment"):
        bin_.spec.set_aside(COIL, "any", "a reason")
    bin_.store.may.set()
    bin_.news()
    view = bin_.spec.parts(COIL)
    assert (view.coming, len(view.rows)) == (False, MANY)
    assert view.adopt_text == "Make it the band"


def test_one_set_aside_is_out_of_the_list_it_comes_with(bin_: Bin) -> None:
    """The list before stays in view, and offers no band that is old."""
    bin_.store.may.set()
    bin_.spec.parts(COIL)
    bin_.news()
    (first, *_rest) = bin_.spec.parts(COIL).rows
    assert bin_.spec.set_aside(COIL, first.key, "wet boot").startswith("Set aside: wet boot")
    meanwhile = bin_.spec.parts(COIL)
    assert (meanwhile.coming, meanwhile.adopt_text) == (True, "")
    bin_.news()
    aside = [row.key for row in bin_.spec.parts(COIL).rows if row.aside]
    assert aside == [first.key]


def test_why_they_cannot_be_read_is_said(bin_: Bin) -> None:
    """In the place where the band would stand."""
    bin_.store.fault = "the shop does not answer"
    bin_.spec.form(COIL)
    bin_.store.may.set()
    bin_.news()
    assert dict(bin_.spec.form(COIL).pairs)["This shop’s parts"] == "the shop does not answer"
    assert not bin_.spec.news()
