"""The last run of the same check of this machine: what a new one is laid over."""

from benchassist.core.entry import RunEnded
from benchassist.core.procedure import Check
from benchassist.core.run import RunKind
from benchassist.core.run_log import marks_of, plan_of, runs_at
from benchassist.core.visit import Visit
from benchassist.errors import NotFoundError
from benchassist.services import wording
from benchassist.services.needs import RunStore, Store
from benchassist.services.runs.past import tracks_of
from benchassist.services.runs.work import Earlier
from benchassist.services.translation import _
from benchassist.units import UnitChoice

LOOKED_BACK = 6
"""Visits of a machine that are looked through for an earlier run."""


def earlier_run(
    visit: Visit,
    check: Check,
    ended: RunEnded | None,
    *,
    store: Store,
    runs: RunStore | None,
    units: UnitChoice,
) -> Earlier | None:
    """The newest run of a check before one that ended, or before the one to be made.

    A part that was renewed is held against the one before it: an earlier run of the same visit
    comes first. A tank is held against an earlier visit only. None where there is none.
    """
    seq = ended.stamp.seq if ended is not None else visit.next_seq
    here = [run for run in runs_at(visit, check.key) if run.stamp.seq < seq]
    if here and check.run is not None and check.run.kind is not RunKind.TANK:
        text = _("Earlier in this visit")
        return _as_earlier(visit, here[-1], text, runs=runs, units=units)
    opened = visit.header.opened_at
    past = [s for s in store.visits(machine_id=visit.header.machine.id) if s.opened_at < opened]
    for summary in past[:LOOKED_BACK]:
        try:
            other = Visit(*store.visit(summary.id))
        except NotFoundError:
            continue
        if found := runs_at(other, check.key):
            text = _("Visit of {day}").format(day=wording.day_text(other.header.opened_at))
            return _as_earlier(other, found[-1], text, runs=runs, units=units)
    return None


def _as_earlier(
    visit: Visit,
    ended: RunEnded,
    text: str,
    *,
    runs: RunStore | None,
    units: UnitChoice,
) -> Earlier:
    plan = plan_of(visit, ended)
    marks = marks_of(visit, ended.run_id)
    tracks = tracks_of(ended, plan, runs, units, marks=marks) if plan is not None else ()
    return Earlier(ended=ended, tracks=tracks, text=text)
