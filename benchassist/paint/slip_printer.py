"""A slip to a PDF file or to a printer, drawn by the painter of the page."""

import os
from contextlib import suppress
from pathlib import Path

from PySide6.QtCore import QBuffer, QCoreApplication, QIODevice, QMarginsF, QRectF
from PySide6.QtGui import QGuiApplication, QPageLayout, QPageSize, QPainter, QPdfWriter
from PySide6.QtPrintSupport import QPrinter

from benchassist.core.plain_text import plain
from benchassist.core.slip import Paper, Slip
from benchassist.errors import PrintError
from benchassist.paint.font import load_fonts
from benchassist.paint.slip_page import SHEETS, UNITS_PER_INCH, paint_slip_page

DOTS_PER_INCH = 300
_PAGE_SIZES = {
    Paper.A4: QPageSize.PageSizeId.A4,
    Paper.LETTER: QPageSize.PageSizeId.Letter,
}


def own_application() -> QGuiApplication | None:
    """One that needs no display; None where there is one already.

    To be kept: Qt must outlive every font and painter made with it.
    """
    if QCoreApplication.instance() is not None:
        return None
    return QGuiApplication(["benchassist", "-platform", "offscreen"])


class QtSlipPrinter:
    """Draws slips on paper. Without an application it starts one that needs no display."""

    def __init__(self) -> None:
        self._application = own_application()

    def write_pdf(self, slip: Slip, path: Path, *, paper: Paper = Paper.A4) -> None:
        """Write one PDF page, whole or not at all. Raises PrintError if it cannot be written."""
        replace_file(path, self.pdf(slip, paper=paper))

    def pdf(self, slip: Slip, *, paper: Paper = Paper.A4) -> bytes:
        """The page as the bytes of a PDF file, its fonts embedded."""
        load_fonts()
        buffer = QBuffer()
        buffer.open(QIODevice.OpenModeFlag.WriteOnly)
        writer = QPdfWriter(buffer)
        writer.setTitle(plain(" · ".join(text for text in (slip.title, slip.customer) if text)))
        writer.setCreator("Bench Assistant")
        writer.setResolution(DOTS_PER_INCH)
        writer.setPageLayout(_layout(paper))
        painter = QPainter(writer)
        _paint(painter, DOTS_PER_INCH, slip, paper)
        painter.end()
        return bytes(buffer.data().data())

    def print_on(self, printer: QPrinter, slip: Slip, *, paper: Paper | None = None) -> None:
        """Draw the page on a printer as its dialog left it, on its paper unless one is given.

        Raises PrintError if the printer does not start.
        """
        load_fonts()
        printer.setFullPage(True)
        if paper is not None:
            printer.setPageSize(QPageSize(_PAGE_SIZES[paper]))
        painter = QPainter()
        if not painter.begin(printer):
            raise PrintError(f"{printer.printerName() or 'The printer'} did not take the slip.")
        _paint(painter, printer.resolution(), slip, paper or _paper_of(printer))
        painter.end()


def _layout(paper: Paper) -> QPageLayout:
    return QPageLayout(QPageSize(_PAGE_SIZES[paper]), QPageLayout.Orientation.Portrait, QMarginsF())


def _paper_of(printer: QPrinter) -> Paper:
    """The known sheet whose shape is nearest to the printer's."""
    size = printer.pageLayout().pageSize().size(QPageSize.Unit.Point)
    shape = size.height() / size.width()
    return min(Paper, key=lambda paper: abs(SHEETS[paper][1] / SHEETS[paper][0] - shape))


def _paint(painter: QPainter, dots_per_inch: int, slip: Slip, paper: Paper) -> None:
    scale = dots_per_inch / UNITS_PER_INCH
    width, height = SHEETS[paper]
    paint_slip_page(painter, QRectF(0.0, 0.0, width * scale, height * scale), slip, paper)


def replace_file(path: Path, content: bytes) -> None:
    """Put a file in its place, whole or not at all. Raises PrintError if it cannot be written."""
    try:
        _replace(path, content)
    except OSError as error:
        reason = error.strerror or str(error)
        raise PrintError(
            f"{path}: {reason}. Name a file in a folder that can be written to."
        ) from error


def _replace(path: Path, content: bytes) -> None:
    """Write beside the file and put it in its place. Raises OSError."""
    if path.is_dir():
        raise IsADirectoryError(None, "is a folder", str(path))
    temporary = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        temporary.write_bytes(content)
        temporary.replace(path)
    except OSError:
        with suppress(OSError):
            temporary.unlink()
        raise
