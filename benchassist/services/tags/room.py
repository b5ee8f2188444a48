"""Where tags are printed: a desk for whatever machine is in front, one PDF for all of them."""

from benchassist.errors import StepError
from benchassist.services.needs import Store
from benchassist.services.tags.pdf_work import PdfWork
from benchassist.services.tags.print import TagPrint, TagPrinter
from benchassist.services.translation import _


class TagRoom:
    """A shop's; without a printer there are no desks in it."""

    def __init__(self, store: Store, printer: TagPrinter | None) -> None:
        self._store, self._printer, self._work = store, printer, PdfWork()

    @property
    def open(self) -> bool:
        """Whether tags can be printed here."""
        return self._printer is not None

    def desk(self, machine_id: str, paper: str) -> TagPrint:
        """Tags to print, of this machine first; empty for none. StepError without a printer."""
        if self._printer is None:
            raise StepError(_("there is no printer for tags here"))
        return TagPrint(
            store=self._store,
            printer=self._printer,
            paper=paper,
            machine_id=machine_id,
            work=self._work,
        )

    def close(self) -> None:
        """Let a PDF under way come to its end, within reason."""
        self._work.close()
