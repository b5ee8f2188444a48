"""The bench: a pure function of one `BenchView`, and every key of the visit.

The page holds no state of the visit. What is its own: the big view, the strip of the last minute,
and the text being typed.
"""

from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from benchassist.core.slip import Ink
from benchassist.services.bench_view import Ask, BenchView, KeyHint, NumberState
from benchassist.services.desk import Action, BenchDesk
from benchassist.services.translation import _
from benchassist.ui.answers import Answers, Fixes
from benchassist.ui.bench_layout import MARGIN, PANEL, BenchPlaces, Need, Place, bench_places
from benchassist.ui.bench_part import (
    CautionPanel,
    CautionRow,
    Cautions,
    Heading,
    Instructions,
    Lines,
    PanelShown,
    Ribbon,
    RulerPanel,
    Sketch,
    Title,
    VerdictRow,
    VerdictShown,
    caution_panel_height,
)
from benchassist.ui.entry import ENTRY_HEIGHT, EntryLine, EntryShown
from benchassist.ui.frame import Bar, Keys
from benchassist.ui.key_map import action_of, hint_for, split_action
from benchassist.ui.look import Look
from benchassist.ui.message import Message
from benchassist.ui.number_block import PAD, NumberBlock, NumberShown
from benchassist.ui.page import Page, Turn
from benchassist.ui.slip_part import SLIP_SHARE, SlipPart

BIG_ENTRY = 1.6
"""How much larger the line of text is in the big view."""
STARTS_TYPING = frozenset("0123456789.,")
TYPES_AT_ONCE = frozenset({NumberState.NO_METER, NumberState.TYPED, NumberState.STALE})
"""States in which a digit pressed is the first of a typed reading."""


class BenchPage(Page):
    """A visit under work."""

    cued = Signal(str)
    """'taken' when a reading has just turned to ink."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk: BenchDesk | None = None
        self._view: BenchView | None = None
        self._stood: tuple[object, ...] | None = None
        self.big = False
        self.strip_shown = False
        self.slip = SlipPart(self)
        self.ribbon = Ribbon(self)
        self.title = Title(self)
        self.lines = Lines(self)
        self.message = Message(self)
        self.caution = CautionRow(self)
        self.cautions = CautionPanel(self)
        self.sketch = Sketch(self)
        self.number = NumberBlock(self)
        self.entry = EntryLine(self)
        self.answers = Answers(self)
        self.panel = RulerPanel(self)
        self.verdict = VerdictRow(self)
        self.fixes = Fixes(self)
        self._parts = (
            self.slip,
            self.ribbon,
            self.title,
            self.lines,
            self.message,
            self.caution,
            self.cautions,
            self.sketch,
            self.number,
            self.answers,
            self.panel,
            self.verdict,
            self.fixes,
        )
        self.ribbon.chosen.connect(lambda key: self.act(Action.GOTO, key))
        self.slip.pressed.connect(self._go_to_line)
        self.answers.chosen.connect(lambda press: self.act(Action.CHOOSE, press))
        self.fixes.chosen.connect(lambda press: self.act(Action.FIX, press))
        self.entry.field.entered.connect(self._submit)
        self.entry.field.left.connect(lambda: self.act(Action.CANCEL))
        self.entry.field.textEdited.connect(self._preview)

    @property
    def view(self) -> BenchView | None:
        """What is shown."""
        return self._view

    # --- desk ----------------------------------------------------------------------------------

    def open(self, desk: BenchDesk) -> None:
        """Put a visit on the bench."""
        self._desk, self._view = desk, None
        self.problem, self.strip_shown = "", False
        self.refresh()

    def left(self) -> None:
        """Tell the desk that the bench is out of sight."""
        if self._desk is not None:
            desk = self._desk
            self.attempt(lambda: desk.act(Action.LEAVE))
            self.problem = ""

    def refresh(self) -> None:
        """One tick, one view."""
        desk = self._desk
        if desk is not None:
            desk.tick()
            self.show_view(desk.view())

    def act(self, action: str, argument: str = "") -> None:
        """Hand an action to the desk and show at once what came of it."""
        desk = self._desk
        if desk is None:
            return
        self.attempt(lambda: desk.act(action, argument))
        self.show_view(desk.view())

    # --- keys ----------------------------------------------------------------------------------

    def press(self, press: str) -> bool:
        """Do what a key does on the bench."""
        view = self._view
        if view is None:
            return False
        if press == "Esc":
            self._escape(view)
            return True
        hint = hint_for(press, view.keys)
        if hint is None and self._own(press):
            return True
        found = action_of(press, view)
        types = press in STARTS_TYPING and view.number.state in TYPES_AT_ONCE
        if types and (found is None or found[0] not in {Action.CHOOSE, Action.FIX}):
            self._start_typing(press)
            return True
        if found is None:
            return False
        self._do(*found)
        return True

    def perform(self, action: str) -> None:
        """A key hint was clicked."""
        self._do(*split_action(action))

    def _do(self, action: str, argument: str) -> None:
        match action:
            case "print" | "counter" | "help" | "meters":
                self.turned.emit(Turn(page=action))
            case "big":
                self._own("V")
            case Action.STRIP:
                self._own("S")
            case Action.CHOOSE | Action.FIX if not argument:
                self.setFocus()
            case Action.SUBMIT if not argument:
                self._submit(self.entry.field.text())
            case _:
                self.act(action, argument)

    def _own(self, press: str) -> bool:
        """Keys that change how the bench looks, not the visit."""
        match press:
            case "V":
                self.big = not self.big
                self._stood = None
                self.dress(self.look)
            case "S":
                self.strip_shown = not self.strip_shown
                self.act(Action.STRIP, "on" if self.strip_shown else "off")
            case "P":
                self.turned.emit(Turn(page="print"))
                return True
            case "L":
                self.turned.emit(Turn(page="meters"))
                return True
            case _:
                return False
        if self._view is not None:
            self.show_view(self._view)
        return True

    def take(self) -> None:
        """What the pedal does: take, or enter what has been typed."""
        if self._view is not None and self._view.ask is Ask.TEXT:
            self._submit(self.entry.field.text())
        else:
            self.act(Action.TAKE)

    def _go_to_line(self, number: int) -> None:
        view = self._view
        item = next((i for i in view.ribbon if i.number == number), None) if view else None
        if item is not None:
            self.act(Action.GOTO, item.key)

    def _escape(self, view: BenchView) -> None:
        if view.ask is Ask.TEXT:
            self.act(Action.CANCEL)
        elif self.big:
            self._own("V")
        else:
            self.turned.emit(Turn(page="counter"))

    def _start_typing(self, digit: str) -> None:
        self.act(Action.TYPE)
        if self._view is not None and self._view.ask is Ask.TEXT:
            self.entry.field.setText(digit)
            self._preview(digit)

    def _preview(self, text: str) -> None:
        self.problem = ""
        self.act(Action.PREVIEW, text)

    def _submit(self, text: str) -> None:
        self.act(Action.SUBMIT, text)

    # --- view ----------------------------------------------------------------------------------

    def show_view(self, view: BenchView) -> None:
        """Show a view: each part gets its piece and repaints only if that changed."""
        was, self._view = self._view, view
        typing = view.ask is Ask.TEXT
        self._show_entry(was, view)
        self.slip.put_view(view)
        self.ribbon.put(view.ribbon)
        self.title.put(Heading(view.title, view.step_text))
        self.lines.put(_instructions(view))
        self.message.put(self._message(view))
        self.caution.put(Cautions(view.cautions, view.caution_shorts, self._cautions_in_full(view)))
        self.cautions.put(view.cautions)
        self.sketch.put(view.sketch)
        typed = self.entry.field.text() if view.number.state is NumberState.TYPING else ""
        number = view.number
        if typed and any(c.isalpha() for c in typed):
            number = replace(number, unit="")
        verdict_text = f"{view.verdict_text} {view.so_far_text}".strip()
        self.number.put(
            NumberShown(
                number=number, typed=typed.strip(), bare=typing, big=self.big, verdict=verdict_text
            )
        )
        asking = view.ask in {Ask.LOOK, Ask.OPTION}
        self.answers.put((view.question, view.choices) if asking else ("", ()))
        self.panel.put(PanelShown(view.ruler, view.strip if self.strip_shown else None))
        self.verdict.put(
            VerdictShown(
                verdict=view.verdict,
                side=view.side,
                text=view.verdict_text,
                so_far=view.so_far_text,
                reasons=view.reasons,
            )
        )
        self.fixes.put(view.fixes)
        self._show_frame(view)
        if self._stand(view) != self._stood:
            self.place()
        if was is not None and _turned_to_ink(was, view):
            self.number.flash()
            self.cued.emit("taken")

    def _message(self, view: BenchView) -> str:
        """What is wrong now: what the last key could not do, else what the desk says."""
        return self.problem or view.banner

    def _cautions_in_full(self, view: BenchView) -> bool:
        """Until there is a reading to look at, the panel holds the cautions."""
        ruler = view.ruler
        read = ruler is not None and (ruler.value is not None or ruler.overload)
        return bool(view.cautions) and not (read or self.strip_shown or self.big)

    def _show_entry(self, was: BenchView | None, view: BenchView) -> None:
        asked_before = was is not None and was.ask is Ask.TEXT
        if view.ask is Ask.TEXT:
            same = asked_before and was is not None and was.text_label == view.text_label
            if not same:
                self.entry.field.clear()
            self.entry.put(
                EntryShown(label=view.text_label, hint=view.text_hint, error=view.text_error)
            )
            self.entry.show()
            if not asked_before or not self.entry.field.hasFocus():
                self.entry.field.setFocus()
        else:
            self.entry.hide()
            if asked_before:
                self.entry.field.clear()
                self.setFocus()

    def _show_frame(self, view: BenchView) -> None:
        hints = view.keys
        if hint_for("F1", hints) is None:
            hints = (*hints, KeyHint(press="F1", text=_("Keys"), action="help"))
        self.show_frame(
            Bar(
                place=view.place_text,
                meter=view.meter_text,
                live=view.meter_live,
                note=view.leads_text,
            ),
            Keys(
                hints=hints,
                note=view.keys_note,
                pedal=bool(view.keys_note) and any(hint.pedal for hint in hints),
            ),
        )

    # --- places --------------------------------------------------------------------------------

    def _bench_units(self) -> tuple[float, float]:
        """Left edge and width of the bench, in design units."""
        slip = 0.0 if self.big else self.units_wide * SLIP_SHARE
        return slip, self.units_wide - slip

    def _needed(self, view: BenchView) -> Need:
        wide = self._bench_units()[1] - 2 * MARGIN
        asking = view.ask in {Ask.LOOK, Ask.OPTION}
        panel = PANEL if not asking else 0.0
        if self._cautions_in_full(view):
            panel = caution_panel_height(view.cautions, wide)
        return Need(
            message=bool(self._message(view)),
            caution=bool(view.cautions) and not asking,
            fixes=len(view.fixes),
            answers=len(view.choices) if asking else 0,
            sketch=bool(view.sketch),
            panel=panel,
            verdict=bool(view.verdict_text or view.reasons) or not self._cautions_in_full(view),
            big=self.big,
        )

    def _stand(self, view: BenchView) -> tuple[object, ...]:
        """Everything that places depend on besides the window's size."""
        return self._needed(view), view.ask, view.number.state, view.ruler is None

    def place(self) -> None:
        """Place every part for the present view and size."""
        view = self._view
        if view is None:
            return
        left, wide = self._bench_units()
        need = self._needed(view)
        self._stood = self._stand(view)
        places = bench_places(wide, need, self.height() / self.look.s)
        in_full = self._cautions_in_full(view)
        shows_panel = view.ruler is not None or self.strip_shown
        self.slip.setVisible(not self.big)
        self.slip.setGeometry(self.look.rect(Place(0, 0, left, self.height() / self.look.s)))
        for part, place in (
            (self.ribbon, places.ribbon),
            (self.title, places.title),
            (self.lines, places.lines),
            (self.message, places.message),
            (self.caution, places.caution),
            (self.sketch, places.sketch),
            (self.answers, places.answers),
            (self.panel, None if in_full or not shows_panel else places.panel),
            (self.cautions, places.panel if in_full else None),
            (self.verdict, places.verdict),
            (self.fixes, places.fixes),
        ):
            part.setVisible(place is not None)
            if place is not None:
                part.setGeometry(self.look.rect(replace(place, x=place.x + left)))
        self._place_number(places, left, view)

    def _place_number(self, places: BenchPlaces, left: float, view: BenchView) -> None:
        block = places.number
        self.number.setVisible(block is not None)
        if block is None:
            return
        block = replace(block, x=block.x + left)
        if view.ask is Ask.TEXT:
            high = ENTRY_HEIGHT * (BIG_ENTRY if self.big else 1.0)
            number_high = block.height - high - 4.0
            if view.number.state in {NumberState.NO_METER, NumberState.WAITING}:
                self.number.hide()
                number_high = max(0.0, min(number_high, 24.0))
            entry = Place(block.x, block.y + number_high + 4.0, block.width, high)
            self.entry.setGeometry(self.look.rect(entry))
            self.entry.raise_()
            block = replace(block, height=number_high)
        wide = replace(block, x=block.x - PAD, width=block.width + 2 * PAD)
        self.number.setGeometry(self.look.rect(wide))

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        super().dress(look)
        for part in self._parts:
            part.dress(look)
        entry_scale = BIG_ENTRY if self.big else 1.0
        self.entry.dress(Look(look.palette, look.s * entry_scale))
        self.place()


def _turned_to_ink(was: BenchView, view: BenchView) -> bool:
    """Whether a step that stood in pencil stands in ink now: it is on disk."""
    pencil = {item.key for item in was.ribbon if item.ink is Ink.PENCIL}
    return any(item.key in pencil and item.ink is Ink.INK for item in view.ribbon)


def _instructions(view: BenchView) -> Instructions:
    pairs = ((view.setting_label, view.setting), (view.touch_label, view.touch))
    return Instructions(tuple(pair for pair in pairs if pair[1]))
