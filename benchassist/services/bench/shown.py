"""Which reading the bench shows: what is typed, on its way, just taken, live, or what stands."""

from dataclasses import replace

from benchassist.core.band import Verdict
from benchassist.core.entry import Taken
from benchassist.services.bench.bench_prompt import typed_so_far
from benchassist.services.bench.stage import Stage
from benchassist.services.bench.taker import Candidate
from benchassist.services.bench.walk import Walk
from benchassist.services.runs.view import RunStage, RunView


def shown_of(bench: Walk) -> Taken | None:
    """The reading the number block and the ruler show: what stands, is typed, or is live."""
    if bench.stage is not Stage.CHECKS or bench.asking_option():
        return None
    typed = typed_so_far(bench)
    if typed is not None:
        return bench.taker.judged(typed)
    if isinstance(bench.waiting, Taken):
        return bench.waiting
    if isinstance(bench.flash, Taken):
        return bench.flash
    candidate = _candidate(bench)
    if bench.taker.wants_reading():
        return candidate.taken if candidate is not None else None
    latest = bench.visit.latest(bench.visit.current.key)
    if isinstance(latest, Taken):
        return latest
    return candidate.taken if candidate is not None else None


def _candidate(bench: Walk) -> Candidate | None:
    """What is live, but no open: probes in the air show the same, so only a key makes it one."""
    candidate = bench.taker.candidate()
    if candidate is None or candidate.taken is None or not candidate.reading.overload:
        return candidate
    told = candidate.taken.judgement.verdict is not Verdict.CANNOT_TELL
    return None if told else candidate


def stands(shown: Taken | None) -> bool:
    """Whether what is shown has been taken (it carries a real stamp)."""
    return shown is not None and bool(shown.stamp.id)


def run_of(bench: Walk) -> RunView | None:
    """The run of the step, if it is one; before it starts, why it may be passed over."""
    run = bench.run.view() if bench.stage is Stage.CHECKS else None
    if run is None or not bench.moot or run.stage is not RunStage.READY:
        return run
    return replace(run, notes=(bench.moot, *run.notes))


def then_lines(bench: Walk, shown: Taken | None, told: tuple[str, ...]) -> tuple[str, ...]:
    """What it read when it was last in band, or how far it moved since; nothing where it is full.

    What the meter cannot tell has not moved.
    """
    untold = shown is not None and shown.judgement.verdict is Verdict.CANNOT_TELL
    if bench.beside is None or bench.run.here or untold or len(told) > 1:
        return ()
    line = bench.beside.line(bench.visit.current, shown)
    return (line,) if line else ()
