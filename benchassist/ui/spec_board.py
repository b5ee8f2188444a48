"""What the page of the spec book shows: the figure as it stands on the left, list or form right."""

from typing import Any

from PySide6.QtWidgets import QWidget

from benchassist.services.bench.view import KeyHint
from benchassist.services.desk import FieldKind, SpecForm, SpecView
from benchassist.services.spec.view import PartState, PartsView
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
from benchassist.ui.scroll_list import Listed
from benchassist.ui.spec_bin import Bin
from benchassist.ui.spec_part import Figures, FindBox, Wrong, WrongShown
from benchassist.ui.tile import Button, ButtonTile

TOP, FOOT = 92.0, 72.0
FIND, BOX, CHOICE_BOX, GAP = 76.0, 70.0, 78.0, 8.0
NOTE = 30.0
SHOWN_FAULTS = 4
"""Faults in view at most; the first is to be put right first."""


def frozen_text() -> str:
    """What a change does not touch."""
    return _("Open visits keep what they began with. New visits use the book as it stands.")


class SpecBoard(FormPage):
    """The parts of the page, filled and placed; with a form they are its fields."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Heading(_("Spec book"), _("bands, causes, accuracies")), parent)
        self.finder = FindBox(self)
        self.figures = Figures(self)
        self.wrong = Wrong(self)
        self.said = Wrong(self)
        self.keeper = ButtonTile(Button(press="Ctrl+Enter", text=_("Keep it"), main=True), self)
        self.restorer = ButtonTile(Button(press="Ctrl+R", text=_("As shipped")), self)
        self.bin = Bin(self)
        self.boxes: list[FieldBox | ChoiceBox] = []
        self.form: SpecForm | None = None
        self.parts: PartsView | None = None
        """The parts behind a figure, while they are looked at."""
        self.shown = SpecView()

    # --- list ----------------------------------------------------------------------------------

    def show_list(self, view: SpecView, cursor: str, under: SpecForm | None, said: str) -> None:
        """The figures found; `under` is the one under the cursor as it stands."""
        self.shown = view
        self.title.put(Heading(_("Spec book"), _("bands, causes, accuracies")))
        self.finder.put(view.found_text)
        nothing = _("Nothing found. Type less of it: every word narrows the search.")
        self.figures.put(Listed(view.rows, cursor, nothing))
        self.said.put(WrongShown(fine=said or frozen_text()))
        self._show_sheet(under)
        if not self.problem and view.faults:
            more = len(view.faults) - 1
            text = _("Left out: {fault}").format(fault=view.faults[0])
            self.message.put(f"{text} {_('({n} more)').format(n=more)}" if more else text)
            self.message.setVisible(True)
        hints = [
            KeyHint(press="Enter", text=_("Change it"), action="choose", main=True),
            *_steps(self.figures.value),
        ]
        if not view.rows:
            hints = []
        if under is not None and under.can_restore:
            hints.append(KeyHint(press="Ctrl+R", text=_("As shipped"), action="restore"))
        hints += _parts_hint(under)
        if view.undo_text:
            hints.append(KeyHint(press="Ctrl+Z", text=view.undo_text, action="undo"))
        hints.append(KeyHint(press="Esc", text=_("Back"), action="leave"))
        self._show_keys(hints)

    # --- parts ---------------------------------------------------------------------------------

    def show_parts(self, view: PartsView, cursor: str, said: str) -> None:
        """The parts behind a figure, and what they make."""
        self.parts = view
        self.title.put(Heading(_("Good parts"), view.detail if len(view.detail) < 24 else ""))
        self.bin.show_parts(view, cursor, said)
        self.show_sheet(
            SheetShown(title=_("What they say"), name=view.title, line="", pairs=view.pairs)
        )
        under = next((one for one in view.rows if one.key == cursor), None)
        hints: list[KeyHint] = []
        if self.bin.asking:
            hints.append(KeyHint(press="Enter", text=_("Set aside"), action="reason", main=True))
            hints.append(KeyHint(press="Esc", text=_("Leave it"), action="leave"))
            self._show_keys(hints)
            return
        if view.adopt_text:
            text = view.adopt_text
            hints.append(KeyHint(press="Ctrl+Enter", text=text, action="keep", main=True))
        if under is not None and (under.aside or under.state is not PartState.LEFT_OUT):
            text = _("Count it again") if under.aside else _("Set aside")
            hints.append(KeyHint(press="X", text=text, action="aside"))
        if view.rows:
            hints += _steps(self.bin.rows.value)
        hints.append(KeyHint(press="Esc", text=_("Back"), action="leave"))
        self._show_keys(hints)

    # --- form ----------------------------------------------------------------------------------

    def fill(self, form: SpecForm | None) -> None:
        """Take up a form, or put it away."""
        self.form = form
        for box in self.boxes:
            box.hide()
            box.deleteLater()
        fields = form.fields if form is not None else ()
        written = [FieldBox(f, self) for f in fields if f.kind is not FieldKind.CHOICE]
        chosen = [ChoiceBox(f, self) for f in fields if f.kind is FieldKind.CHOICE]
        self.boxes = [*written, *chosen]
        for box in self.boxes:
            box.dress(self.look)
            box.show()
        self.place()

    def show_form(self, form: SpecForm, faults: tuple[str, ...]) -> None:
        """The form with what is wrong in it."""
        self.title.put(Heading(form.title, form.detail if len(form.detail) < 24 else ""))
        shown = faults[:SHOWN_FAULTS]
        self.wrong.put(WrongShown(shown, f"{_('Nothing wrong with it.')} {form.after_text}"))
        self._show_sheet(form)
        hints = [
            KeyHint(press="Ctrl+Enter", text=_("Keep it"), action="keep", main=True),
            KeyHint(press="Enter", text=_("Next field"), action="next"),
        ]
        hints += column_hints(self.boxes, before="before", choose=_("Source"))
        if form.can_restore:
            hints.append(KeyHint(press="Ctrl+R", text=_("As shipped"), action="restore"))
        hints += _parts_hint(form)
        hints.append(KeyHint(press="Esc", text=_("Leave it as it was"), action="leave"))
        self._show_keys(hints)

    def _show_sheet(self, form: SpecForm | None) -> None:
        if form is None:
            self.show_sheet(SheetShown(title=_("As it stands")))
            return
        self.show_sheet(
            SheetShown(
                title=_("As it stands"),
                remark=_("the shop’s own") if form.own else _("shipped"),
                name=form.title,
                pairs=(*_places(form), *form.pairs),
            )
        )

    def _show_keys(self, hints: list[KeyHint]) -> None:
        hints.append(KeyHint(press="F1", text=_("Keys"), action="help"))
        note = "" if self.form is not None else _("The shipped files stay")
        self.show_frame(Bar(place=_("Spec book")), Keys(hints=tuple(hints), note=note))

    # --- places --------------------------------------------------------------------------------

    def place(self) -> None:
        """The list under its box, or the fields with the faults under them."""
        look, form = self.look, self.form
        x, wide, high = self.place_head()
        bottom = high - 12.0
        y = TOP
        for box in self.boxes:
            tall = CHOICE_BOX if isinstance(box, ChoiceBox) else BOX
            box.setGeometry(look.rect(Place(x, y, wide, tall)))
            y += tall + GAP
        asks, looks = form is not None, self.parts is not None
        lists = not asks and not looks
        list_top = TOP + FIND + GAP
        for part, where in (
            (self.bin, Place(x, TOP, wide, bottom - TOP) if looks else None),
            (self.finder, Place(x, TOP, wide, FIND) if lists else None),
            (
                self.figures,
                Place(x, list_top, wide, bottom - NOTE - GAP - list_top) if lists else None,
            ),
            (self.said, Place(x, bottom - NOTE, wide, NOTE) if lists else None),
            (self.wrong, Place(x, y + GAP, wide, high - FOOT - y - 2 * GAP) if asks else None),
            (self.keeper, Place(x + wide - 300, high - FOOT, 300, 60) if asks else None),
            (
                self.restorer,
                Place(x, high - FOOT, 300, 60) if form is not None and form.can_restore else None,
            ),
        ):
            part.setVisible(where is not None)
            if where is not None:
                part.setGeometry(look.rect(where))

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        super().dress(look)
        for part in (
            *(self.sheet, self.title, self.message, self.finder, self.figures, self.wrong),
            *(self.said, self.keeper, self.restorer, self.bin, *self.boxes),
        ):
            part.dress(look)
        self.place()


def _steps(listed: Listed[Any]) -> tuple[KeyHint, ...]:
    """Through a list, as far as it goes."""
    before = KeyHint(press="Up", text=_("Before"), action="before")
    after = KeyHint(press="Down", text=_("Next"), action="after")
    return stepping(listed.here, len(listed.rows), before=before, after=after)


def _parts_hint(form: SpecForm | None) -> tuple[KeyHint, ...]:
    """The way to the shop's own parts, where any was marked."""
    if form is None or not form.parts_text:
        return ()
    return (KeyHint(press="Ctrl+G", text=form.parts_text, action="parts"),)


def _places(form: SpecForm) -> tuple[tuple[str, str], ...]:
    """What the figure belongs to, from the wide to the narrow."""
    return tuple(pair for pair in ((_("In"), form.sheet), (_("Of"), form.detail)) if pair[1])
