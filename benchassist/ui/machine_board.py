"""What the page of a machine's file shows: visits on the left, on the right one of its rooms.

A pure function of one `MachinePageView`, of the visit and quantity selected, and of the room.
"""

from PySide6.QtWidgets import QWidget

from benchassist.core.run_plot import RunPlot
from benchassist.services.record.machine_file_view import (
    MachineFileView,
    MachinePageView,
    QuantityCard,
    RunsView,
)
from benchassist.services.translation import _
from benchassist.ui.bench_layout import MARGIN, Place
from benchassist.ui.bench_part import Heading, Title
from benchassist.ui.entry import ENTRY_HEIGHT, EntryLine, EntryShown
from benchassist.ui.frame import Bar, Keys
from benchassist.ui.live_plot import LivePlot
from benchassist.ui.look import Look
from benchassist.ui.machine_detail import QuantityDetail
from benchassist.ui.machine_keys import hints_of
from benchassist.ui.machine_laid import ROW as RUN_ROW
from benchassist.ui.machine_laid import RunLegend
from benchassist.ui.machine_part import (
    MachineHead,
    MachineHeading,
    PartList,
    PartsShown,
    SaidLine,
)
from benchassist.ui.machine_quantity import Quantities, QuantitiesShown
from benchassist.ui.machine_room import MachineRoom
from benchassist.ui.machine_rows import QuantityShown
from benchassist.ui.machine_visits import Visits, VisitsShown
from benchassist.ui.message import Message, room_for
from benchassist.ui.page import Page
from benchassist.ui.photo_strip import STRIP_HIGH, PhotoStripPart, StripShown
from benchassist.ui.slip_part import SLIP_SHARE

HEAD = 84.0
TOP = 8.0
SAID = 30.0
MOST_RUNS = 4
NO_PLOT = 44.0
NO_PHOTOS = 74.0
"""Height of the strip while there are none: a place to drop one on."""


class MachineBoard(Page):
    """The parts of the page, filled from a view and placed for it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view = MachinePageView()
        self.room = MachineRoom.FRONT
        self.visit_id = ""
        """The visit that is selected."""
        self.at = ""
        """The check of the quantity that is selected."""
        self.part_at = 0
        self.asking = ""
        """What a line of text is typed for: 'note' or 'aside'; empty while none is."""
        self.visits = Visits(self)
        self.message = Message(self)
        self.head = MachineHead(self)
        self.quantities = Quantities(self)
        self.photos = PhotoStripPart(self)
        self.said = SaidLine(self)
        self.title = Title(self)
        self.detail = QuantityDetail(self)
        self.parts = PartList(self)
        self.plot = LivePlot(self)
        self.no_plot = SaidLine(self)
        self.legend = RunLegend(self)
        self.entry = EntryLine(self)
        self.entry.hide()
        self._parts = (
            self.visits,
            self.message,
            self.head,
            self.quantities,
            self.photos,
            self.said,
            self.title,
            self.detail,
            self.parts,
            self.plot,
            self.no_plot,
            self.legend,
            self.entry,
        )

    @property
    def view(self) -> MachinePageView:
        """What is shown."""
        return self._view

    @property
    def card(self) -> QuantityCard | None:
        """The quantity that is selected."""
        cards = self._view.file.quantities if self._view.file is not None else ()
        return next((card for card in cards if card.check_key == self.at), None)

    # --- view -----------------------------------------------------------------------------------

    def show_view(self, view: MachinePageView) -> None:
        """Show a view: each part gets its piece and repaints only if that changed."""
        self._view = view
        self.message.put(self.wrong(view))
        self.said.put("" if self.message.value else view.said)
        strip = view.photos
        if strip is not None:
            self.photos.put(StripShown(strip, dragged=self.photos.value.dragged))
        if view.file is not None:
            self._show_file(view.file)
        else:
            self.visits.put(VisitsShown(empty_text=view.busy_text))
        self._show_runs(view.runs)
        self._show_title(view)
        self.show_keys()
        self.place()

    def wrong(self, view: MachinePageView) -> str:
        """What the last key could not do, else what could not be read or kept."""
        photos = view.photos.trouble if view.photos is not None else ""
        return self.problem or view.trouble or photos

    def _show_file(self, file: MachineFileView) -> None:
        ids = [card.visit_id for card in file.visits]
        if self.visit_id not in ids:
            self.visit_id = ids[0] if ids else ""
        keys = [card.check_key for card in file.quantities]
        if self.at not in keys:
            self.at = keys[0] if keys else ""
        self.visits.put(
            VisitsShown(
                visits=file.visits,
                visit_id=self.visit_id,
                foot=" ".join(
                    t for t in (file.parts_text, _("F lists them.") if file.parts else "") if t
                ),
                unread=file.unread_text,
                empty_text=_("No visit yet."),
            )
        )
        self.quantities.put(
            QuantitiesShown(
                cards=file.quantities,
                at=self.at,
                visit_id=self.visit_id,
                empty_text=_("Nothing was measured yet. What is taken in a visit shows here."),
            )
        )
        self._show_head(file)
        card = self.card
        self.detail.put(QuantityShown(card, visit_id=self.visit_id) if card is not None else None)
        parts = tuple(reversed(file.parts))
        self.part_at = max(0, min(self.part_at, len(parts) - self.parts.fits))
        self.parts.put(PartsShown(parts=parts, first=self.part_at, visit_id=self.visit_id))

    def _show_head(self, file: MachineFileView) -> None:
        """Which quantities are in view depends on the room they have."""
        line = " · ".join(t for t in (file.unit_text, file.visits_text) if t)
        place = self.quantities.place_text
        self.head.put(MachineHeading(file.title, line, file.tag_text, place))

    def _show_runs(self, runs: RunsView | None) -> None:
        if runs is None:
            return
        self.legend.put(runs.rows)
        self.no_plot.put("" if runs.plot is not None else runs.empty_text)
        if runs.plot is not None:
            self.plot.show_plot(runs.plot, self.closer)

    def closer(self, start_s: float, end_s: float, rows: int) -> RunPlot:
        """Detail of the runs; the page knows the desk."""
        raise NotImplementedError

    def _show_title(self, view: MachinePageView) -> None:
        card, runs, file = self.card, view.runs, view.file
        match self.room:
            case MachineRoom.QUANTITY if card is not None:
                unit = " ".join(t for t in (card.unit_text, card.corrected_text) if t)
                self.title.put(Heading(card.title, unit))
            case MachineRoom.RUNS if runs is not None:
                self.title.put(Heading(runs.title, runs.place_text))
            case MachineRoom.PARTS if file is not None:
                self.title.put(Heading(_("Parts fitted"), file.tag_text))
            case _:
                self.title.put(Heading())

    def show_keys(self) -> None:
        """The bar above and the strip below."""
        view = self._view
        hints = hints_of(
            view,
            self.room,
            asking=bool(self.asking),
            card=self.card,
            visit_id=self.visit_id,
            further=self.parts.more_below,
            plot=self.plot,
        )
        bar = Bar(place=_("Machine file"), meter=view.meter_text, live=view.meter_live)
        self.show_frame(bar, Keys(hints=hints))

    def ask(self, what: str, label: str, hint: str) -> None:
        """Wait for a line of text."""
        self.asking = what
        self.entry.field.clear()
        self.entry.put(EntryShown(label=label, hint=hint))
        self.place()
        self.entry.field.setFocus()
        self.show_keys()

    def stop_asking(self) -> None:
        """No line is typed any more."""
        self.asking = ""
        self.place()
        self.setFocus()
        self.show_keys()

    # --- places ---------------------------------------------------------------------------------

    def place(self) -> None:
        """Every part in its place for the present room and size."""
        look = self.look
        high = self.height() / look.s
        left = self.units_wide * SLIP_SHARE
        x, wide = left + MARGIN, self.units_wide - left - 2 * MARGIN
        self.visits.setGeometry(look.rect(Place(0.0, 0.0, left, high)))
        for part, where in self._places(x, wide, high).items():
            part.setVisible(where is not None)
            if where is not None:
                part.setGeometry(look.rect(where))
        if self._view.file is not None:
            self._show_head(self._view.file)

    def _places(self, x: float, wide: float, high: float) -> dict[QWidget, Place | None]:
        there = self._view.file is not None
        front = there and self.room is MachineRoom.FRONT
        told = room_for(self.message.value, wide)
        top = TOP + (told + 4.0 if told else 0.0)
        foot = high - 12.0
        entry = Place(x, foot - ENTRY_HEIGHT, wide, ENTRY_HEIGHT) if self.asking else None
        if entry is not None:
            foot = entry.y - 8.0
        said = None
        if self.said.value and not self.asking:
            said = Place(x, foot - SAID, wide, SAID)
            foot = said.y - 6.0
        photos = None
        strip = self._view.photos
        if front and strip is not None and not self.asking:
            tall = STRIP_HIGH if strip.tiles else NO_PHOTOS
            photos = Place(x, foot - tall, wide, tall)
            foot = photos.y - 8.0
        body_top = top + (HEAD if front else 56.0) + 6.0
        body = Place(x, body_top, wide, foot - body_top)
        rooms = self._room_places(body)
        return {
            self.message: Place(x, 4.0, wide, told) if told else None,
            self.head: Place(x, top, wide, HEAD) if front else None,
            self.title: Place(x, top, wide, 52.0) if there and not front else None,
            self.quantities: body if front else None,
            self.photos: photos,
            self.said: said,
            self.entry: entry,
            **rooms,
        }

    def _room_places(self, body: Place) -> dict[QWidget, Place | None]:
        runs = self._view.runs if self.room is MachineRoom.RUNS else None
        rows = min(MOST_RUNS, len(runs.rows)) if runs is not None else 0
        legend_high = rows * RUN_ROW + 8.0
        plot_high = body.height - legend_high - 10.0
        plot = Place(body.x, body.y, body.width, plot_high) if runs is not None else None
        drawn = runs is not None and runs.plot is not None
        legend_y = body.bottom - legend_high
        if plot is not None and not drawn:
            plot = Place(body.x, body.y, body.width, NO_PLOT)
            legend_y = plot.bottom + 10.0
        return {
            self.detail: body if self.room is MachineRoom.QUANTITY else None,
            self.parts: body if self.room is MachineRoom.PARTS else None,
            self.plot: plot if drawn else None,
            self.no_plot: plot if not drawn else None,
            self.legend: Place(body.x, legend_y, body.width, legend_high)
            if runs is not None
            else None,
        }

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        super().dress(look)
        for part in self._parts:
            part.dress(look)
        self.place()
