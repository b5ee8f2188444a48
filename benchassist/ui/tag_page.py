"""Tags for machines: which, on what labels, from which free one on, and how they will look."""

from collections.abc import Mapping

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QWidget

from benchassist.errors import BenchError
from benchassist.services.bench.view import KeyHint
from benchassist.services.desk import Field, FieldKind, TagDesk, TagPreview
from benchassist.services.tags.view import START, STOCK, WHICH
from benchassist.services.translation import _
from benchassist.ui.bench_layout import MARGIN, Place
from benchassist.ui.bench_part import Heading, Title
from benchassist.ui.choice_box import ChoiceBox
from benchassist.ui.field_box import FieldBox
from benchassist.ui.field_column import column_hints, focus_on, here_in, key_of, values_of, wire
from benchassist.ui.frame import Bar, Keys
from benchassist.ui.look import Look
from benchassist.ui.message import Message
from benchassist.ui.page import Page, Turn
from benchassist.ui.pdf_file import pdf_path, suggested
from benchassist.ui.said_line import SaidLine
from benchassist.ui.slip_part import SLIP_SHARE
from benchassist.ui.tag_part import LabelGrid, LabelPreview
from benchassist.ui.tile import Button, ButtonTile

PATH = "path"
WATCH_MS = 50
"""How often a PDF under way is looked at."""


class TagPage(Page):
    """Preview of the first page on the left, the choices on the right."""

    failed = Signal(str)
    """A PDF asked for here could not be kept, and another page is in front by now."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk: TagDesk | None = None
        self._done = ""
        """What was done last, until a field changes."""
        self._watch = QTimer(self)
        self._watch.setInterval(WATCH_MS)
        self._watch.timeout.connect(self._fetch)
        self.shown: TagPreview | None = None
        self.preview = LabelPreview(self)
        self.preview.chosen.connect(self._start_at)
        self.message = Message(self)
        self.title = Title(self)
        self.title.put(Heading(_("Tags"), _("scanned or typed at the counter")))
        self.said = SaidLine(self, px=20, least=12)
        self.boxes: list[FieldBox | ChoiceBox] = []
        """The form's in its order, then the file's path."""
        self.printing = ButtonTile(Button(press="Ctrl+Enter", text=_("Print"), main=True), self)
        self.saving = ButtonTile(Button(press="Ctrl+S", text=_("Keep as a PDF")), self)
        self.printing.clicked.connect(self._print)
        self.saving.clicked.connect(self._save)

    # --- desk ----------------------------------------------------------------------------------

    def open(self, desk: TagDesk) -> None:
        """The choices with what stands in them at first."""
        form = desk.form()
        self._desk, self.problem = desk, ""
        for old in self.boxes:
            old.deleteLater()
        self.boxes = [self._box(field) for field in (*form, self._path_field(desk))]
        wire(self.boxes, go=self._go, leave=self._leave, changed=self._changed)
        for box in self.boxes:
            box.dress(self.look)
            box.show()
        self._look_again()
        self.place()

    def _box(self, field: Field) -> FieldBox | ChoiceBox:
        if field.key == STOCK:
            return LabelGrid(field, self)
        if field.kind is FieldKind.CHOICE:
            return ChoiceBox(field, self)
        return FieldBox(field, self, px=18 if field.key == PATH else 22)

    def _path_field(self, desk: TagDesk) -> Field:
        return Field(key=PATH, label=_("PDF file"), value=suggested(desk.file_name()))

    @property
    def values(self) -> Mapping[str, str]:
        """What is written and chosen so far."""
        return values_of(self.boxes)

    def left(self) -> None:
        """What was done last is old when one comes back."""
        super().left()
        self._done = ""

    def _changed(self) -> None:
        self._done = ""
        self._look_again()

    def _look_again(self) -> None:
        desk = self._desk
        if desk is None:
            return
        self.shown = self.outcome_of(lambda: desk.preview(self.values))
        self.preview.put(self.shown.job if self.shown is not None else None)
        self._show()

    def _print(self) -> None:
        from benchassist.ui.print_dialog import print_tags

        desk = self._desk
        if desk is None:
            return
        if self.outcome_of(lambda: print_tags(desk, self.values, self.window())):
            self._done = _("Printed.")
        self._show()

    def _save(self) -> None:
        desk = self._desk
        if desk is None:
            return
        values = self.values
        path = self.outcome_of(lambda: pdf_path(values[PATH]))
        if path is not None and self.attempt(lambda: desk.write_pdf(values, path)):
            self._done = ""
            self._watch.start()
        self._show()

    def _fetch(self) -> None:
        """See how far a PDF is, whatever page is in front."""
        desk = self._desk
        if desk is None:
            return
        try:
            path = desk.kept()
        except BenchError as error:
            if self.isVisible():
                self.problem = str(error)
            else:
                self.failed.emit(str(error))
        else:
            if path is not None:
                self._done = _("Kept as {path}").format(path=path)
        if desk.drawn is None:
            self._watch.stop()
        self._show()

    # --- keys ----------------------------------------------------------------------------------

    def entered(self) -> None:
        """Ready to choose."""
        self._go(0)

    def _go(self, to: int) -> None:
        """The box at that place; it stays at the ends."""
        focus_on(self.boxes, max(0, min(to, len(self.boxes) - 1)))

    def focus_moved(self) -> None:
        """Other keys mean something there."""
        self._show()

    def _start_at(self, position: int) -> None:
        """A label of the preview was clicked: the first free one."""
        box = next(b for b in self.boxes if isinstance(b, FieldBox) and b.value.key == START)
        box.field.setText(str(position))

    def _leave(self) -> None:
        self.turned.emit(Turn(page="back"))

    def press(self, press: str) -> bool:
        """Keys that the box with the focus has no use for."""
        here = here_in(self.boxes)
        box = self.boxes[here] if here >= 0 else None
        match press:
            case "Esc":
                self._leave()
            case "Ctrl+Enter":
                self._print()
            case "Ctrl+S":
                self._save()
            case "Enter" | "Down":
                self._go(here + 1)
            case "Up":
                self._go(here - 1)
            case _ if isinstance(box, ChoiceBox) and box.choose_by(press):
                self._changed()
            case _:
                return False
        return True

    def perform(self, action: str) -> None:
        """The strip's keys."""
        presses = {"now": "Ctrl+Enter", "pdf": "Ctrl+S", "next": "Enter", "before": "Up"}
        self.press(presses.get(action, ""))

    # --- view ----------------------------------------------------------------------------------

    def _said(self) -> tuple[str, str]:
        """What is under way, was done last, or would be printed; and what is on the PDF's key."""
        drawn = self._desk.drawn if self._desk is not None else None
        if drawn is not None:
            at_work = _("Making the PDF, {percent:.0f} %. You may leave this page meanwhile.")
            return at_work.format(percent=100.0 * drawn), _("Making the PDF")
        shown = f"{self.shown.text}. {self.shown.note}" if self.shown is not None else ""
        return self._done or shown, _("Keep as a PDF")

    def _show(self) -> None:
        said, keep = self._said()
        self.said.put(said)
        self.saving.put(Button(press="Ctrl+S", text=keep))
        self.message.put(self.problem)
        self.message.setVisible(bool(self.problem))
        after = KeyHint(press="Enter", text=_("Next field"), action="next")
        at_last = here_in(self.boxes) == len(self.boxes) - 1
        self.show_frame(
            Bar(place=_("Tags")),
            Keys(
                hints=(
                    KeyHint(press="Ctrl+Enter", text=_("Print"), action="now", main=True),
                    KeyHint(press="Ctrl+S", text=keep, action="pdf"),
                    *(() if at_last else (after,)),
                    *column_hints(self.boxes, before="before"),
                    KeyHint(press="Esc", text=_("Back"), action="back"),
                    KeyHint(press="F1", text=_("Keys"), action="help"),
                ),
                note=_("No name, no phone"),
            ),
        )

    def place(self) -> None:
        """The preview left; machines, labels, numbers and file below each other."""
        look = self.look
        high = self.height() / look.s
        left = self.units_wide * SLIP_SHARE
        x, wide = left + MARGIN, self.units_wide - left - 2 * MARGIN
        half = (wide - 16) / 2
        self.message.setVisible(bool(self.problem))
        self.message.lay(Place(x, 4, wide, 32), spare=48)
        for part, where in (
            (self.preview, Place(0, 0, left, high)),
            (self.title, Place(x, 34, wide, 50)),
            (self.said, Place(x, 86, wide, 30)),
            (self.printing, Place(x, high - 72, half, 60)),
            (self.saving, Place(x + half + 16, high - 72, half, 60)),
        ):
            part.setGeometry(look.rect(where))
        numbers = 0
        for box in self.boxes:
            key = key_of(box)
            if key == WHICH:
                where = Place(x, 122, wide, 76)
            elif key == STOCK:
                where = Place(x, 206, wide, 214)
            elif key == PATH:
                where = Place(x, 508, wide, 70)
            else:
                where = Place(x + numbers * (half + 16), 430, half, 70)
                numbers += 1
            box.setGeometry(look.rect(where))

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        super().dress(look)
        head = (self.preview, self.message, self.title, self.said)
        for part in (*head, *self.boxes, self.printing, self.saving):
            part.dress(look)
        self.place()
