"""Keys while a run is on the bench: its answers, its plot, and any free key as a mark."""

from types import MappingProxyType
from typing import Final

from benchassist.services.bench.view import Ask, BenchView
from benchassist.services.desk import Action
from benchassist.services.runs.view import RunStage
from benchassist.ui.key_map import standard_press
from benchassist.ui.plot_key import PlotAct
from benchassist.ui.run_board import asked

PLOT: Final = MappingProxyType(
    {
        "+": PlotAct.CLOSER,
        "=": PlotAct.CLOSER,
        "-": PlotAct.WIDER,
        "PgUp": PlotAct.EVENT_BEFORE,
        "PgDown": PlotAct.EVENT_AFTER,
        "Home": PlotAct.WHOLE,
        "End": PlotAct.NOW,
    }
)
"""What works without the focus on the plot."""
PAN: Final = MappingProxyType({"Left": PlotAct.BACK, "Right": PlotAct.ON})
"""While a run is on, these too: there is no step to go to."""
NEVER_MARKS: Final = frozenset({"Esc", "Tab", "Backtab", "Shift+Tab"})


def plot_act(press: str, view: BenchView) -> PlotAct | None:
    """What a key does to the plot in view, None where it is not the plot's."""
    run = view.run
    if run is None or run.plot is None or not run.plot.tracks or view.ask is Ask.TEXT:
        return None
    if run.stage is RunStage.RUNNING and press in PAN:
        return PAN[press]
    return PLOT.get(press)


def answer(press: str, view: BenchView) -> tuple[str, str] | None:
    """A key that answers what the run or the drill asks."""
    if view.run is None or view.ask is Ask.TEXT:
        return None
    choices = asked(view.run)[1]
    found = next((c.press for c in choices if standard_press(c.press) == press), None)
    return None if found is None else (Action.RUN_ANSWER, found)


def mark(press: str, view: BenchView) -> tuple[str, str] | None:
    """Any key that means nothing else marks the moment while a run is on."""
    run = view.run
    if run is None or run.stage is not RunStage.RUNNING or view.ask is Ask.TEXT:
        return None
    if not press or press in NEVER_MARKS or "+" in press.strip("+") or press.startswith("F"):
        return None
    return Action.RUN_MARK, ""
