"""What the page of a log shows: what was read on the left, what came of it on the right."""

from PySide6.QtWidgets import QWidget

from benchassist.services.bench.view import KeyHint
from benchassist.services.logs.view import LogStage, LogView
from benchassist.services.translation import _
from benchassist.ui.bench_layout import Place
from benchassist.ui.bench_part import Heading, VerdictRow, VerdictShown
from benchassist.ui.field_column import column_hints
from benchassist.ui.form_page import FormPage
from benchassist.ui.frame import Bar, Keys
from benchassist.ui.live_plot import LivePlot, Source
from benchassist.ui.log_form import LogForm
from benchassist.ui.log_part import (
    FaultList,
    FaultsShown,
    LogEvents,
    ProgressPanel,
    ProgressShown,
    faults_height,
)
from benchassist.ui.look import Look
from benchassist.ui.paper import SheetShown
from benchassist.ui.plot_hint import event_hints, zoom_hints
from benchassist.ui.run_event import Happened
from benchassist.ui.run_part import Notes
from benchassist.ui.slip_part import SLIP_SHARE
from benchassist.ui.tile import Button, ButtonTile

TOP, FOOT = 100.0, 72.0
VERDICT, NOTES = 52.0, 76.0
FAULTS = 4
"""Faults in view at most, below what was read."""
EVENTS = 264.0


class LogBoard(FormPage):
    """The parts of the page, filled from a view and placed for it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Heading(_("Open a log"), _("of a meter, from a file")), parent)
        self.shown = LogView()
        self.form = LogForm(self)
        self.opener = ButtonTile(Button(press="Ctrl+Enter", text=_("Open it"), main=True), self)
        self.picker = ButtonTile(Button(press="Ctrl+O", text=_("Pick a file")), self)
        self.progress = ProgressPanel(self)
        self.faults = FaultList(self)
        self.verdict = VerdictRow(self)
        self.plot = LivePlot(self)
        self.events = LogEvents(self)
        self.notes = Notes(self)
        self._parts = (
            self.sheet,
            self.title,
            self.message,
            self.form,
            self.opener,
            self.picker,
            self.progress,
            self.faults,
            self.verdict,
            self.plot,
            self.events,
            self.notes,
        )
        self.events.chosen.connect(lambda t: self.plot.jump(float(t)))
        self.plot.viewed.connect(self._follow)

    def _follow(self) -> None:
        cursor = self.plot.reading
        if cursor is not None:
            self.events.follow(cursor.t_s)
        self.show_keys()

    # --- view ----------------------------------------------------------------------------------

    def show_view(self, view: LogView, source: Source | None) -> None:
        """Show what a view says; `source` looks closer at its plot."""
        another = view.log_id != self.shown.log_id
        turned = view.stage is not self.shown.stage or another
        self.shown = view
        if view.stage is LogStage.SHOWN:
            self._show_log(view, source, another=another)
        elif view.stage is LogStage.READING:
            self.progress.put(
                ProgressShown(
                    name=view.name, share=view.share, text=view.progress, rows_text=view.rows_text
                )
            )
        self._show_paper(view)
        self.message.put(self.problem or view.error)
        if turned or self.message.isHidden() is bool(self.message.value):
            self.place()
        self.show_frame(Bar(place=_("Log")), self._keys(view))

    def _keys(self, view: LogView) -> Keys:
        hints = hints_of(view, self.form, self.plot, self.faults)
        return Keys(hints=tuple(hints), note=_note(view))

    def show_keys(self) -> None:
        """The strip for where the focus is, and for what of the plot is in view."""
        self.show_frame(Bar(place=_("Log")), self._keys(self.shown))

    def _show_log(self, view: LogView, source: Source | None, *, another: bool) -> None:
        self.verdict.put(VerdictShown(verdict=view.verdict, side=view.side, text=view.verdict_text))
        self.notes.put(view.notes)
        self.faults.put(FaultsShown(view.rows_text, view.faults))
        self.events.put(Happened(view.events_title, view.events))
        if another:
            self.plot.reset_view()
        if view.plot is not None:
            self.plot.show_plot(view.plot, source)

    def _show_paper(self, view: LogView) -> None:
        if view.stage is LogStage.SHOWN:
            self.title.put(Heading(view.name, _("log from a file")))
            pairs = view.pairs
            if not view.faults:
                pairs = (*pairs, (_("Rows"), view.rows_text))
            self.sheet.put(SheetShown(title=_("What was read"), pairs=pairs))
            return
        self.title.put(Heading(_("Open a log"), _("of a meter, from a file")))
        self.sheet.put(SheetShown(title=_("How it is read"), pairs=self.form.pairs))

    # --- places --------------------------------------------------------------------------------

    def place(self) -> None:
        """Every part in its place for the present stage and size."""
        look, view = self.look, self.shown
        x, wide, high = self.place_head()
        for part, where in self._places(x, wide, high).items():
            part.setVisible(where is not None)
            if where is not None:
                part.setGeometry(look.rect(where))
        self.message.setVisible(bool(self.message.value))
        self.faults.setVisible(view.stage is LogStage.SHOWN and bool(view.faults))

    def _places(self, x: float, wide: float, high: float) -> dict[QWidget, Place | None]:
        stage, view = self.shown.stage, self.shown
        asks, shows = stage is LogStage.ASK, stage is LogStage.SHOWN
        left = self.units_wide * SLIP_SHARE
        bottom = high - 12.0
        has_events = bool(view.events)
        faults = faults_height(min(len(view.faults), FAULTS))
        plot_wide = wide - (EVENTS + 16.0 if has_events else 0.0)
        top = TOP - 8.0 + VERDICT + 8.0
        plot_high = bottom - NOTES - 8.0 - top
        return {
            self.form: Place(x, TOP, wide, high - TOP - FOOT - 8.0) if asks else None,
            self.opener: Place(x + wide - 300, high - FOOT, 300, 60) if asks else None,
            self.picker: Place(x, high - FOOT, 300, 60) if asks else None,
            self.progress: Place(x, TOP, wide, 146) if stage is LogStage.READING else None,
            self.faults: Place(20, bottom - faults, left - 40, faults) if shows else None,
            self.verdict: Place(x, TOP - 8.0, wide, VERDICT) if shows else None,
            self.plot: Place(x, top, plot_wide, plot_high) if shows else None,
            self.events: Place(x + wide - EVENTS, top, EVENTS, plot_high)
            if shows and has_events
            else None,
            self.notes: Place(x, bottom - NOTES, wide, NOTES) if shows else None,
        }

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        super().dress(look)
        for part in self._parts:
            part.dress(look)
        self.place()


def hints_of(view: LogView, form: LogForm, plot: LivePlot, faults: FaultList) -> list[KeyHint]:
    """The keys of a stage, as far as they lead anywhere from what its parts show."""
    help_key = KeyHint(press="F1", text=_("Keys"), action="help")
    if view.stage is LogStage.ASK:
        return [
            KeyHint(press="Ctrl+Enter", text=_("Open it"), action="open", main=True),
            KeyHint(press="Ctrl+O", text=_("Pick a file"), action="pick"),
            KeyHint(press="Enter", text=_("Next field"), action="next"),
            *column_hints(form.boxes, before="before"),
            KeyHint(press="Esc", text=_("Back"), action="back"),
            help_key,
        ]
    if view.stage is LogStage.READING:
        return [KeyHint(press="Esc", text=_("Stop reading"), action="stop", main=True), help_key]
    hints = [*event_hints(plot), *zoom_hints(plot)]
    if faults.first + FAULTS < len(view.faults):
        hints.append(KeyHint(press="Down", text=_("Faults"), action="faults"))
    return [
        *hints,
        KeyHint(press="O", text=_("Another log"), action="another"),
        KeyHint(press="Esc", text=_("Back"), action="back"),
        help_key,
    ]


def _note(view: LogView) -> str:
    return _("Or drop a file here") if view.stage is LogStage.ASK else ""
