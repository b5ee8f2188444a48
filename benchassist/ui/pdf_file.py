"""Where a PDF goes: the path that is suggested, and the one that was typed."""

from pathlib import Path

from PySide6.QtCore import QStandardPaths

from benchassist.errors import InputError
from benchassist.services.translation import _
from benchassist.services.typed_line import path_of


def suggested(name: str) -> str:
    """The path of a file of that name among the person's documents, else in the home folder."""
    documents = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.DocumentsLocation)
    folder = Path(documents) if documents else Path.home()
    return str((folder if folder.is_dir() else Path.home()) / name)


def pdf_path(text: str) -> Path:
    """The path that was typed, with its suffix. Raises InputError where no file is named."""
    lacking = _("PDF file: type its path")
    path = path_of(text, lacking)
    if not path.name:
        raise InputError(lacking)
    return path if path.suffix.lower() == ".pdf" else path.with_name(f"{path.name}.pdf")
