"""Which work does which kind of run."""

from collections.abc import Callable
from types import MappingProxyType
from typing import Final

from benchassist.core.run import RunKind
from benchassist.services.runs.drill_work import DrillWork
from benchassist.services.runs.engine_work import EngineWork
from benchassist.services.runs.heat_work import HeatWork
from benchassist.services.runs.tank_work import TankWork
from benchassist.services.runs.work import RunSetting, RunWork

MAKERS: Final[MappingProxyType[RunKind, Callable[[RunSetting], RunWork]]] = MappingProxyType(
    {
        RunKind.HEAT: HeatWork,
        RunKind.ENGINE: EngineWork,
        RunKind.TANK: TankWork,
        RunKind.DRILL: DrillWork,
    }
)


def work_of(setting: RunSetting) -> RunWork:
    """A fresh work for a check's run. Raises InputError for a plan that cannot be run by."""
    return MAKERS[setting.plan.kind](setting)
