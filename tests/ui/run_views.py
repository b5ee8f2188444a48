"""Invented views of runs in every stage; no run behind them."""

from dataclasses import replace

from benchassist.core.band import Side, Verdict
from benchassist.core.ruler import Ruler
from benchassist.core.run import RunKind
from benchassist.core.slip import Ink
from benchassist.services.bench.view import Ask, BenchView, KeyHint, Number, NumberState
from benchassist.services.runs.view import (
    Cell,
    DrillChoice,
    DrillView,
    EventRow,
    Figure,
    RunKey,
    RunStage,
    RunView,
    Table,
    Tally,
)
from tests.paint import run_specimen
from tests.ui.views import STEADYING, lines, ribbon

OFF_ENGINE = (
    "Part off the engine, free of fuel, ignition off: never ask for ohms on a live ignition."
    " The maker’s manual comes first."
)
BURNS = (
    "Hot metal burns: 95 °C at the surface is the ceiling. Warm box rather than heat gun, and no"
    " heat gun near a tank."
)
CAUTIONS = (OFF_ENGINE, BURNS)
SHORTS = ("Off the engine, ignition off", "95 °C ceiling, no heat gun near fuel")
RUN_KEYS = (
    KeyHint(press="Space", text="Mark a moment", action="run_mark", main=True, pedal=True),
    KeyHint(press="T", text="Temperature", action="run_type"),
    KeyHint(press="N", text="Note", action="note"),
    KeyHint(press="E", text="End the run", action="run_end"),
)


def bench(title: str, number: int, run: RunView, **given: object) -> BenchView:
    """A bench view on a run."""
    view = replace(
        STEADYING,
        lines=lines(8),
        current_line=number - 1,
        ribbon=tuple(
            replace(
                item, current=item.number == number, ink=Ink.INK if item.number < 8 else item.ink
            )
            for item in ribbon(8)
        ),
        title=title,
        step_text=f"Step {number} of 9",
        setting_label="",
        setting="",
        touch_label="",
        touch="",
        cautions=CAUTIONS,
        caution_shorts=SHORTS,
        number=Number(state=NumberState.NO_METER),
        ask=Ask.RUN,
        ruler=None,
        verdict=run.verdict,
        side=run.side,
        verdict_text=run.verdict_text,
        so_far_text="so far",
        reasons=(),
        keys=RUN_KEYS,
        run=run,
    )
    return replace(view, **given)  # type: ignore[arg-type]


EVENTS = (
    EventRow(time_text="0:00", title="Start", detail="6.52 kΩ at 21 °C"),
    EventRow(time_text="6:00", title="Tracking copper", detail="7.20 kΩ at 47 °C", t_s=360.0),
    EventRow(
        time_text="17:42", title="Open 2.1 s", detail="at 76 °C", number=1, severe=True, t_s=1062.0
    ),
    EventRow(
        time_text="21:05", title="Open 3.4 s", detail="at 81 °C", number=2, severe=True, t_s=1265.0
    ),
)
FIGURES = (
    Figure(label="Now. Expected 8.00 to 8.26", digits="8.11", unit="kΩ"),
    Figure(label="Part temperature", digits="84", unit="°C"),
    Figure(label="Time on heat", digits="23:40"),
)
HEAT_READY = bench(
    "Heat run: coil secondary",
    8,
    RunView(
        kind=RunKind.HEAT,
        stage=RunStage.READY,
        figures=(
            Figure(label="Now"),
            Figure(label="Part temperature"),
            Figure(label="Time on heat", digits="0:00"),
        ),
        guide_label="Before it starts:",
        guide="take the part off the engine, clip the meter on, ignition off",
        tally=Tally(label="Cycles", done=0, of=2, text="0 of 2 cycles"),
        main=RunKey(press="Space", text="Start the heat run", action="run_start"),
        notes=("No thermometer linked: T types the part’s temperature now and then.",),
    ),
    keys=(
        KeyHint(press="Space", text="Start", action="run_start", main=True, pedal=True),
        KeyHint(press="T", text="Temperature", action="run_type"),
        KeyHint(press="→", text="Skip", action="skip"),
    ),
)
HEAT_RUNNING = bench(
    "Heat run: coil secondary",
    8,
    RunView(
        kind=RunKind.HEAT,
        stage=RunStage.RUNNING,
        figures=FIGURES,
        guide_label="Now:",
        guide="keep warming, 3 to 5 °C a minute; pull the heat at 95 °C",
        plot=run_specimen.heat(),
        events_title="What happened",
        events=EVENTS,
        verdict=Verdict.OUT_OF_BAND,
        side=Side.HIGH,
        verdict_text="Opens when hot: 76 °C",
        so_far=True,
        notes=("Ribbon: what sound copper reads. Off the engine, fuel-free, ignition off.",),
        main=RunKey(press="C", text="Second cycle", action="run_turn"),
        alarms=2,
        run_id="r1",
    ),
)
HEAT_ALARM = replace(
    HEAT_RUNNING,
    run=replace(
        HEAT_RUNNING.run,
        figures=(replace(FIGURES[0], digits="", unit="", words="Above range"), *FIGURES[1:]),
        alarm="Open now, at 81 °C",
        alarms=3,
    )
    if HEAT_RUNNING.run
    else None,
)
HEAT_ENDED = bench(
    "Heat run: coil secondary",
    8,
    replace(
        HEAT_RUNNING.run,
        stage=RunStage.ENDED,
        figures=(Figure(label="At the end", digits="6.60", unit="kΩ"), *FIGURES[1:]),
        guide_label="",
        guide="",
        verdict_text="Break found at 76 °C, reclosed at 61 °C",
        so_far=False,
        main=RunKey(press="Right", text="Next step", action="skip"),
    )
    if HEAT_RUNNING.run
    else HEAT_READY.run,  # type: ignore[arg-type]
)


def ruler(value: float, low: float, high: float, verdict: Verdict, side: Side | None) -> Ruler:
    """A small ruler of the table."""
    return Ruler(
        low=low, high=high, value=value, doubt=0.05 * high, verdict=verdict, side=side, unit_text=""
    )


def cycle(number: int, fall: float, lowest: float, recover: float) -> tuple[str, tuple[Cell, ...]]:
    """A row of the idle-down table."""

    def cell(text: str, unit: str, value: float, low: float, high: float) -> Cell:
        out = not low <= value <= high
        verdict = Verdict.OUT_OF_BAND if out else Verdict.IN_BAND
        side = (Side.HIGH if value > high else Side.LOW) if out else None
        return Cell(
            text=text,
            unit=unit,
            ruler=ruler(value, low, high, verdict, side),
            verdict=verdict,
            side=side,
        )

    return (
        str(number),
        (
            cell(f"{fall:.1f}", "s", fall, 0.0, 4.0),
            cell(f"{lowest:.0f}", "rpm", lowest, 1350.0, 1650.0),
            cell(f"{recover:.1f}", "s", recover, 0.0, 2.0),
        ),
    )


ENGINE_RUNNING = bench(
    "Engine run: idle-down",
    9,
    RunView(
        kind=RunKind.ENGINE,
        stage=RunStage.RUNNING,
        figures=(Figure(label="Speed now", digits="3610", unit="rpm"),),
        guide_label="Now:",
        guide="throttle back to idle, count two, open it again",
        plot=run_specimen.speed(),
        table=Table(
            headings=("Fall, band under 4 s", "Lowest, band 1350–1650", "Recover, band under 2 s"),
            rows=(
                cycle(1, 2.6, 1520, 1.4),
                cycle(2, 2.7, 1490, 1.5),
                cycle(3, 2.9, 1310, 2.4),
            ),
        ),
        tally=Tally(label="Idle-downs counted", done=3, of=5, text="3 of 5 done"),
        verdict=Verdict.IN_BAND,
        verdict_text="In band",
        so_far=True,
        band_text="high band 3450 to 3750, common practice",
        run_id="r2",
    ),
    cautions=(
        "Run it outdoors: carbon monoxide can kill in minutes. Local code governs.",
        "Guards on, hands clear, eyes and ears protected. The maker’s manual governs.",
    ),
    caution_shorts=("Outdoors only: carbon monoxide kills", "Guards on, hands clear"),
)
ENGINE_ASKS = replace(
    ENGINE_RUNNING,
    run=replace(
        ENGINE_RUNNING.run,
        figures=(Figure(label="Speed now", digits="7220", unit="rpm"),),
        question="7,220 rpm is twice the high band. What does the clamp count?",
        choices=(
            DrillChoice(press="1", text="one pulse a turn: the speed is right"),
            DrillChoice(press="2", text="two pulses a turn: halve it"),
        ),
        table=Table(),
    )
    if ENGINE_RUNNING.run
    else None,
)
DRILL = bench(
    "Quit drill",
    8,
    RunView(
        kind=RunKind.DRILL,
        stage=RunStage.RUNNING,
        figures=(
            Figure(label="Since it died", digits="0:27"),
            Figure(label="Evidence lasts", digits="63", unit="s"),
        ),
        events_title="Found",
        drill=DrillView(
            question="Pull three times. Spark at the tester?",
            detail="Fuel cap still shut, tester on the lead and grounded, clear of the plug hole",
            choices=(
                DrillChoice(press="1", text="spark on every pull"),
                DrillChoice(press="2", text="no spark, or it misses"),
            ),
            done=(EventRow(time_text="0:12", title="Tester on", detail="cap shut"),),
            step_text="2 of 5",
        ),
    ),
)
TANK = bench(
    "Tank run: pump-up",
    9,
    RunView(
        kind=RunKind.TANK,
        stage=RunStage.RUNNING,
        figures=(
            Figure(label="Time", digits="4:12"),
            Figure(label="Last mark", digits="75", unit="psi"),
        ),
        guide_label="Now:",
        guide="press Space as the needle passes 100 psi",
        plot=run_specimen.typed(),
        table=Table(
            headings=("Gauge", "Time", "Free air"),
            rows=(
                ("1", (Cell(text="25", unit="psi"), Cell(text="1:20"), Cell(text="–"))),
                (
                    "2",
                    (Cell(text="50", unit="psi"), Cell(text="2:41"), Cell(text="4.1", unit="cfm")),
                ),
                (
                    "3",
                    (Cell(text="75", unit="psi"), Cell(text="4:12"), Cell(text="4.0", unit="cfm")),
                ),
            ),
        ),
        verdict_text="12 % slower than on 9 Jun 2026",
        so_far=True,
        notes=("Never block, plug or reset the safety valve.",),
        run_id="r3",
    ),
)
HEAT_TYPING = replace(
    HEAT_RUNNING,
    ask=Ask.TEXT,
    text_label="Part temperature",
    text_hint="84, 84 °C or 183 °F. Enter writes it",
)
RUN_STATES = {
    "heat-ready": HEAT_READY,
    "heat-running": HEAT_RUNNING,
    "heat-alarm": HEAT_ALARM,
    "heat-ended": HEAT_ENDED,
    "heat-typing": HEAT_TYPING,
    "engine-running": ENGINE_RUNNING,
    "engine-asks": ENGINE_ASKS,
    "drill": DRILL,
    "tank": TANK,
}
