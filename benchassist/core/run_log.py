"""The runs of a visit, from its entries."""

from benchassist.core.entry import RunEnded, RunMarked, RunStarted
from benchassist.core.procedure import Check
from benchassist.core.run import RunPlan
from benchassist.core.visit import Visit


def open_run(visit: Visit) -> RunStarted | None:
    """The run that began and has not ended, None if there is none."""
    doors = (e for e in reversed(visit.entries) if isinstance(e, RunStarted | RunEnded))
    last = next(doors, None)
    return last if isinstance(last, RunStarted) else None


def start_of(visit: Visit, run_id: str) -> RunStarted | None:
    """How a run began."""
    runs = (e for e in visit.entries if isinstance(e, RunStarted) and e.run_id == run_id)
    return next(runs, None)


def plan_at(visit: Visit, check: Check) -> RunPlan | None:
    """How a run of a check would be made now, by the application chosen; None for no run."""
    return check.plan(visit.option(check))


def plan_of(visit: Visit, ended: RunEnded) -> RunPlan | None:
    """How an ended run was made: as it was started, else as it would be now."""
    start = start_of(visit, ended.run_id)
    if start is not None:
        return start.plan
    return plan_at(visit, visit.procedure.check(ended.check_key))


def marks_of(visit: Visit, run_id: str) -> tuple[RunMarked, ...]:
    """The marks of a run, in order."""
    return tuple(e for e in visit.entries if isinstance(e, RunMarked) and e.run_id == run_id)


def runs_at(visit: Visit, check_key: str) -> tuple[RunEnded, ...]:
    """The ended runs of a check that are not struck, oldest first."""
    return tuple(
        e
        for e in visit.entries
        if isinstance(e, RunEnded) and e.check_key == check_key and not visit.is_struck(e)
    )
