"""The system's print dialog, for a slip and for tags."""

from collections.abc import Mapping

from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import QDialog, QWidget

from benchassist.services.desk import PrinterDesk, TagDesk


def print_slip(desk: PrinterDesk, parent: QWidget | None = None) -> bool:
    """Ask for a printer and print on it; False if that was left. Raises PrintError."""
    printer = _ask(desk.file_name(), parent)
    if printer is None:
        return False
    desk.print_on(printer)
    return True


def print_tags(desk: TagDesk, fields: Mapping[str, str], parent: QWidget | None = None) -> bool:
    """As for a slip, once the choices hold. Raises InputError, PrintError."""
    desk.preview(fields)
    printer = _ask(desk.file_name(), parent)
    if printer is None:
        return False
    desk.print_on(fields, printer)
    return True


def _ask(file_name: str, parent: QWidget | None) -> QPrinter | None:
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setDocName(file_name.removesuffix(".pdf"))
    dialog = QPrintDialog(printer, parent)
    return printer if dialog.exec() == QDialog.DialogCode.Accepted else None
