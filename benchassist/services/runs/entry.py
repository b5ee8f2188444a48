"""Marks and findings of a run as entries of the visit."""

from dataclasses import replace

from benchassist.core.entry import RunEnded, RunMarked, Stamp
from benchassist.core.run_finding import (
    Doubt,
    DrillFinding,
    EngineFinding,
    Finding,
    HeatFinding,
    TankFinding,
)
from benchassist.services.runs.clock import clock_text
from benchassist.services.runs.work import Draft
from benchassist.services.translation import _


def marked(stamp: Stamp, *, check_key: str, run_id: str, draft: Draft) -> RunMarked:
    """A mark of a run."""
    return RunMarked(
        stamp=stamp,
        check_key=check_key,
        run_id=run_id,
        t_s=draft.t_s,
        kind=draft.kind,
        value=draft.value,
        resolution=draft.resolution,
        text=draft.text,
    )


def ended(
    stamp: Stamp, *, check_key: str, run_id: str, finding: Finding, cut: bool = False
) -> RunEnded:
    """The end of a run; `cut` goes among the finding's doubts."""
    if cut and not isinstance(finding, DrillFinding):
        finding = replace(finding, doubts=(*finding.doubts, Doubt.CUT))
    return RunEnded(
        stamp=stamp,
        check_key=check_key,
        run_id=run_id,
        heat=finding if isinstance(finding, HeatFinding) else None,
        engine=finding if isinstance(finding, EngineFinding) else None,
        tank=finding if isinstance(finding, TankFinding) else None,
        drill=finding if isinstance(finding, DrillFinding) else None,
        cut=cut,
    )


def cut_text(length: float) -> str:
    """That a run was cut, and when in it."""
    text = _("The run was cut at {time}; what was logged is kept")
    return text.format(time=clock_text(length))
