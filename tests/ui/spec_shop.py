"""The shipped spec book with a shop's own folder that is a fresh one each time."""

from pathlib import Path
from shutil import rmtree
from tempfile import mkdtemp
from weakref import finalize

from benchassist.core.visit import Visit
from benchassist.services.bench.side_pen import SidePen
from benchassist.services.receipt import Receipts
from benchassist.services.record.own_bands import OwnBands
from benchassist.services.spec.editor import SpecEditor
from benchassist.specbook.book import Book
from benchassist.specbook.own_sheet import OwnSheets
from tests.services.fakes import FakeClock, FakeStore
from tests.services.good_bin import CAPS, fill, mark, marked_visit


def spec_desk(own: Path | None = None, *visits: Visit) -> SpecEditor:
    """An editor that writes into `own`, else into a folder that goes with it; visits have marks."""
    made = mkdtemp(prefix="benchassist-spec-") if own is None else ""
    folder = own or Path(made) / "profiles"
    book, store, clock = Book(folder), FakeStore(), FakeClock()
    fill(store, *visits)
    own_bands = OwnBands(
        store=store,
        book=book,
        pen=SidePen(
            store=store, receipts=Receipts(store), clock=clock, bench_pen=lambda _visit: None
        ),
        clock=clock,
        on_bench=lambda _visit: None,
    )
    editor = SpecEditor(OwnSheets(book), lambda: None, own_bands=own_bands, clock=clock)
    if made:
        finalize(editor, rmtree, made, ignore_errors=True)
    return editor


def good_caps(*values: float) -> list[Visit]:
    """Caps marked 5 kΩ that a shop knows to be good, a machine each."""
    procedure = Book().procedure("quits_hot", "A")
    return [
        marked_visit(number, ohms, procedure, "cap", marking="marked_5k")
        for number, ohms in enumerate(values or CAPS)
    ]


def good_coils(*values: float) -> list[Visit]:
    """Coil secondaries of class A, in the order given."""
    procedure = Book().procedure("quits_hot", "A")
    return [
        marked_visit(200 + number, ohms, procedure, "coil_secondary")
        for number, ohms in enumerate(values or [1.3 * ohms for ohms in CAPS])
    ]


def odd_caps() -> list[Visit]:
    """Fourteen caps, one more that stands apart, one set aside, one that reads above range."""
    made = good_caps(*CAPS, 7200.0, 4400.0)
    mark(made[-1], reason="read through a wet boot, clips slipped")
    return made
