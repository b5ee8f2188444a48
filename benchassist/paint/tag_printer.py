"""Tags to a PDF file or to a printer, drawn by the painter of the label page."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QBuffer, QIODevice, QMarginsF, QSizeF
from PySide6.QtGui import QPageLayout, QPageSize, QPainter, QPdfWriter
from PySide6.QtPrintSupport import QPrinter

from benchassist.core.label_stock import LabelStock, TagJob, pages_of
from benchassist.errors import PrintError
from benchassist.paint.font import load_fonts
from benchassist.paint.slip_printer import DOTS_PER_INCH, own_application, replace_file
from benchassist.paint.tag_sheet import paint_tag_page

MM_PER_INCH = 25.4

Told = Callable[[int, int], None]


def _untold(_done: int, _whole: int) -> None:
    """Nobody asks how far it is."""


class QtTagPrinter:
    """Draws tags on labels. Without an application it starts one that needs no display."""

    def __init__(self) -> None:
        self._application = own_application()

    def write_pdf(self, job: TagJob, path: Path, *, title: str = "", told: Told = _untold) -> None:
        """Write the pages, whole or not at all. Raises PrintError if they cannot be written."""
        replace_file(path, self.pdf(job, title=title, told=told))

    def pdf(self, job: TagJob, *, title: str = "", told: Told = _untold) -> bytes:
        """The pages as the bytes of a PDF file, of the stock's size, their fonts embedded.

        In whatever thread. `told` how many pages are drawn and how many there are; what it raises
        ends the drawing.
        """
        load_fonts()
        buffer = QBuffer()
        buffer.open(QIODevice.OpenModeFlag.WriteOnly)
        writer = QPdfWriter(buffer)
        writer.setTitle(title)
        writer.setCreator("Bench Assistant")
        writer.setResolution(DOTS_PER_INCH)
        portrait = QPageLayout.Orientation.Portrait
        writer.setPageLayout(QPageLayout(_page_size(job.stock), portrait, QMarginsF()))
        painter = QPainter(writer)
        try:
            _paint(painter, writer, DOTS_PER_INCH, job, told)
        finally:
            painter.end()
        return bytes(buffer.data().data())

    def print_on(self, printer: QPrinter, job: TagJob) -> None:
        """Draw the pages on a printer, on the stock's paper. Raises PrintError."""
        load_fonts()
        printer.setFullPage(True)
        printer.setPageSize(_page_size(job.stock))
        painter = QPainter()
        if not painter.begin(printer):
            raise PrintError(f"{printer.printerName() or 'The printer'} did not take the tags.")
        _paint(painter, printer, printer.resolution(), job)
        painter.end()


def _page_size(stock: LabelStock) -> QPageSize:
    size = QSizeF(stock.page_width_mm, stock.page_height_mm)
    return QPageSize(size, QPageSize.Unit.Millimeter, "", QPageSize.SizeMatchPolicy.ExactMatch)


def _paint(
    painter: QPainter,
    device: QPdfWriter | QPrinter,
    dots_per_inch: int,
    job: TagJob,
    told: Told = _untold,
) -> None:
    scale = dots_per_inch / MM_PER_INCH
    pages = pages_of(job)
    for number, page in enumerate(pages):
        told(number, len(pages))
        if number:
            device.newPage()
        painter.save()
        painter.scale(scale, scale)
        paint_tag_page(painter, job.stock, page)
        painter.restore()
