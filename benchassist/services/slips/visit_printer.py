"""One visit's slip on paper."""

from collections.abc import Callable
from pathlib import Path

from benchassist.core.file_name import file_part
from benchassist.core.slip import Paper, Slip
from benchassist.core.visit import VisitHeader
from benchassist.services.needs import SlipPrinter
from benchassist.services.slips.photo import PhotoPrints, Pictures, PrintsBeside


class VisitPrinter:
    """A visit's slip as it stands, for the printer; satisfies `desk.PrinterDesk`."""

    def __init__(
        self,
        printer: SlipPrinter,
        slip: Callable[[Pictures | None], Slip],
        header: Callable[[], VisitHeader],
        *,
        paper: Paper,
        prints: PhotoPrints | None = None,
    ) -> None:
        """`slip` composes it with the photos it is given; without `prints` there are none."""
        self._printer, self._slip, self._header, self._paper = printer, slip, header, paper
        self._photos = PrintsBeside(prints) if prints is not None else None

    def slip(self) -> Slip:
        """The slip; its photos are small where they are `coming`."""
        if self._photos is None:
            return self._slip(None)
        self._photos.take_in()
        slip = self._slip(self._photos)
        self._photos.make()
        return slip

    @property
    def coming(self) -> bool:
        """Whether the slip that was given last has photos that are being made ready for print."""
        return self._photos is not None and self._photos.coming

    def news(self) -> bool:
        """Whether they are ready by now: the slip is another."""
        return self._photos is not None and self._photos.made

    def write_pdf(self, path: Path) -> None:
        """One PDF page. Raises PrintError."""
        self._printer.write_pdf(self._ready(), path, paper=self._paper)

    def print_on(self, printer: object) -> None:
        """Draw the page on a paint device of the window's toolkit. Raises PrintError."""
        self._printer.print_on(printer, self._ready())

    def _ready(self) -> Slip:
        """The slip with its photos for print: what is still coming is waited for."""
        slip = self.slip()
        while self.coming:
            self.close(None)
            slip = self.slip()
        return slip

    def file_name(self) -> str:
        """A file name for the PDF."""
        return f"slip-{file_part(self._header().slip_number)}.pdf"

    def close(self, timeout: float | None = 5.0) -> None:
        """Wait for the thread."""
        if self._photos is not None:
            self._photos.close(timeout)
