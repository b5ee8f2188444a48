"""What a shop has kept: visits listed, shown, exported and printed."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from benchassist.assembly import Place, read_store, settings_of
from benchassist.errors import BenchError, InputError

if TYPE_CHECKING:
    from benchassist.core.record import VisitSummary
    from benchassist.core.slip import Slip


def list_visits(place: Place) -> tuple[VisitSummary, ...]:
    """Visits on file, newest first."""
    if not place.named and not Path(place.shop).exists():
        return ()
    with read_store(place) as store:
        return store.visits()


def summaries_as_json(summaries: Sequence[VisitSummary]) -> dict[str, object]:
    """The list of visits as its document."""
    from benchassist.storage.exchange import export_summary

    return {"visits": [export_summary(summary) for summary in summaries]}


def visit_as_text(place: Place, visit_id: str) -> str:
    """A visit as plain lines, as its slip has them."""
    from benchassist.services.slip_text import text_of_slip

    return text_of_slip(slip_of_visit(place, visit_id))


def export_visits(place: Place, visit_ids: Sequence[str]) -> dict[str, object]:
    """Visits as the export's document. Raises NotFoundError for one that is not on file."""
    from benchassist.storage.exchange import export_visits as document_of

    with read_store(place) as store:
        return document_of([store.visit(v) for v in visit_ids], store.run_record)


def write_export(place: Place, visit_ids: Sequence[str], path: Path) -> int:
    """Write visits to a JSON file, or their taken readings to one named .csv; returns how many."""
    text = _sheet if path.suffix.lower() == ".csv" else _document
    written = text(place, visit_ids)
    fresh = path.with_name(path.name + ".new")
    try:
        fresh.write_text(written, "utf-8", newline="")
        fresh.replace(path)
    except OSError as error:
        raise BenchError(f"{path}: cannot be written ({error.strerror})") from None
    return len(visit_ids)


def _document(place: Place, visit_ids: Sequence[str]) -> str:
    import json

    return json.dumps(export_visits(place, visit_ids), ensure_ascii=False, indent=1) + "\n"


def _sheet(place: Place, visit_ids: Sequence[str]) -> str:
    from benchassist.storage.reading_sheet import sheet_of

    with read_store(place) as store:
        return sheet_of(store.visit(visit_id) for visit_id in visit_ids)


def slip_of_visit(place: Place, visit_id: str) -> Slip:
    """A visit's slip, in the shop's units."""
    from benchassist.core.visit import Visit
    from benchassist.services.slips import slip_of

    with read_store(place) as store:
        return slip_of(Visit(*store.visit(visit_id)), settings_of(place).units, store)


def print_slip(place: Place, visit_id: str, path: Path, paper: str | None) -> None:
    """A visit's slip as a PDF, on the shop's own paper where none is named.

    Raises InputError for a sheet that is not one.
    """
    from benchassist.core.slip import Paper
    from benchassist.paint.slip_printer import QtSlipPrinter

    if paper is not None and paper not in {p.value for p in Paper}:
        raise InputError(f"--paper '{paper}' is not one of a4, letter")
    slip = slip_of_visit(place, visit_id)
    sheet = Paper(paper or settings_of(place).paper)
    QtSlipPrinter().write_pdf(slip, path, paper=sheet)
