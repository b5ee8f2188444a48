"""The system's dialog for a file to open."""

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget

from benchassist.services.translation import _


def pick_log(parent: QWidget | None, folder: Path) -> str:
    """The path of a log that was picked, empty where none was."""
    kinds = ";;".join((_("Logs (*.csv *.jsonl *.json *.txt *.log)"), _("All files (*)")))
    path, _kind = QFileDialog.getOpenFileName(parent, _("Open a log"), str(folder), kinds)
    return path


def pick_photos(parent: QWidget | None, folder: Path) -> list[str]:
    """The paths of photos that were picked, none where none were."""
    kinds = ";;".join((_("Photos (*.jpg *.jpeg *.png *.webp)"), _("All files (*)")))
    paths, _kind = QFileDialog.getOpenFileNames(parent, _("Add photos"), str(folder), kinds)
    return list(paths)


def pick_backup(parent: QWidget | None, folder: Path) -> str:
    """The path of a backup that was picked, empty where none was."""
    kinds = ";;".join((_("Backups (*.sqlite *.db *.dump)"), _("All files (*)")))
    path, _kind = QFileDialog.getOpenFileName(parent, _("Restore from"), str(folder), kinds)
    return path


def pick_export(parent: QWidget | None, folder: Path) -> str:
    """The path of an export to be imported, empty where none was picked."""
    kinds = ";;".join((_("Exports (*.json)"), _("All files (*)")))
    path, _kind = QFileDialog.getOpenFileName(parent, _("Import visits"), str(folder), kinds)
    return path


def pick_disk(parent: QWidget | None, folder: Path) -> str:
    """A folder to back up into, empty where none was picked."""
    return QFileDialog.getExistingDirectory(parent, _("Back up into"), str(folder))


def pick_folder(parent: QWidget | None, folder: Path) -> str:
    """A folder to write to, empty where none was picked."""
    return QFileDialog.getExistingDirectory(parent, _("Export into"), str(folder))
