"""What the bench says of the reading in view: its verdict with the reasons, its ruler."""

from benchassist.core.band import Verdict
from benchassist.core.entry import Taken
from benchassist.core.ruler import Ruler
from benchassist.core.visit import Standing
from benchassist.services import wording
from benchassist.services.bench.offer import foreseen
from benchassist.services.bench.rulers import empty_ruler, with_own
from benchassist.services.bench.shown import stands, then_lines
from benchassist.services.bench.stage import Stage
from benchassist.services.bench.walk import Walk
from benchassist.services.record.own_band_text import own_line
from benchassist.services.slips.line import line_ruler


def verdict_of(bench: Walk, shown: Taken | None) -> tuple[Verdict | None, bool, tuple[str, ...]]:
    """The verdict, whether it is so far only, and what is told of it or of the step.

    Without a reading it is told what the meter could say here.
    """
    check = bench.visit.current
    if shown is not None:
        reasons = wording.reasons(shown.judgement, shown.band, shown.reading, units=bench.units)
        told = (*reasons, *_beside_none(bench))
        told = (*told, *then_lines(bench, shown, told))
        return shown.judgement.verdict, not stands(shown), told
    if bench.stage is Stage.CHECKS and bench.visit.standing(check.key) is Standing.LOOKED:
        return Verdict.BY_EYE, False, ()
    if bench.stage is Stage.CHECKS and not bench.asking_option():
        told = (*filter(None, (bench.moot,)), *foreseen(bench), *_beside_none(bench))
        told = (*told, *then_lines(bench, None, told))
        return None, False, told
    return None, False, ()


def _beside_none(bench: Walk) -> tuple[str, ...]:
    """What the shop's own parts make where no band is in force, and no ruler could show it."""
    band = bench.visit.band(bench.visit.current)
    if band is not None or bench.own is None or bench.own.band is None:
        return ()
    return (own_line(bench.own, bench.units),)


def ruler_at(bench: Walk, shown: Taken | None) -> Ruler | None:
    """The reading in its band, the shop's own band beside it; the bands alone without a reading."""
    band = shown.band if shown is not None else bench.visit.band(bench.visit.current)
    if shown is not None:
        ruler = line_ruler(shown, bench.units)
    elif band is None or bench.stage is not Stage.CHECKS or bench.asking_option():
        return None
    else:
        ruler = empty_ruler(band, units=bench.units)
    if ruler is None or band is None or bench.stage is not Stage.CHECKS:
        return ruler
    if bench.beside is not None:
        ruler = bench.beside.ruler(ruler, bench.visit.current, band)
    return with_own(ruler, bench.own, band, bench.units)
