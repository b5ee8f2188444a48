"""The bench while a run is prepared, made or looked at: a pure function of one `BenchView`."""

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from benchassist.services.bench.view import Ask, BenchView, Choice
from benchassist.services.runs.view import RunStage, RunView
from benchassist.ui.answers import Answers
from benchassist.ui.bench_layout import MARGIN, Place
from benchassist.ui.bench_part import VerdictRow, VerdictShown
from benchassist.ui.caution import (
    CAUTION_INSET,
    CautionPanel,
    CautionRow,
    Cautions,
    caution_panel_height,
)
from benchassist.ui.entry import ENTRY_LOW
from benchassist.ui.lettering import Style
from benchassist.ui.live_plot import LivePlot, Source
from benchassist.ui.look import Look
from benchassist.ui.run_event import Events, Happened
from benchassist.ui.run_layout import (
    CAUTION,
    CAUTION_TWICE,
    MAIN,
    NOTES,
    NOTES_TWICE,
    RunNeed,
    RunPlaces,
    run_places,
)
from benchassist.ui.run_part import Figures, Guide, GuideLine, Notes, TallyStrokes
from benchassist.ui.run_table import RunTable, shown_rows
from benchassist.ui.tile import Button, ButtonTile


class RunBoard(QWidget):
    """Everything of a run below ribbon and title; those stay the bench's own."""

    answered = Signal(str)
    """The press of a drill's choice, or of an answer to the question asked."""
    pressed = Signal(str, str)
    """The main key was clicked: action and argument."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._run_id = ""
        self._main = ("", "")
        self.guide = GuideLine(self)
        self.caution = CautionRow(self)
        self.cautions = CautionPanel(self)
        self.figures = Figures(self)
        self.tally = TallyStrokes(self)
        self.plot = LivePlot(self)
        self.events = Events(self)
        self.answers = Answers(self)
        self.table = RunTable(self)
        self.verdict = VerdictRow(self)
        self.notes = Notes(self)
        self.main = ButtonTile(Button(), self)
        self.parts = (
            self.guide,
            self.caution,
            self.cautions,
            self.figures,
            self.tally,
            self.plot,
            self.events,
            self.answers,
            self.table,
            self.verdict,
            self.notes,
            self.main,
        )
        self.answers.chosen.connect(self.answered)
        self.events.chosen.connect(lambda t: self.plot.jump(float(t)))
        self.main.clicked.connect(lambda: self.pressed.emit(*self._main))

    def put_view(self, view: BenchView, source: Callable[[str], Source]) -> None:
        """Show what a view says of its run; `source` looks closer at a run of that id."""
        run = view.run
        if run is None:
            return
        self.guide.put(guide_of(run))
        ready = run.stage is RunStage.READY
        self.caution.put(Cautions(view.cautions, view.caution_shorts, waiting=False))
        self.cautions.put(view.cautions if ready else ())
        self.figures.put(run.figures)
        self.tally.put(run.tally)
        self.events.put(happened_of(run))
        question, choices = asked(run)
        self.answers.put((question, choices))
        self.table.put(run.table)
        self.verdict.put(
            VerdictShown(
                verdict=run.verdict,
                side=run.side,
                text=run.verdict_text,
                so_far=view.so_far_text if run.so_far else "",
                reasons=(run.band_text,) if run.band_text and not _beside_main(run) else (),
            )
        )
        self.notes.put(notes_of(run))
        if run.main is not None:
            self.main.put(Button(press=run.main.press, text=run.main.text, main=True))
            self._main = (run.main.action, run.main.argument)
        if run.run_id != self._run_id:
            self._run_id = run.run_id
            self.plot.reset_view()
        if run.plot is not None:
            deep = run.run_id and run.stage is not RunStage.READY
            self.plot.show_plot(run.plot, source(run.run_id) if deep else None)

    def need(self, view: BenchView, *, message: bool, wide: float, big: bool) -> RunNeed:
        """What the view needs room for on a bench of that width."""
        run = view.run
        if run is None:
            return RunNeed()
        ready = run.stage is RunStage.READY
        full = 0.0
        if ready and view.cautions:
            full = caution_panel_height(view.cautions, wide - 2 * MARGIN) * 1.3
        return RunNeed(
            message=message,
            guide=guide_of(run) != Guide(),
            caution=0.0 if ready else caution_height(view, wide - 2 * MARGIN),
            cautions=full,
            figures=len(run.figures),
            plot=run.plot is not None and bool(run.plot.tracks) and not ready,
            events=bool(happened_of(run).rows) and not big,
            rows=0 if big else shown_rows(run.table),
            tally=run.tally is not None,
            choices=len(asked(run)[1]),
            main=run.main is not None,
            notes=notes_height(run, wide - 2 * MARGIN),
            drill=run.drill is not None,
            entry=ENTRY_LOW if view.ask is Ask.TEXT else 0.0,
            ready=ready,
            big=big,
        )

    def place(self, places: RunPlaces, *, typing: bool) -> None:
        """Put every part where it belongs; a line of text takes the verdict's place."""
        for part, place in (
            (self.guide, places.guide),
            (self.caution, places.caution),
            (self.cautions, places.cautions),
            (self.figures, places.figures),
            (self.tally, places.tally),
            (self.plot, places.plot),
            (self.events, places.events),
            (self.answers, places.answers),
            (self.table, places.table),
            (self.verdict, None if typing else places.verdict),
            (self.notes, places.notes),
            (self.main, places.main),
        ):
            part.setVisible(place is not None)
            if place is not None:
                part.setGeometry(self.guide.look.rect(place))

    def dress(self, look: Look) -> None:
        """Dress every part."""
        for part in self.parts:
            part.dress(look)


def caution_height(view: BenchView, wide: float) -> float:
    """One row where the cautions' few words can be read on it, else two; 0 where there are none."""
    if not view.cautions:
        return 0.0
    text = " · ".join(view.caution_shorts or view.cautions)
    fits = Style(px=20, weight=600, color="#000000").width(text) <= wide - CAUTION_INSET
    return CAUTION if fits else CAUTION_TWICE


def guide_of(run: RunView) -> Guide:
    """The line at the top."""
    detail = run.drill.detail if run.drill is not None else ""
    return Guide(
        label=run.guide_label,
        text=run.guide or detail,
        warning=run.warning,
        alarm=run.alarm,
    )


def notes_of(run: RunView) -> tuple[str, ...]:
    """The small lines; beside the main key the band has no room by the verdict."""
    if run.band_text and _beside_main(run):
        return (f"{run.band_text}.", *run.notes)
    return run.notes


def notes_height(run: RunView, wide: float) -> float:
    """One row where the notes can be read on it, else two; 0 where there are none."""
    notes = notes_of(run)
    if not notes:
        return 0.0
    left = wide - (MAIN + 16.0 if run.main is not None else 0.0)
    fits = Style(px=15, weight=400, color="#000000").width(" ".join(notes)) <= left
    return NOTES if fits else NOTES_TWICE


def _beside_main(run: RunView) -> bool:
    """Whether a verdict and the main key leave the band no room on their row."""
    return run.main is not None and bool(run.verdict_text)


def happened_of(run: RunView) -> Happened:
    """What happened, or what a drill has found so far."""
    rows = run.drill.done if run.drill is not None else run.events
    title = run.events_title
    return Happened(title, rows)


def asked(run: RunView) -> tuple[str, tuple[Choice, ...]]:
    """The question of the run or of the drill, with its answers."""
    if run.choices:
        question, choices = run.question, run.choices
    elif run.drill is not None and run.stage is RunStage.RUNNING:
        question, choices = run.drill.question, run.drill.choices
    else:
        return "", ()
    return question, tuple(Choice(key=c.press, press=c.press, text=c.text) for c in choices)


def places_of(need: RunNeed, left: float, wide: float, height: float) -> RunPlaces:
    """Places on the page: those of the bench moved right by the slip's width."""
    at = run_places(wide, need, height)

    def moved(place: Place | None) -> Place | None:
        return None if place is None else replace(place, x=place.x + left)

    return replace(
        at,
        message=moved(at.message),
        ribbon=moved(at.ribbon),
        title=replace(at.title, x=at.title.x + left),
    )
