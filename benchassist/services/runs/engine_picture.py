"""An engine run's plot, made anew a few times a second at most."""

from collections.abc import Sequence
from typing import Final

from benchassist.core.entry import RunMarked
from benchassist.core.run import MarkKind
from benchassist.core.run_plot import RunPlot
from benchassist.services.runs.engine_log import SpeedLog
from benchassist.services.runs.engine_plot import (
    SHOWN,
    flags_of,
    speed_plot,
    speed_track,
    summary_of,
    typed_rows,
)
from benchassist.services.runs.engine_screen import Found
from benchassist.services.runs.view import RunStage
from benchassist.services.runs.work import RunSetting

EVERY: Final = 0.15
"""Seconds between two pictures while the run is on."""


class SpeedPicture:
    """Keeps the last picture until there is something new to show."""

    def __init__(self, setting: RunSetting, log: SpeedLog) -> None:
        self._setting = setting
        self._log = log
        self._made: tuple[float, tuple[object, ...], RunPlot] | None = None

    def plot(
        self,
        now_s: float,
        stage: RunStage,
        found: Found,
        marks: Sequence[RunMarked],
        *,
        typed: bool,
    ) -> RunPlot:
        """The last ninety seconds while it runs, the whole run once it ended."""
        live = stage is RunStage.RUNNING
        seat = (stage, self._log.count, self._log.pulses, id(found), len(marks))
        if self._made is not None:
            made_at, made_of, plot = self._made
            if made_of == seat and not live:
                return plot
            if live and made_of[0] is stage and 0.0 <= now_s - made_at < EVERY:
                return plot
        plot = self._new(now_s, stage, found, marks, typed=typed)
        self._made = (now_s, seat, plot)
        return plot

    def _new(
        self,
        now_s: float,
        stage: RunStage,
        found: Found,
        marks: Sequence[RunMarked],
        *,
        typed: bool,
    ) -> RunPlot:
        setting, live = self._setting, stage is RunStage.RUNNING
        if typed:
            rows = typed_rows([m for m in marks if m.kind is MarkKind.SPEED])
        else:
            rows = self._log.columns(now_s - SHOWN, now_s) if live else self._log.columns()
        track = speed_track(rows, setting.plan, typed=typed)
        return speed_plot(
            track,
            now_s=now_s,
            stage=stage,
            flags=flags_of(found.finding, found.out, marks, since_s=now_s - SHOWN if live else 0.0),
            gaps=self._log.gaps,
            earlier=setting.earlier,
            summary=summary_of(track, found.finding, setting.units, live=live),
        )
