"""The shipped spec book with a shop's own folder that is a fresh one each time."""

from pathlib import Path
from tempfile import mkdtemp

from benchassist.services.spec_editor import SpecEditor
from benchassist.specbook.book import Book
from benchassist.specbook.own_sheet import OwnSheets


def spec_desk(own: Path | None = None) -> SpecEditor:
    """An editor that writes into `own`, else into a folder made for it."""
    folder = own or Path(mkdtemp(prefix="benchassist-spec-")) / "profiles"
    return SpecEditor(OwnSheets(Book(folder)), lambda: None)
