"""The runs of a visit, from its entries."""

from benchassist.core.entry import RunEnded, RunMarked, RunStarted
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
