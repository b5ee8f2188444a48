"""What every form has: the sheet as it will read on the left, title and problem on the right."""

from PySide6.QtWidgets import QWidget

from benchassist.ui.bench_layout import MARGIN, Place
from benchassist.ui.bench_part import Heading, Title
from benchassist.ui.message import Message
from benchassist.ui.page import Page
from benchassist.ui.paper import Sheet, SheetShown
from benchassist.ui.slip_part import SLIP_SHARE


class FormPage(Page):
    """A page of fields; its boxes and buttons are its own."""

    def __init__(self, heading: Heading, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.sheet = Sheet(self)
        self.title = Title(self)
        self.title.put(heading)
        self.message = Message(self)

    def show_sheet(self, shown: SheetShown) -> None:
        """What is written so far, and what is wrong with it."""
        self.sheet.put(shown)
        self.message.put(self.problem)
        self.message.setVisible(bool(self.problem))

    def place_head(self) -> tuple[float, float, float]:
        """Place sheet, problem line and title; returns left and width of the fields, and height."""
        look = self.look
        high = self.height() / look.s
        left = self.units_wide * SLIP_SHARE
        x, wide = left + MARGIN, self.units_wide - left - 2 * MARGIN
        self.sheet.setGeometry(look.rect(Place(0, 0, left, high)))
        self.message.lay(Place(x, 4, wide, 32), spare=48)
        self.title.setGeometry(look.rect(Place(x, 34, wide, 50)))
        return x, wide, high
