"""Where a PDF goes."""

from pathlib import Path

import pytest
from PySide6.QtCore import QStandardPaths

from benchassist.ui.pdf_file import suggested


@pytest.mark.parametrize("there", [True, False])
def test_the_suggested_folder_is_there(
    there: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A fresh account may have no folder of documents yet: then it is the home folder."""
    documents, home = tmp_path / "Documents", tmp_path / "home"
    home.mkdir()
    if there:
        documents.mkdir()
    monkeypatch.setattr(QStandardPaths, "writableLocation", lambda _where: str(documents))
    monkeypatch.setenv("HOME", str(home))
    assert Path(suggested("tags.pdf")) == (documents if there else home) / "tags.pdf"
