"""The slip as it will be printed, and the two ways to keep it."""

from collections.abc import Callable

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.core.slip import Slip
from benchassist.paint.palette import Palette
from benchassist.services.bench.view import KeyHint
from benchassist.services.desk import Field, PrinterDesk
from benchassist.services.translation import _
from benchassist.ui.bench_layout import MARGIN, Place
from benchassist.ui.bench_part import Heading, Title
from benchassist.ui.field_box import FieldBox
from benchassist.ui.frame import Bar, Keys
from benchassist.ui.hint import line_hints
from benchassist.ui.look import Look
from benchassist.ui.message import Message
from benchassist.ui.page import Page, Turn
from benchassist.ui.part import Part
from benchassist.ui.pdf_file import pdf_path, suggested
from benchassist.ui.said_line import SaidLine
from benchassist.ui.tile import Button, ButtonTile

SHEET_RATIO = 210.0 / 297.0


class SlipPreview(Part[Slip | None]):
    """The printed sheet, small, drawn by the painter that prints it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(None, parent)

    def words(self) -> str:
        """Title and the visit in short."""
        slip = self.value
        return f"{slip.title}. {slip.in_short}" if slip is not None else ""

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """White paper on kraft."""
        from benchassist.paint.slip_page import paint_slip_page

        painter.fillRect(room, QColor(palette.kraft))
        high = room.height() - 32.0
        wide = min(room.width() - 32.0, high * SHEET_RATIO)
        sheet = QRectF((room.width() - wide) / 2, 16, wide, wide / SHEET_RATIO)
        painter.fillRect(sheet, QColor("#FFFFFF"))
        if self.value is not None:
            paint_slip_page(painter, sheet, self.value)


class PrintPage(Page):
    """Preview on the left, print and PDF on the right."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk: PrinterDesk | None = None
        self._visit_id = ""
        self._asked: Callable[[], None] | None = None
        """What a key asked for while photos were being made ready."""
        self.preview = SlipPreview(self)
        self.title = Title(self)
        self.title.put(Heading(_("Print the slip"), ""))
        self.message = Message(self)
        self.said = SaidLine(self)
        self.printing = ButtonTile(Button(press="Enter", text=_("Print"), main=True), self)
        self.saving = ButtonTile(Button(press="F", text=_("Keep as a PDF")), self)
        self.path = FieldBox(
            Field(key="path", label=_("PDF file"), hint=_("F: change it, Enter keeps it")),
            self,
            px=18,
        )
        self.printing.clicked.connect(self._print)
        self.saving.clicked.connect(lambda: self._save(self.path.field.text()))
        self.path.field.entered.connect(self._save)
        self.path.field.left.connect(self.setFocus)
        self._parts = (
            self.preview,
            self.title,
            self.message,
            self.said,
            self.printing,
            self.saving,
            self.path,
        )

    def open(self, desk: PrinterDesk, visit_id: str = "") -> None:
        """Show a visit's slip."""
        self._desk, self._visit_id = desk, visit_id
        self.problem, self._asked = "", None
        self.preview.put(desk.slip())
        self.path.field.setText(suggested(desk.file_name()))
        self.said.put(_("One page, black on white. The customer gets it."))
        self._show()

    def refresh(self) -> None:
        """Photos that were made ready take the place of small ones; what waits for them goes on."""
        desk = self._desk
        if desk is None or not desk.news():
            return
        self.preview.put(desk.slip())
        asked, self._asked = self._asked, None
        if asked is not None:
            asked()

    def left(self) -> None:
        """What was asked for and not done is not done behind one's back."""
        self._asked = None

    def _must_wait(self, desk: PrinterDesk, asked: Callable[[], None]) -> bool:
        """Whether photos are still being made: then it is done when they are."""
        if not desk.coming:
            return False
        self._asked = asked
        self.said.put(_("Making the photos ready"))
        self._show()
        return True

    def _print(self) -> None:
        from benchassist.ui.print_dialog import print_slip

        desk = self._desk
        if desk is None or self._must_wait(desk, self._print):
            return
        if self.outcome_of(lambda: print_slip(desk, self.window())):
            self.said.put(_("Printed."))
        self._show()

    def _save(self, text: str) -> None:
        desk = self._desk
        path = self.outcome_of(lambda: pdf_path(text))
        if desk is None or (path is not None and self._must_wait(desk, lambda: self._save(text))):
            return
        if path is not None and self.attempt(lambda: desk.write_pdf(path)):
            self.said.put(_("Kept as {path}").format(path=path))
        self.setFocus()
        self._show()

    def focus_moved(self) -> None:
        """Other keys mean something there."""
        self._show()

    def press(self, press: str) -> bool:
        """Enter prints, F writes the PDF, T and H turn to the machine's tag and file, Esc back."""
        match press:
            case "Enter":
                self._print()
            case "F":
                self.path.field.setFocus()
                self.path.field.selectAll()
            case "T":
                self.turned.emit(Turn(page="tags", visit_id=self._visit_id))
            case "H":
                self.turned.emit(Turn(page="machine", visit_id=self._visit_id))
            case "Esc" | "P":
                self.turned.emit(Turn(page="bench"))
            case _:
                return False
        return True

    def perform(self, action: str) -> None:
        """The strip's keys."""
        match action:
            case "now":
                self._print()
            case "pdf":
                self._save(self.path.field.text())
            case "tags":
                self.press("T")
            case "machine":
                self.press("H")
            case "bench":
                self.turned.emit(Turn(page="bench"))

    def _show(self) -> None:
        self.message.put(self.problem)
        self.message.setVisible(bool(self.problem))
        if self.path.hasFocus():
            self.show_frame(Bar(place=_("Slip")), Keys(hints=line_hints(_("Keep as a PDF"))))
            return
        self.show_frame(
            Bar(place=_("Slip")),
            Keys(
                hints=(
                    KeyHint(press="Enter", text=_("Print"), action="now", main=True),
                    KeyHint(press="F", text=_("Keep as a PDF"), action="pdf"),
                    KeyHint(press="T", text=_("Tag"), action="tags"),
                    KeyHint(press="H", text=_("Machine file"), action="machine"),
                    KeyHint(press="Esc", text=_("Bench"), action="bench"),
                    KeyHint(press="F1", text=_("Keys"), action="help"),
                )
            ),
        )

    def place(self) -> None:
        """Half the page is the sheet."""
        look = self.look
        high = self.height() / look.s
        left = self.units_wide * 0.46
        x, wide = left + MARGIN, self.units_wide - left - 2 * MARGIN
        self.message.setVisible(bool(self.problem))
        self.message.lay(Place(x, 4, wide, 32), spare=58)
        for part, where in (
            (self.preview, Place(0, 0, left, high)),
            (self.title, Place(x, 40, wide, 54)),
            (self.said, Place(x, 108, wide, 96)),
            (self.printing, Place(x, 220, wide, 64)),
            (self.saving, Place(x, 308, wide, 64)),
            (self.path, Place(x, 392, wide, 74)),
        ):
            part.setGeometry(look.rect(where))

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        super().dress(look)
        for part in self._parts:
            part.dress(look)
        self.place()
