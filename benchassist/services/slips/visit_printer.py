"""One visit's slip on paper."""

from collections.abc import Callable
from pathlib import Path

from benchassist.core.slip import Paper, Slip
from benchassist.core.visit import VisitHeader
from benchassist.services.needs import SlipPrinter


class VisitPrinter:
    """A visit's slip as it stands, for the printer; satisfies `desk.PrinterDesk`."""

    def __init__(
        self,
        printer: SlipPrinter,
        slip: Callable[[], Slip],
        header: Callable[[], VisitHeader],
        paper: Paper,
    ) -> None:
        self._printer, self.slip, self._header, self._paper = printer, slip, header, paper

    def write_pdf(self, path: Path) -> None:
        """One PDF page. Raises PrintError."""
        self._printer.write_pdf(self.slip(), path, paper=self._paper)

    def print_on(self, printer: object) -> None:
        """Draw the page on a paint device of the window's toolkit. Raises PrintError."""
        self._printer.print_on(printer, self.slip())

    def file_name(self) -> str:
        """A file name for the PDF."""
        return f"slip-{self._header().slip_number}.pdf"
