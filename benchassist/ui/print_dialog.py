"""The system's print dialog for a slip."""

from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import QDialog, QWidget

from benchassist.services.desk import PrinterDesk


def print_slip(desk: PrinterDesk, parent: QWidget | None = None) -> bool:
    """Ask for a printer and print on it; False if that was left. Raises PrintError."""
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setDocName(desk.file_name().removesuffix(".pdf"))
    dialog = QPrintDialog(printer, parent)
    if dialog.exec() != QDialog.DialogCode.Accepted:
        return False
    desk.print_on(printer)
    return True
