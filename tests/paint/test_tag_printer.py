from errno import ENOSPC
from os import strerror
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QRect
from PySide6.QtGui import QImage
from PySide6.QtPrintSupport import QPrinter

from benchassist.core.label_stock import STOCKS, LabelStock, TagJob, place_of
from benchassist.core.tag import Tag, code_of
from benchassist.errors import PrintError
from benchassist.paint.tag_printer import QtTagPrinter
from benchassist.services.errand import Errand
from benchassist.services.job import StoppedError
from tests.paint.qr_reader import QUIET, dark, find_symbol, read_modules
from tests.paint.test_slip_printer import tool

DOTS = 300
POINT = DOTS / 72
"""A page is a whole number of points."""
stocks = pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.key)


def job(stock: LabelStock, *texts: str, start: int = 1) -> TagJob:
    """Tags of a rotary tiller each."""
    tags = (Tag(payload=t, code=code_of(t), words="Rotary tiller") for t in texts)
    return TagJob(stock=stock, tags=tuple(tags), start=start)


def pages(pdf: Path) -> list[QImage]:
    """The file's pages as another program draws them."""
    tool("pdftoppm", "-r", str(DOTS), "-gray", "-png", pdf, pdf.with_suffix(""))
    grey = QImage.Format.Format_Grayscale8
    return [QImage(str(p)).convertToFormat(grey) for p in sorted(pdf.parent.glob("*.png"))]


def label_of(page: QImage, stock: LabelStock, position: int) -> QImage:
    """The part of a page that is one label."""
    place, px = place_of(stock, position), DOTS / 25.4
    sides = (place.x_mm, place.y_mm, stock.width_mm, stock.height_mm)
    return page.copy(QRect(*(round(side * px) for side in sides)).intersected(page.rect()))


@stocks
def test_the_paper_has_the_size_of_the_stock_and_every_label_its_code(
    stock: LabelStock, tmp_path: Path
) -> None:
    """A reader finds each payload on its own label, four modules of white around it."""
    first = stock.count - 1 if stock.is_sheet else 1
    texts = ("TH-07", "M-014", "spare-tiller-002")
    pdf = tmp_path / "tags.pdf"
    QtTagPrinter().write_pdf(job(stock, *texts, start=first), pdf, title="Tags")
    drawn = pages(pdf)
    assert len(drawn) == (2 if stock.is_sheet else 3)
    for page in drawn:
        assert abs(page.width() - stock.page_width_mm * DOTS / 25.4) <= POINT
        assert abs(page.height() - stock.page_height_mm * DOTS / 25.4) <= POINT
    where = [(0, first), (0, first + 1), (1, 1)] if stock.is_sheet else [(0, 1), (1, 1), (2, 1)]
    for text, (number, position) in zip(texts, where, strict=True):
        label = label_of(drawn[number], stock, position)
        symbol = find_symbol(label)
        assert read_modules(symbol.modules) == text
        quiet = QUIET * symbol.module
        assert symbol.left >= quiet - 2
        assert symbol.top >= quiet - 2
        assert symbol.top + symbol.side + quiet <= label.height() + 2
        beside = range(round(symbol.left + symbol.side) + 1, int(symbol.left + symbol.side + quiet))
        assert not any(dark(label, x, y) for x in beside for y in range(label.height()))


@stocks
def test_labels_used_before_stay_white(stock: LabelStock, tmp_path: Path) -> None:
    """Only the label at the start is printed on; the ink is all inside it."""
    pdf = tmp_path / "tags.pdf"
    QtTagPrinter().write_pdf(job(stock, "M-014", start=stock.count), pdf)
    (page,) = pages(pdf)
    place, px = place_of(stock, stock.count), DOTS / 25.4
    raw = np.frombuffer(page.constBits(), np.uint8).reshape(page.height(), page.bytesPerLine())
    down, across = np.nonzero(raw[:, : page.width()] < 200)
    assert len(down) > 1000
    assert across.min() / px > place.x_mm
    assert down.min() / px > place.y_mm
    assert across.max() / px < place.x_mm + stock.width_mm
    assert down.max() / px < place.y_mm + stock.height_mm


def test_code_and_words_are_text_in_embedded_fonts(tmp_path: Path) -> None:
    """What is typed can be found in the file."""
    pdf = tmp_path / "tags.pdf"
    QtTagPrinter().write_pdf(job(STOCKS[0], "TH-07"), pdf)
    text = tool("pdftotext", pdf, "-")
    assert code_of("TH-07") in text
    assert "Rotary tiller" in text
    fonts = tool("pdffonts", pdf).splitlines()[2:]
    assert fonts
    assert all("BenchSans" in font and font.split()[-5] == "yes" for font in fonts)


def test_a_place_that_cannot_be_written_is_one_line(tmp_path: Path) -> None:
    """The path is named."""
    with pytest.raises(PrintError, match=r"none/tags\.pdf: No such file"):
        QtTagPrinter().write_pdf(job(STOCKS[0], "TH-07"), tmp_path / "none" / "tags.pdf")


def test_it_is_drawn_in_a_thread_too_and_says_how_far_it_is(tmp_path: Path) -> None:
    """The same text as where the window draws; a page at a time is told."""
    printer, told = QtTagPrinter(), list[tuple[int, int]]()
    tags = job(STOCKS[-1], "TH-07", "M-014", "M-015")
    here, there = tmp_path / "here.pdf", tmp_path / "there.pdf"
    printer.write_pdf(tags, here)
    drawing = Errand(
        lambda: printer.write_pdf(tags, there, told=lambda *far: told.append(far)), "tags"
    )
    drawing.close(None)
    drawing.result()
    assert told == [(0, 3), (1, 3), (2, 3)]
    assert tool("pdftotext", there, "-") == tool("pdftotext", here, "-")


def test_drawing_that_is_stopped_leaves_nothing(tmp_path: Path) -> None:
    """What was there before stays."""
    pdf = tmp_path / "tags.pdf"
    pdf.write_bytes(b"before")

    def stop(done: int, _whole: int) -> None:
        if done:
            raise StoppedError

    with pytest.raises(StoppedError):
        QtTagPrinter().write_pdf(job(STOCKS[-1], "TH-07", "M-014"), pdf, told=stop)
    assert pdf.read_bytes() == b"before"
    assert [*tmp_path.iterdir()] == [pdf]


@pytest.mark.parametrize("name", ["a file/tags.pdf", "a folder"])
def test_where_no_file_can_be_is_one_line(tmp_path: Path, name: str) -> None:
    """A file that stands for the folder, a folder that stands for the file."""
    (tmp_path / "a file").write_bytes(b"")
    (tmp_path / "a folder").mkdir()
    with pytest.raises(PrintError, match=name) as refused:
        QtTagPrinter().write_pdf(job(STOCKS[0], "TH-07"), tmp_path / name)
    assert "\n" not in str(refused.value)


def test_a_full_disk_is_one_line_and_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was written of it is gone again."""

    def fill(path: Path, _content: bytes) -> int:
        path.touch()
        raise OSError(ENOSPC, strerror(ENOSPC))

    monkeypatch.setattr(Path, "write_bytes", fill)
    with pytest.raises(PrintError, match=strerror(ENOSPC)):
        QtTagPrinter().write_pdf(job(STOCKS[0], "TH-07"), tmp_path / "tags.pdf")
    assert not [*tmp_path.iterdir()]


def test_a_printer_gets_the_paper_of_the_stock(tmp_path: Path) -> None:
    """A label printer is told the label's size, page after page."""
    stock = STOCKS[-1]
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "out.pdf"))
    QtTagPrinter().print_on(printer, job(stock, "TH-07", "M-014"))
    facts = tool("pdfinfo", tmp_path / "out.pdf")
    assert "Pages:           2\n" in facts
    points = next(line for line in facts.splitlines() if line.startswith("Page size")).split()
    assert abs(float(points[2]) - stock.page_width_mm / 25.4 * 72) < 1.5
    assert abs(float(points[4]) - stock.page_height_mm / 25.4 * 72) < 1.5
