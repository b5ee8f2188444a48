"""What a visit writes down of a run; its samples are kept apart."""

from dataclasses import dataclass

from benchassist.core.accuracy import Accuracy
from benchassist.core.run import MarkKind, RunPlan
from benchassist.core.run_finding import DrillFinding, EngineFinding, HeatFinding, TankFinding
from benchassist.core.stamp import Stamp


@dataclass(frozen=True, slots=True, kw_only=True)
class RunStarted:
    """A run began; its samples are stored apart, under `run_id`. `meter` names what logs it."""

    stamp: Stamp
    check_key: str
    run_id: str
    plan: RunPlan
    meter: str = ""
    thermometer: str = ""
    """What tells the part's temperature: a meter's name, 'typed', or empty for none."""
    accuracy: Accuracy | None = None
    """What was stated of the meter then; None where nothing was."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunMarked:
    """A mark in a run, `t_s` seconds after its start; what `value` and `text` are says MarkKind."""

    stamp: Stamp
    check_key: str
    run_id: str
    t_s: float
    kind: MarkKind
    value: float | None = None
    resolution: float | None = None
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunEnded:
    """A run ended with what it found: exactly one of the findings is there.

    `cut`: the program ended in mid-run, and the finding was made from what was on disk.
    """

    stamp: Stamp
    check_key: str
    run_id: str
    heat: HeatFinding | None = None
    engine: EngineFinding | None = None
    tank: TankFinding | None = None
    drill: DrillFinding | None = None
    cut: bool = False
