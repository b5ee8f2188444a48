"""Logs from elsewhere that were never read: every stage of their page."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from benchassist.core.band import Side, Verdict
from benchassist.core.run_plot import PlotGap, RunPlot
from benchassist.errors import InputError
from benchassist.services.desk import Field, LogView
from benchassist.services.logs.page import LogPage
from benchassist.services.logs.view import FaultRow, LogStage
from benchassist.services.runs.view import EventRow
from benchassist.units import UnitChoice
from tests.paint import run_specimen

ASKS = LogView()
REFUSED = LogView(
    error="cold_coil.csv:1: no column t_s: the header must be t_s,value,unit",
)
READING = LogView(
    stage=LogStage.READING,
    name="cold_coil.csv",
    share=0.43,
    progress="Reading, 43%",
    rows_text="430,000 rows used, 12 left out",
)
PAIRS = (
    ("Holds", "Resistance, 6.52 kΩ to 8.11 kΩ"),
    ("Over", "23 min 40 s, a row about every 0.4 s"),
    ("Read as", "Winding"),
    ("Temperature", "21 °C to 84 °C"),
)
FAULTS = (
    FaultRow(line="12", text="value 'abc' cannot be read: a number or OL would be right"),
    FaultRow(line="40", text="the row ends early: it must hold t_s,value,unit"),
    FaultRow(line="41-1040", text="time goes back from 12.4 s to 0 s, and so on"),
    FaultRow(line="2003", text="unit: 'florin' is no unit this program knows"),
    FaultRow(line="2011", text="value '-5' is below zero"),
    FaultRow(line="2012", text="temperature_c 'warm' is left out: celsius as a number"),
    FaultRow(line="", text="2988 more"),
)
BREAK = LogView(
    stage=LogStage.SHOWN,
    share=1.0,
    log_id="1",
    name="cold_coil.csv",
    pairs=PAIRS,
    rows_text="3,550 rows used, 3,993 left out",
    faults=FAULTS,
    verdict=Verdict.OUT_OF_BAND,
    side=Side.HIGH,
    verdict_text="2 breaks found: at 78 °C, at 82 °C",
    notes=(
        "Copper line from 6.52 kΩ at 20 °C.",
        "2 lone spikes, kept: a clip until they repeat.",
        "Heating and cooling differ by up to 1.2 %.",
    ),
    plot=replace(run_specimen.heat(), now_s=None, end_s=1420.0),
    events_title="What happened",
    events=(
        EventRow(time_text="17:42", title="Open 2.1 s", detail="at 78 °C", number=1, severe=True),
        EventRow(
            time_text="21:05",
            title="Open 3.4 s",
            detail="at 82 °C",
            number=2,
            severe=True,
            t_s=1265.0,
        ),
    ),
)
QUIET = replace(
    BREAK,
    log_id="2",
    pairs=(*PAIRS[:3], ("Temperature", "none")),
    rows_text="3,550 rows used, 0 left out",
    faults=(),
    verdict=None,
    side=None,
    verdict_text="Not reproduced; how hot it was is not known",
    notes=(
        "Slow departure not assessed.",
        "That does not rule the fault out.",
    ),
    plot=replace(run_specimen.typed(), now_s=None, end_s=1420.0),
    events=(),
)
SPEEDS = LogView(
    stage=LogStage.SHOWN,
    share=1.0,
    log_id="3",
    name="orchard_sprayer_new_governor_spring.csv",
    pairs=(
        ("Holds", "Frequency, shown as rpm, 1280 rpm to 3697 rpm"),
        ("Over", "3 min 20 s, a row about every 0.2 s"),
        ("Read as", "pulses per revolution 1, low 1500 rpm, high 3600 rpm"),
        ("Times", "750 rows have the time of the row before: spread evenly"),
    ),
    rows_text="1,000 rows used, 2 left out",
    faults=FAULTS[:2],
    verdict=Verdict.RECORDED,
    verdict_text="High speed 3601 rpm ±4",
    notes=("Low speed 1502 rpm ±6; 3 idle-downs.", "No hunting seen."),
    plot=replace(
        run_specimen.speed(),
        start_s=0.0,
        end_s=200.0,
        now_s=None,
        ago=False,
        gaps=(PlotGap(start_s=20.0, end_s=40.0, text="no rows"),),
    ),
    events_title="What happened",
    events=tuple(
        EventRow(
            time_text=f"{m}:{s:02d}",
            title=f"Idle-down {n}",
            detail="fell in 2.3 s, back in 1.2 s",
            number=n,
            t_s=60.0 * m + s,
        )
        for n, (m, s) in enumerate(((1, 50), (2, 16), (2, 42)), start=1)
    ),
)
MANY = replace(
    BREAK,
    log_id="4",
    rows_text="1,000,000 rows used, 12,345,678 left out",
    faults=tuple(FAULTS[i % 6] for i in range(1000)) + FAULTS[-1:],
    events=tuple(
        EventRow(
            time_text=f"{i}:00", title="Steps down 7.1 %", detail="at 30 °C", number=i, t_s=60.0 * i
        )
        for i in range(1, 23)
    ),
)
LOG_STATES = {
    "refused": REFUSED,
    "reading": READING,
    "break": BREAK,
    "quiet": QUIET,
    "speeds": SPEEDS,
    "many": MANY,
}


class FakeLog:
    """A log that is shown as it is set, and read by nobody."""

    def __init__(self, view: LogView = ASKS) -> None:
        self.shown = view
        self.after: LogView | None = None
        """What the next tick shows."""
        self.opened: list[dict[str, str]] = []
        self.left = 0
        self.looked: list[tuple[str, float, float, int]] = []
        self._form = LogPage(UnitChoice())

    def form(self, answers: Mapping[str, str]) -> tuple[Field, ...]:
        """The real one's."""
        return self._form.form(answers)

    def open(self, answers: Mapping[str, str]) -> None:
        """Write it down; a path must be named."""
        if not answers.get("path"):
            raise InputError("Log file: type its path, or pick one with Ctrl+O")
        self.opened.append(dict(answers))
        self.shown = replace(READING, name=Path(answers["path"]).name)

    def tick(self) -> None:
        """What comes next."""
        if self.after is not None:
            self.shown, self.after = self.after, None

    def view(self) -> LogView:
        """What is set to show."""
        return self.shown

    def window(self, log_id: str, start_s: float, end_s: float, buckets: int) -> RunPlot:
        """The whole plot, whatever stretch is asked for."""
        self.looked.append((log_id, start_s, end_s, buckets))
        assert self.shown.plot is not None
        return self.shown.plot

    def leave(self) -> None:
        """The form again."""
        self.left += 1
        self.shown = ASKS
