"""A PDF under way: goes on whatever is left or closed, is there as a whole or not at all."""

from pathlib import Path
from threading import Event

import pytest

from benchassist.errors import PrintError, StepError
from benchassist.services.job import Progress
from benchassist.services.tags import pdf_work
from benchassist.services.tags.pdf_work import PdfWork
from benchassist.services.tags.room import TagRoom
from tests.services.rig import ShopRig
from tests.services.tags.test_print import CHOSEN, FakeTagPrinter, kept


def test_one_at_a_time_and_told_once(tmp_path: Path) -> None:
    """How much is drawn is known meanwhile; what came of it is told one time."""
    work, go, begun = PdfWork(), Event(), Event()

    def write(told: Progress) -> None:
        told(1, 4)
        begun.set()
        go.wait()

    work.begin(tmp_path / "a.pdf", write)
    begun.wait()
    assert work.share == 0.25
    assert work.news() is None
    with pytest.raises(StepError, match="a PDF is being made"):
        work.begin(tmp_path / "b.pdf", write)
    go.set()
    work.close()
    assert work.news() == tmp_path / "a.pdf"
    assert work.news() is None
    assert work.share is None


def test_a_refusal_is_told_once_and_the_next_may_begin(tmp_path: Path) -> None:
    """A folder that is gone meanwhile is one line."""

    def write(_told: Progress) -> None:
        raise PrintError("gone")

    work = PdfWork()
    work.begin(tmp_path / "a.pdf", write)
    work.close()
    with pytest.raises(PrintError, match="gone"):
        work.news()
    assert work.news() is None
    work.begin(tmp_path / "a.pdf", lambda _told: None)
    work.close()
    assert work.news() == tmp_path / "a.pdf"


def test_closing_lets_it_end_and_stops_what_does_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What takes longer than anybody waits ends at its next page."""
    monkeypatch.setattr(pdf_work, "PATIENCE_S", 0.05)
    pages = list[int]()

    def write(told: Progress) -> None:
        while True:
            told(len(pages), 9)
            pages.append(len(pages))

    work = PdfWork()
    work.begin(tmp_path / "a.pdf", write)
    work.close()
    drawn = len(pages)
    assert drawn
    assert work.share is not None
    assert len(pages) == drawn


def test_the_shop_keeps_it_under_way_from_page_to_page(tmp_path: Path) -> None:
    """Asked for by one desk, told by the next; a shop that closes has it written."""
    rig = ShopRig(tmp_path)
    rig.machine("M-001")
    printer = FakeTagPrinter()
    room = TagRoom(rig.store, printer)
    room.desk("", "a4").write_pdf(CHOSEN, tmp_path / "a.pdf")
    assert kept(room.desk("", "a4")) == tmp_path / "a.pdf"
    room.desk("", "a4").write_pdf(CHOSEN, tmp_path / "b.pdf")
    room.close()
    assert [path.name for _job, path in printer.written] == ["a.pdf", "b.pdf"]
