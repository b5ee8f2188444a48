"""What the findings show: a pure function of one `FindingsView` and of where the cursor stands."""

from dataclasses import replace

from PySide6.QtWidgets import QWidget

from benchassist.services.findings.view import FindingsAction, FindingsView, Room
from benchassist.services.translation import _
from benchassist.ui.bench_layout import MARGIN, Place
from benchassist.ui.bench_part import Heading
from benchassist.ui.findings_card import (
    SeriesPanel,
    StakeShown,
    StakeTarget,
)
from benchassist.ui.findings_cause import CauseRoom
from benchassist.ui.findings_evidence import EvidenceRoom
from benchassist.ui.findings_form import FindingsForm
from benchassist.ui.findings_keys import hints_of
from benchassist.ui.findings_layout import FrontNeed, front_places, test_width
from benchassist.ui.findings_next import TestShown, TestTarget, test_height
from benchassist.ui.findings_part import (
    Aloud,
    DoneLine,
    FindingsTitle,
    FootLine,
    FootShown,
    Headline,
    aloud_heights,
    foot_height,
    headline_lines,
)
from benchassist.ui.findings_repair import RepairRoom
from benchassist.ui.findings_room import FindingsRoom
from benchassist.ui.findings_row import Causes, Ranked
from benchassist.ui.findings_slim import SlimShown, SlimTarget, press_of, slims_of
from benchassist.ui.findings_stake import StakeRoom
from benchassist.ui.findings_swap import SwapRoom
from benchassist.ui.frame import Bar, Keys
from benchassist.ui.look import Look
from benchassist.ui.message import Message
from benchassist.ui.page import Page
from benchassist.ui.slip_part import SLIP_SHARE, SlipPart, SlipShown

TOP = 64.0
"""Where a room or a form begins, below its title."""
MOST_ALOUD = 2


class FindingsBoard(Page):
    """The slip on the left; on the right the front, one of the rooms, or a form."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view: FindingsView | None = None
        self.at = -1
        self.slip = SlipPart(self)
        self.title = FindingsTitle(self)
        self.message = Message(self)
        self.done = DoneLine(self)
        self.headline = Headline(self)
        self.causes = Causes(self)
        self.foot = FootLine(self)
        self.aloud = Aloud(self)
        self.test = TestTarget(TestShown(), self)
        self.series = SeriesPanel(self)
        self.stake = StakeTarget(StakeShown(), self)
        self.slims = (SlimTarget(SlimShown(), self), SlimTarget(SlimShown(), self))
        self.rooms: dict[Room, FindingsRoom] = {
            Room.CAUSE: CauseRoom(self),
            Room.EVIDENCE: EvidenceRoom(self),
            Room.SWAP: SwapRoom(self),
            Room.STAKE: StakeRoom(self),
            Room.REPAIR: RepairRoom(self),
        }
        self.form = FindingsForm(self)
        self._front = (
            self.headline,
            self.causes,
            self.foot,
            self.aloud,
            self.test,
            self.series,
            self.stake,
            *self.slims,
        )

    @property
    def view(self) -> FindingsView | None:
        """What is shown."""
        return self._view

    # --- view ----------------------------------------------------------------------------------

    def show_view(self, view: FindingsView) -> None:
        """Show a view: each part gets its piece and repaints only if that changed."""
        was, self._view = self._view, view
        if was is None or was.room is not view.room:
            self.at = 0 if view.room is Room.EVIDENCE else -1
        self.slip.put(
            SlipShown(
                head=view.head,
                lines=view.lines,
                current=None,
                hint=view.done_text,
                closed=view.closed,
            )
        )
        self.message.put(self._wrong(view))
        self.done.put("" if self.message.value else view.message)
        self._show_front(view)
        self.form.show_form(view.form)
        room = self.rooms.get(view.room)
        self.title.put(_heading(view, room))
        if room is not None:
            room.put_view(view, self.at)
        if was is not None and was.form is not None and view.form is None:
            self.setFocus()
        self.show_keys()
        self.place()

    def show_keys(self) -> None:
        """The bar above and the strip below."""
        view = self._view
        if view is None:
            return
        bar = Bar(
            place=view.place_text,
            meter=view.meter_text,
            live=view.meter_live,
            note=view.leads_text,
        )
        form = view.form is not None
        hints = self.form.hints() if form else hints_of(view, self.at, self.length(view))
        self.show_frame(bar, Keys(hints=hints))

    def length(self, view: FindingsView) -> int:
        """How many rows the cursor walks over."""
        room = self.rooms.get(view.room)
        return len(view.rows) if room is None else room.length(view)

    def _wrong(self, view: FindingsView) -> str:
        """What the last key could not do, else what is not on disk."""
        return self.problem or view.banner

    def _show_front(self, view: FindingsView) -> None:
        self.headline.put("" if view.named else view.named_text)
        self.causes.put(
            Ranked(
                rows=view.rows,
                cause_label=view.cause_label,
                against_label=view.against_label,
                for_label=view.for_label,
                strength_label=view.strength_label,
                named_text=view.named_text,
                empty_text=view.empty_text,
                cursor=self.at if view.room is Room.FRONT else -1,
            )
        )
        self.aloud.put(view.said_aloud[:MOST_ALOUD])
        self.test.put(
            TestShown(test=view.test, empty_text=view.no_test_text, others=view.other_tests)
        )
        self.series.put(view.series)
        self.stake.put(StakeShown(card=view.stake, press=press_of(view, FindingsAction.OPEN_STAKE)))
        for slim, shown in zip(self.slims, slims_of(view), strict=True):
            slim.put(shown)

    # --- places --------------------------------------------------------------------------------

    def place(self) -> None:
        """Place every part for the present view and size."""
        view = self._view
        if view is None:
            return
        look, high = self.look, self.height() / self.look.s
        left = self.units_wide * SLIP_SHARE
        wide = self.units_wide - left
        self.slip.setGeometry(look.rect(Place(0, 0, left, high)))
        front = view.room is Room.FRONT and view.form is None
        for part in self._front:
            part.setVisible(front)
        for key, room in self.rooms.items():
            room.setVisible(view.form is None and key is view.room)
        if front:
            self._place_front(view, left, wide, high)
            return
        told = bool(self.message.value or self.done.value)
        self._place_told(Place(left + MARGIN, 4, wide - 2 * MARGIN, 32) if told else None)
        y = 38.0 if told else 8.0
        title_high = 30.0 if told else 50.0
        self.title.setGeometry(look.rect(Place(left + MARGIN, y, wide - 2 * MARGIN, title_high)))
        body = Place(left + MARGIN, TOP + 8, wide - 2 * MARGIN, high - TOP - 20)
        inside: QWidget | None = self.form if view.form is not None else self.rooms.get(view.room)
        if inside is not None:
            inside.setGeometry(look.rect(body))

    def _place_told(self, place: Place | None) -> None:
        """A problem inverted, or what was done, in the same place."""
        for part in (self.message, self.done):
            shown = place is not None and bool(part.value)
            part.setVisible(shown)
            if shown and place is not None:
                part.setGeometry(self.look.rect(place))

    def _place_front(self, view: FindingsView, left: float, wide: float, high: float) -> None:
        inner = wide - 2 * MARGIN
        slims = [slim for slim in self.slims if slim.value.text]
        need = FrontNeed(
            message=bool(self.message.value or self.done.value),
            headline=headline_lines(self.headline.value, inner),
            rows=len(view.rows),
            named=bool(view.rows) and view.rows[0].named,
            aloud=sum(aloud_heights(self.aloud.value, inner)),
            foot=foot_height(self._foot_of(view, 0, len(view.rows)), inner),
            slims=len(slims),
            test=view.test is not None,
            series=view.series is not None,
            stake=view.stake is not None,
            series_drawn=view.series is not None and bool(view.series.parts),
            stake_drawn=view.stake is not None and view.stake.break_even is not None,
        )
        at = front_places(wide, _with_card(view, need, wide), high)
        if at.test.height < test_height(view.test, at.test.width):
            need = replace(need, long=True)
            at = front_places(wide, _with_card(view, need, wide), high)
        self._place_told(_moved(at.message, left))
        for part, place in (
            (self.title, at.title),
            (self.headline, at.headline),
            (self.causes, at.causes),
            (self.foot, at.foot),
            (self.aloud, at.aloud),
            (self.test, at.test),
            (self.series, at.series),
            (self.stake, at.stake),
        ):
            moved = _moved(place, left)
            part.setVisible(moved is not None)
            if moved is not None:
                part.setGeometry(self.look.rect(moved))
        for slim in self.slims:
            slim.setVisible(bool(slim.value.text))
        for slim, place in zip(slims, at.slims, strict=True):
            slim.setGeometry(self.look.rect(_there(place, left)))
        self.causes.lay_out()
        above = self.causes.first
        below = len(view.rows) - above - len(self.causes.items())
        self.foot.put(self._foot_of(view, above, below))

    def _foot_of(self, view: FindingsView, above: int, below: int) -> FootShown:
        more = ""
        if above and below:
            more = _("{above} above, {below} below").format(above=above, below=below)
        elif above or below:
            more = _("{n} more: {key}").format(
                n=above or below, key=_("Up") if above else _("Down")
            )
        return FootShown(more=more, other=view.other_text, weights=view.weights_text)

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        super().dress(look)
        for part in (self.slip, self.title, self.message, self.done, *self._front):
            part.dress(look)
        for room in self.rooms.values():
            room.dress(look)
        self.form.dress(look)
        self.place()


def _with_card(view: FindingsView, need: FrontNeed, wide: float) -> FrontNeed:
    """The same, with what the test's card needs at the width it gets."""
    return replace(need, card=test_height(view.test, test_width(wide, need)))


def _heading(view: FindingsView, room: FindingsRoom | None) -> Heading:
    if view.form is not None:
        return Heading(view.form.title, "")
    return room.heading(view) if room is not None else Heading(view.title, view.legend)


def _there(place: Place, left: float) -> Place:
    return Place(place.x + left, place.y, place.width, place.height)


def _moved(place: Place | None, left: float) -> Place | None:
    return None if place is None else _there(place, left)
