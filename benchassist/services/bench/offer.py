"""What the bench offers to press a number key for: answers, markings, ways to settle a verdict."""

from benchassist.core.advice import Advice
from benchassist.core.band import Verdict
from benchassist.core.entry import Taken
from benchassist.core.procedure import CheckKind
from benchassist.core.prospect import Reach
from benchassist.core.ruler import Ruler
from benchassist.services import wording
from benchassist.services.bench.shown import shown_of
from benchassist.services.bench.stage import Stage
from benchassist.services.bench.view import Choice, Fix
from benchassist.services.bench.walk import Walk

MOST_OFFERS = 2


def offers_of(bench: Walk) -> tuple[Advice, ...]:
    """What would settle the verdict that is shown, computed from the meter's own ranges."""
    shown = shown_of(bench)
    if shown is None or shown.judgement.verdict not in {Verdict.CANNOT_TELL, Verdict.TOO_CLOSE}:
        return ()
    return bench.taker.advice(shown)[:MOST_OFFERS]


def fixes_of(bench: Walk, shown: Taken | None) -> tuple[Fix, ...]:
    """The offers as tiles."""
    if shown is None:
        return ()
    return tuple(
        Fix(
            press=str(i),
            title=wording.advice_title(advice, units=bench.units),
            text=wording.advice_text(advice, units=bench.units),
            best=advice.best,
            ruler=_prospect_ruler(advice, shown),
        )
        for i, advice in enumerate(offers_of(bench), start=1)
    )


def _prospect_ruler(advice: Advice, shown: Taken) -> Ruler | None:
    """How wide the doubt would be then, in the middle of the band; no value is promised."""
    band = shown.band
    if band is None or band.lower is None or band.high is None or advice.expanded is None:
        return None
    decides = advice.reach in {Reach.CALLS_IT, Reach.CALLS_MOST, Reach.CALLS_SOME}
    return Ruler(
        low=band.lower,
        high=band.high,
        value=(band.lower + band.high) / 2.0,
        doubt=advice.expanded,
        verdict=Verdict.IN_BAND if decides else Verdict.CANNOT_TELL,
    )


def choices_of(bench: Walk) -> tuple[Choice, ...]:
    """Answers of a look, or the markings that pick a band."""
    check, visit = bench.visit.current, bench.visit
    if bench.stage is not Stage.CHECKS:
        return ()
    if bench.asking_option():
        return tuple(
            Choice(key=o.key, press=str(i), text=o.text) for i, o in enumerate(check.options, 1)
        )
    if check.kind is not CheckKind.LOOK:
        return ()
    latest = visit.latest(check.key)
    chosen = getattr(latest, "answer_key", "")
    return tuple(
        Choice(key=a.key, press=str(i), text=a.text, chosen=a.key == chosen)
        for i, a in enumerate(check.answers, 1)
    )


def foreseen(bench: Walk) -> tuple[str, ...]:
    """What the meter will not be able to say here, before the probes touch."""
    foresight = bench.taker.foresight()
    if foresight is None or not foresight.cannot_decide:
        return ()
    return wording.foresight_lines(
        foresight, bench.visit.band(bench.visit.current), units=bench.units
    )
