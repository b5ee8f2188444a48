"""What the bench shows: a pure function of one `BenchView`, piece by piece."""

from dataclasses import replace

from PySide6.QtWidgets import QWidget

from benchassist.core.band import Verdict
from benchassist.services.bench.view import Ask, BenchView, NumberState
from benchassist.ui.answers import Answers, Fixes
from benchassist.ui.bench_frame import frame_of, instructions_of
from benchassist.ui.bench_layout import MARGIN, PANEL, BenchPlaces, Need, Place, bench_places
from benchassist.ui.bench_part import (
    Heading,
    Lines,
    PanelShown,
    RulerPanel,
    Sketch,
    Title,
    VerdictRow,
    VerdictShown,
)
from benchassist.ui.caution import CautionPanel, CautionRow, Cautions, caution_panel_height
from benchassist.ui.entry import ENTRY_HEIGHT, ENTRY_LOW, EntryLine, EntryShown
from benchassist.ui.hearing import alarmed, heard_of, turned_to_ink
from benchassist.ui.live_plot import Source
from benchassist.ui.look import Look
from benchassist.ui.message import Message
from benchassist.ui.number_block import PAD, NumberBlock, NumberShown
from benchassist.ui.page import Page
from benchassist.ui.ribbon import Ribbon
from benchassist.ui.run_board import RunBoard, places_of
from benchassist.ui.run_layout import RunNeed
from benchassist.ui.slip_part import SLIP_SHARE, SlipPart

BIG_ENTRY = 1.6
"""How much larger the line of text is in the big view."""
LEAST_NUMBER = 48.0
"""A number lower than this is left to the line it is typed in."""


class BenchBoard(Page):
    """The parts of the bench, filled from a view and placed for it.

    Its own are only the big view and whether the strip of the last minute shows.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view: BenchView | None = None
        self._stood: tuple[object, ...] | None = None
        self.big = False
        self.unseen = False
        """While another page was in front: what happened there is not told when one comes back."""
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
        self.run = RunBoard(self)
        self._work = (
            self.lines,
            self.caution,
            self.cautions,
            self.sketch,
            self.number,
            self.answers,
            self.panel,
            self.verdict,
            self.fixes,
        )
        """What a run takes the place of."""
        self._parts = (self.slip, self.ribbon, self.title, self.message, *self._work)

    @property
    def view(self) -> BenchView | None:
        """What is shown."""
        return self._view

    # --- view ----------------------------------------------------------------------------------

    def show_view(self, view: BenchView) -> None:
        """Show a view: each part gets its piece and repaints only if that changed."""
        was, self._view = self._view, view
        typing = view.ask is Ask.TEXT
        self._show_entry(was, view)
        self.slip.put_view(view)
        self.ribbon.put(view.ribbon)
        self.title.put(Heading(view.title, view.step_text))
        self.lines.put(instructions_of(view))
        self.message.put(self._message(view))
        unread = self._cautions_in_full(view) and not view.verdict_text
        self.caution.put(Cautions(view.cautions, view.caution_shorts, unread))
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
        self.run.put_view(view, self.closer)
        self.show_frame(*frame_of(view))
        if self._stand(view) != self._stood:
            self.place()
        if was is not None and not self.unseen:
            self._tell(was, view)

    def _tell(self, was: BenchView, view: BenchView) -> None:
        """What came between two views is heard, and a taken reading flashes."""
        if any(item.verdict is not Verdict.BY_EYE for item in turned_to_ink(was, view)):
            self.number.flash()
        if alarmed(was, view):
            self.run.figures.flash()
        heard = heard_of(was, view)
        if heard is not None:
            self.cued.emit(heard)

    def closer(self, run_id: str) -> Source:
        """Where detail of a run comes from; the page knows the desk."""
        raise NotImplementedError

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
        if view.run is not None:
            return self._run_need(view), view.ask
        return self._needed(view), view.ask, view.number.state, view.ruler is None

    def _run_need(self, view: BenchView) -> RunNeed:
        message, wide = bool(self._message(view)), self._bench_units()[1]
        return self.run.need(view, message=message, wide=wide, big=self.big)

    def place(self) -> None:
        """Place every part for the present view and size."""
        view = self._view
        if view is None:
            return
        left, wide = self._bench_units()
        self._stood = self._stand(view)
        self.slip.setVisible(not self.big)
        self.slip.setGeometry(self.look.rect(Place(0, 0, left, self.height() / self.look.s)))
        self.run.setVisible(view.run is not None)
        if view.run is not None:
            self._place_run(view, left, wide)
            return
        need = self._needed(view)
        places = bench_places(wide, need, self.height() / self.look.s)
        in_full = self._cautions_in_full(view)
        shows_panel = view.ruler is not None or self.strip_shown
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

    def _place_run(self, view: BenchView, left: float, wide: float) -> None:
        """The run takes the place of the work; a line of text stands where its verdict was."""
        height = self.height() / self.look.s
        places = places_of(self._run_need(view), left, wide, height)
        for part in self._work:
            part.hide()
        for head, place in (
            (self.ribbon, places.ribbon),
            (self.title, places.title),
            (self.message, places.message),
        ):
            head.setVisible(place is not None)
            if place is not None:
                head.setGeometry(self.look.rect(place))
        self.run.setGeometry(self.look.rect(Place(left, 0, wide, height)))
        typing = view.ask is Ask.TEXT
        self.run.place(places, typing=typing)
        self.run.lower()
        if typing:
            foot = replace(places.verdict, x=places.verdict.x + left)
            self.entry.setGeometry(self.look.rect(foot))
            self.entry.raise_()

    def _place_number(self, places: BenchPlaces, left: float, view: BenchView) -> None:
        block = places.number
        self.number.setVisible(block is not None)
        if block is None:
            return
        block = replace(block, x=block.x + left)
        if view.ask is Ask.TEXT:
            tight = block.height < ENTRY_HEIGHT + LEAST_NUMBER
            high = (ENTRY_LOW if tight else ENTRY_HEIGHT) * (BIG_ENTRY if self.big else 1.0)
            number_high = block.height - high - 4.0
            silent = view.number.state in {NumberState.NO_METER, NumberState.WAITING}
            if silent or number_high < LEAST_NUMBER:
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
        self.run.dress(look)
        self.place()
