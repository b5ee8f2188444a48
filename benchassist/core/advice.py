"""What would settle an undecided verdict, and what a meter could not settle, said beforehand.

Every proposal is computed: the doubt the meter would have on another range, the share of the band
it could then call, how well the temperature would have to be known. Where nothing helps, that is
what is said.
"""

from dataclasses import dataclass, replace

from benchassist.core.accuracy import MeterRange
from benchassist.core.band import Band, Judgement, Reason, Verdict
from benchassist.core.estimate import Conditions
from benchassist.core.procedure import MeterCard
from benchassist.core.prospect import RANK, Reach, best_of, prospect, volt_drop_prospect
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.remedy import Advice, Remedy, by_volt_drop, on_range, ranked
from benchassist.core.undecided import Undecided

__all__ = ["Advice", "Foresight", "Reach", "Remedy", "advise", "foresee"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Foresight:
    """What the meter on a range could say of a step before its probes touch, and what else could.

    `advice` is empty where the range calls at least most of the band.
    """

    range: MeterRange
    expanded: float
    share: float
    reach: Reach
    advice: tuple[Advice, ...] = ()

    @property
    def cannot_decide(self) -> bool:
        """Whether In band can never be said."""
        return self.reach in {Reach.OPEN_ONLY, Reach.NOTHING}


def advise(
    judgement: Judgement,
    band: Band,
    conditions: Conditions,
    *,
    reading: Reading,
    card: MeterCard | None = None,
    volt_drop: bool = False,
) -> tuple[Advice, ...]:
    """What would settle a verdict, best first; empty where it is decided.

    `volt_drop`: the check is a winding of a few ohms without electronics, where it is allowed.
    """
    if judgement.verdict not in {Verdict.TOO_CLOSE, Verdict.CANNOT_TELL}:
        return ()
    ask = Undecided(judgement, band, conditions, reading=reading, card=card, volt_drop=volt_drop)
    match judgement.reason:
        case Reason.LEADS_UNPROVED:
            found = [Advice(remedy=Remedy.TOUCH_PROBES)]
        case Reason.RANGE_UNKNOWN | Reason.GO_UP_A_RANGE:
            found = [ask.range_up()]
        case Reason.ZERO_AGAIN:
            found = [Advice(remedy=Remedy.LEAD_ZERO)]
        case Reason.COUNT_UNKNOWN:
            unknown = reading.resolution is None
            remedy = Remedy.TYPE_AS_SHOWN if unknown else Remedy.NAME_THE_RANGE
            found = [Advice(remedy=remedy)]
        case Reason.TOO_COARSE:
            found = list(ask.finer())
        case _:
            found = list(ask.off_the_edge())
    if not found:
        too_close = judgement.verdict is Verdict.TOO_CLOSE
        found = [Advice(remedy=Remedy.ON_THE_EDGE if too_close else Remedy.OTHER_METER)]
    return (replace(found[0], best=True), *found[1:])


def foresee(
    band: Band,
    conditions: Conditions,
    *,
    card: MeterCard | None = None,
    in_use: MeterRange | None = None,
    volt_drop: bool = False,
    k: float = 2.0,
) -> Foresight | None:
    """What can be said of a step before the probes touch; None where no range is known.

    On the range in use, else on the range of the card that calls most of the band.
    """
    ranges = card.ranges.get(band.quantity, ()) if card else ()
    if in_use is None:
        if not ranges:
            return None
        in_use = min(
            ranges,
            key=lambda r: (
                -(p := prospect(r, band, conditions, k=k)).share,
                RANK.index(p.reach),
                p.expanded,
            ),
        )
        now = prospect(in_use, band, conditions, k=k)
    else:
        now = prospect(in_use, band, conditions, k=k, rezeroed=False)
    advice: list[Advice] = []
    if RANK.index(now.reach) > RANK.index(Reach.CALLS_MOST):
        others = [prospect(r, band, conditions, k=k) for r in ranges if r != in_use]
        better = best_of(p for p in others if p.share > now.share)
        if better is not None:
            advice.append(on_range(better, band, conditions))
        if volt_drop and band.quantity is Quantity.RESISTANCE:
            advice.append(by_volt_drop(volt_drop_prospect(band, conditions, card=card, k=k)))
    advice = ranked(advice)
    if advice:
        advice[0] = replace(advice[0], best=True)
    return Foresight(
        range=in_use,
        expanded=now.expanded,
        share=now.share,
        reach=now.reach,
        advice=tuple(advice),
    )
