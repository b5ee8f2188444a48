"""The system's dialog for a file to open."""

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget

from benchassist.services.translation import _


def pick_log(parent: QWidget | None, folder: Path) -> str:
    """The path of a log that was picked, empty where none was."""
    kinds = ";;".join((_("Logs (*.csv *.jsonl *.json *.txt *.log)"), _("All files (*)")))
    path, _kind = QFileDialog.getOpenFileName(parent, _("Open a log"), str(folder), kinds)
    return path
