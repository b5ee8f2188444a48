"""What the page of the shop's records shows: what is looked at on the left, what to do right."""

from PySide6.QtWidgets import QWidget

from benchassist.services.bench.view import KeyHint
from benchassist.services.desk import FieldKind, RecordsStage, RecordsView
from benchassist.services.record.records_view import SheetView
from benchassist.services.translation import _
from benchassist.ui.bench_layout import Place
from benchassist.ui.bench_part import Heading
from benchassist.ui.choice_box import ChoiceBox
from benchassist.ui.field_box import FieldBox
from benchassist.ui.field_column import column_hints
from benchassist.ui.form_page import FormPage
from benchassist.ui.frame import Bar, Keys
from benchassist.ui.hint import stepping
from benchassist.ui.look import Look
from benchassist.ui.paper import SheetShown
from benchassist.ui.records_part import LinesShown, RecordRows, SaidLines
from benchassist.ui.scroll_list import Listed
from benchassist.ui.tile import Button, ButtonTile
from benchassist.ui.work_panel import WorkPanel, WorkShown

TOP, FOOT, GAP = 92.0, 72.0, 8.0
TILE, BOX, CHOICE_BOX = 60.0, 70.0, 78.0
HEAD, NOTE, LINES, WORK = 30.0, 30.0, 104.0, 180.0

LISTING = (RecordsStage.HOME, RecordsStage.FIND)
PICKING = (RecordsStage.BACKUP, RecordsStage.IMPORT, RecordsStage.EXPORT)


class RecordsBoard(FormPage):
    """The parts of the page, filled and placed."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Heading(_("Records"), ""), parent)
        self.shown = RecordsView()
        self.at = ""
        """The key of the row under the cursor."""
        self.boxes: list[FieldBox | ChoiceBox] = []
        self.tiles = {
            press: ButtonTile(Button(press=press, text=text, main=press == "B"), self)
            for press, text in (
                ("B", _("Back up now")),
                ("D", _("Back up to a disk")),
                ("O", _("Restore from a file")),
                ("I", _("Import visits")),
                ("X", _("Export visits")),
                ("C", _("Find a customer")),
            )
        }
        self.rows = RecordRows(self)
        self.rows_head = SaidLines(self)
        self.lines = SaidLines(self)
        self.work = WorkPanel(self)
        self.foot = SaidLines(self)
        self.main = ButtonTile(Button(press="Ctrl+Enter", text="", main=True), self)
        self.stopper = ButtonTile(Button(press="Esc", text=_("Stop")), self)

    # --- view ----------------------------------------------------------------------------------

    def fill(self, view: RecordsView) -> None:
        """Take up the fields of a view, or put those before away."""
        for box in self.boxes:
            box.hide()
            box.deleteLater()
        self.boxes = [
            ChoiceBox(field, self) if field.kind is FieldKind.CHOICE else FieldBox(field, self)
            for field in view.fields
        ]
        for box in self.boxes:
            box.dress(self.look)
            box.show()

    def show_view(self, view: RecordsView, sheet: SheetView) -> None:
        """Show what a view says; `sheet` is the paper, of the row under the cursor if any."""
        turned = view.stage is not self.shown.stage or view.asked != self.shown.asked
        if turned:
            self.fill(view)
        self.shown = view
        self.title.put(Heading(view.title, view.detail))
        self.rows.put(Listed(view.rows, self.at, self._empty_text(view)))
        self.rows_head.put(LinesShown((view.rows_text,) if view.rows_text else ()))
        done = view.stage is RecordsStage.DONE
        self.lines.put(LinesShown(view.lines, large=done))
        self.work.put(WorkShown(view.share, view.progress_text, _work_note(view)))
        self.main.put(Button(press="Ctrl+Enter", text=view.main_text, main=True))
        note = view.note or (_move_text() if view.stage is RecordsStage.HOME else "")
        self.foot.put(LinesShown((note,) if note else ()))
        self.show_sheet(
            SheetShown(title=sheet.title, remark=sheet.remark, name=sheet.name, pairs=sheet.pairs)
        )
        self.message.put(self.problem or view.error)
        if turned or self.message.isHidden() is bool(self.message.value):
            self.place()
        self.show_keys()

    def show_keys(self) -> None:
        """The strip for where the focus is."""
        self.show_frame(Bar(place=_("Records")), Keys(hints=tuple(self._hints(self.shown))))

    @staticmethod
    def _empty_text(view: RecordsView) -> str:
        if view.stage is RecordsStage.HOME:
            return _("B makes one now. The program makes one each day it is open.")
        return view.rows_text

    def _hints(self, view: RecordsView) -> list[KeyHint]:
        """The keys of a stage."""
        help_key = KeyHint(press="F1", text=_("Keys"), action="help")
        back = KeyHint(press="Esc", text=_("Back"), action="leave")
        match view.stage:
            case RecordsStage.HOME:
                hints = [KeyHint(press="B", text=_("Back up now"), action="backup", main=True)]
                if view.rows:
                    hints += [
                        KeyHint(press="Enter", text=_("Look into a backup"), action="choose"),
                        *self._steps(),
                    ]
                return [*hints, back, help_key]
            case RecordsStage.FIND:
                hints = [KeyHint(press="Enter", text=_("Look"), action="choose", main=True)]
                if view.rows:
                    hints = [
                        KeyHint(
                            press="Enter",
                            text=_("What would be erased"),
                            action="choose",
                            main=True,
                        ),
                        *self._steps(),
                    ]
                return [*hints, back, help_key]
            case RecordsStage.WORK:
                stop = KeyHint(press="Esc", text=_("Stop"), action="leave", main=True)
                return [stop, help_key] if view.may_stop else [help_key]
            case RecordsStage.DONE:
                enter = KeyHint(press="Enter", text=_("Go on"), action="leave", main=True)
                more = KeyHint(press="PgDown", text=_("Further down"), action="further")
                scrolls = len(view.lines) > self.lines.most
                return [enter, more, help_key] if scrolls else [enter, help_key]
            case _:
                hints = [
                    KeyHint(press="Ctrl+Enter", text=view.main_text, action="submit", main=True),
                    KeyHint(press="Enter", text=_("Next field"), action="next"),
                ]
                hints += column_hints(self.boxes, before="before")
                if view.stage in PICKING:
                    hints.append(KeyHint(press="Ctrl+O", text=_("Pick"), action="pick"))
                return [*hints, back, help_key]

    def _steps(self) -> tuple[KeyHint, ...]:
        """Through the rows, as far as they go; before the first is the shop itself."""
        rows = self.rows.value
        before = KeyHint(press="Up", text=_("Before"), action="up")
        after = KeyHint(press="Down", text=_("Next"), action="after")
        here = rows.here if rows.cursor else -1
        return stepping(here, len(rows.rows), before=before, after=after)

    # --- places --------------------------------------------------------------------------------

    def place(self) -> None:
        """Every part in its place for the present stage and size."""
        x, wide, high = self.place_head()
        self.message.setVisible(bool(self.message.value))
        for part, where in self._places(x, wide, high).items():
            part.setVisible(where is not None)
            if where is not None:
                part.setGeometry(self.look.rect(where))

    def _places(self, x: float, wide: float, high: float) -> dict[QWidget, Place | None]:
        stage = self.shown.stage
        places: dict[QWidget, Place | None] = dict.fromkeys(
            (
                *self.tiles.values(),
                *(self.rows, self.rows_head, self.lines, self.work),
                *(self.foot, self.main, self.stopper),
            )
        )
        bottom = high - 12.0
        if stage is RecordsStage.HOME:
            y = self._place_tiles(places, x, wide)
            self._place_list(places, Place(x, y, wide, bottom - NOTE - GAP - y))
            places[self.foot] = Place(x, bottom - NOTE, wide, NOTE)
        elif stage is RecordsStage.FIND:
            y = self._place_boxes(places, x, TOP, wide)
            self._place_list(places, Place(x, y, wide, bottom - y))
        elif stage is RecordsStage.WORK:
            places[self.work] = Place(x, TOP, wide, WORK)
            if self.shown.may_stop:
                places[self.stopper] = Place(x + wide - 300, high - FOOT, 300, 60)
        elif stage is RecordsStage.DONE:
            places[self.lines] = Place(x, TOP, wide, bottom - TOP)
        else:
            lines = LINES if len(self.shown.lines) < 3 else LINES + 52.0
            places[self.lines] = Place(x, TOP, wide, lines)
            self._place_boxes(places, x, TOP + lines + GAP, wide)
            places[self.main] = Place(x + wide - 360, high - FOOT, 360, 60)
        return places

    def _place_tiles(self, places: dict[QWidget, Place | None], x: float, wide: float) -> float:
        half = (wide - 2 * GAP) / 2
        for number, tile in enumerate(self.tiles.values()):
            left = x + (number % 2) * (half + 2 * GAP)
            places[tile] = Place(left, TOP + number // 2 * (TILE + GAP), half, TILE)
        return TOP + (len(self.tiles) + 1) // 2 * (TILE + GAP)

    def _place_boxes(
        self, places: dict[QWidget, Place | None], x: float, y: float, wide: float
    ) -> float:
        for box in self.boxes:
            tall = CHOICE_BOX if isinstance(box, ChoiceBox) else BOX
            places[box] = Place(x, y, wide, tall)
            y += tall + GAP
        return y

    def _place_list(self, places: dict[QWidget, Place | None], room: Place) -> None:
        head = HEAD if self.shown.rows else 0.0
        if head:
            places[self.rows_head] = Place(room.x, room.y + 2, room.width, head)
        places[self.rows] = Place(room.x, room.y + head + 2, room.width, room.height - head - 2)

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        super().dress(look)
        for part in (
            *(self.sheet, self.title, self.message, *self.tiles.values(), *self.boxes),
            *(self.rows, self.rows_head, self.lines, self.work),
            *(self.foot, self.main, self.stopper),
        ):
            part.dress(look)
        self.place()


def _work_note(view: RecordsView) -> str:
    if view.may_stop:
        return _("Work at the bench goes on meanwhile. Esc stops this.")
    return _("This cannot be stopped halfway. It is all of it, or nothing.")


def _move_text() -> str:
    """Moving is by command: it is said where one would look for it."""
    return _("To a server or back: the command benchassist move. Photos stay on this bench")
