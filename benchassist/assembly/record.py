"""What a shop has kept: visits listed, shown, exported and printed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from benchassist.assembly import Place, photo_shelf, read_store, settings_of
from benchassist.errors import BenchError, InputError

if TYPE_CHECKING:
    from benchassist.core.record import VisitSummary
    from benchassist.core.slip import Slip
    from benchassist.services.record.photo_need import Eye


def list_visits(place: Place) -> tuple[VisitSummary, ...]:
    """Visits on file, newest first."""
    if not place.named and not Path(place.shop).exists():
        return ()
    with read_store(place) as store:
        return store.visits()


def as_documents(summaries: Iterable[VisitSummary]) -> Iterator[dict[str, object]]:
    """Visits of a list, one by one, as the list's document has them."""
    from benchassist.storage.exchange import export_summary

    return map(export_summary, summaries)


def visit_as_text(place: Place, visit_id: str) -> str:
    """A visit as plain lines, as its slip has them."""
    from benchassist.services.slips.text import text_of_slip

    return text_of_slip(slip_of_visit(place, visit_id))


def export_visits(place: Place, visit_ids: Sequence[str]) -> dict[str, object]:
    """Visits as the export's document. Raises NotFoundError for one that is not on file."""
    return _export(place, visit_ids)[0]


def _export(place: Place, visit_ids: Sequence[str]) -> tuple[dict[str, object], int]:
    """The document, and how many photos had no room in it."""
    from benchassist.storage.exchange import export_visits as document_of
    from benchassist.storage.photo_account import PhotoPost

    with read_store(place) as store:
        post = PhotoPost(store.photos, photo_shelf(place).copy)
        document = document_of([store.visit(v) for v in visit_ids], store.run_record, post)
    return document, post.left_out


def write_export(place: Place, visit_ids: Sequence[str], path: Path) -> str:
    """Write visits to a JSON file, or their taken readings to one named .csv.

    Returns in one line what had no room in it; empty: nothing.
    """
    import json

    if path.suffix.lower() == ".csv":
        from benchassist.storage.visit_files import write_sheet

        with read_store(place) as store:
            write_sheet(visit_ids, path, store.visit)
        return ""
    document, left_out = _export(place, visit_ids)
    text = json.dumps(document, ensure_ascii=False, indent=1) + "\n"
    fresh = path.with_name(path.name + ".new")
    try:
        fresh.write_text(text, "utf-8", newline="")
        fresh.replace(path)
    except OSError as error:
        raise BenchError(f"{path}: cannot be written ({error.strerror})") from None
    if not left_out:
        return ""
    return (
        f"{left_out} photos had no room in the file, their small pictures are in it: "
        "export fewer visits at a time"
    )


def slip_of_visit(place: Place, visit_id: str, eye: Eye | None = None) -> Slip:
    """A visit's slip, in the shop's units; with its photos where `eye` decodes them."""
    from benchassist.core.visit import Visit
    from benchassist.services.slips.photo import PhotoPrints
    from benchassist.services.slips.slips import slip_of

    with read_store(place) as store:
        pictures = PhotoPrints(store, photo_shelf(place), eye) if eye is not None else None
        visit = Visit(*store.visit(visit_id))
        return slip_of(visit, settings_of(place).units, store, pictures)


def print_slip(place: Place, visit_id: str, path: Path, paper: str | None) -> None:
    """A visit's slip as a PDF, on the shop's own paper where none is named.

    Raises InputError for a sheet that is not one.
    """
    from benchassist.core.slip import Paper
    from benchassist.paint.photo import QtPhotoEye
    from benchassist.paint.slip_printer import QtSlipPrinter

    if paper is not None and paper not in {p.value for p in Paper}:
        raise InputError(f"--paper '{paper}' is not one of a4, letter")
    printer = QtSlipPrinter()
    slip = slip_of_visit(place, visit_id, QtPhotoEye())
    sheet = Paper(paper or settings_of(place).paper)
    printer.write_pdf(slip, path, paper=sheet)
