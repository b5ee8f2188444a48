"""What an entry of a visit says, as the codes that outcomes of evidence name.

    reading   in_band, low, high, open (above range), undecided, recorded
    heat run  open, step_down, step_up, departure, not_reproduced, inconclusive
    engine    hunting, fails_to_fall, fails_to_recover, low_out, high_out, in_band, inconclusive
    tank      slow, as_before, recorded

A run may say several; the gravest comes first. A question or look says the key of its answer, a
time the bin it falls into: 'under:600', 'from:600', 'from:600 under:1800', in seconds.
"""

from collections.abc import Iterable, Iterator
from math import isfinite
from types import MappingProxyType
from typing import Final

from benchassist.core.band import Judgement, Side, Verdict
from benchassist.core.cause import Evidence
from benchassist.core.entry import RunEnded, Taken
from benchassist.core.run import RunPlan
from benchassist.core.run_finding import (
    Doubt,
    EngineFinding,
    HeatEventKind,
    HeatFinding,
    TankFinding,
)
from benchassist.core.tank_run import pump_up_ratio
from benchassist.services.runs.engine_verdict import Gauged, judged_of
from benchassist.services.runs.line import finding_of
from benchassist.services.runs.tank_text import USUAL

IN_BAND: Final = "in_band"
LOW: Final = "low"
HIGH: Final = "high"
OPEN: Final = "open"
UNDECIDED: Final = "undecided"
RECORDED: Final = "recorded"
NOT_REPRODUCED: Final = "not_reproduced"
INCONCLUSIVE: Final = "inconclusive"

OUT: Final = frozenset({LOW, HIGH, OPEN})
"""Codes of a reading out of band."""

NOTHING_FOUND: Final = frozenset({NOT_REPRODUCED, INCONCLUSIVE, IN_BAND, RECORDED})
"""Codes of a run that found no fault."""

_HEAT: Final = MappingProxyType(
    {
        HeatEventKind.OPEN: OPEN,
        HeatEventKind.STEP_DOWN: "step_down",
        HeatEventKind.STEP_UP: "step_up",
        HeatEventKind.DEPARTURE: "departure",
    }
)
"""Gravest first; a lone spike is none of them."""

_LEVEL: Final = MappingProxyType({Gauged.LOW: "low_out", Gauged.HIGH: "high_out"})


def code_of_taken(taken: Taken) -> str:
    """What a taken reading says."""
    judgement = taken.judgement
    match judgement.verdict:
        case Verdict.IN_BAND:
            return IN_BAND
        case Verdict.OUT_OF_BAND:
            return _side(judgement)
        case Verdict.TOO_CLOSE | Verdict.CANNOT_TELL:
            return UNDECIDED
        case _:
            return RECORDED


def _side(judgement: Judgement) -> str:
    if judgement.value is None:
        return OPEN
    return LOW if judgement.side is Side.LOW else HIGH


def codes_of_run(ended: RunEnded, plan: RunPlan | None, *, k: float = 2.0) -> tuple[str, ...]:
    """What an ended run says, the gravest first; a drill says nothing here but by its steps."""
    match finding_of(ended):
        case HeatFinding() as heat:
            return tuple(_of_heat(heat))
        case EngineFinding() as engine if plan is not None:
            return tuple(_of_engine(engine, plan, k))
        case TankFinding() as tank:
            return (_of_tank(tank),)
        case _:
            return ()


def _of_heat(heat: HeatFinding) -> Iterator[str]:
    kinds = {event.kind for event in heat.events}
    found = [code for kind, code in _HEAT.items() if kind in kinds]
    if found:
        yield from found
    else:
        yield INCONCLUSIVE if heat.doubts else NOT_REPRODUCED


def _of_engine(engine: EngineFinding, plan: RunPlan, k: float) -> Iterator[str]:
    if engine.hunting.present:
        yield "hunting"
    if engine.failed_falls:
        yield "fails_to_fall"
    if engine.failed_recoveries:
        yield "fails_to_recover"
    judged = judged_of(engine, plan, k=k)
    verdicts = {j.gauged: j.judgement.verdict for j in judged if j.gauged in _LEVEL}
    out = [_LEVEL[gauged] for gauged, v in verdicts.items() if v is Verdict.OUT_OF_BAND]
    yield from out
    faults = engine.hunting.present or engine.failed_falls or engine.failed_recoveries or out
    if not faults:
        levels = set(verdicts.values()) == {Verdict.IN_BAND}
        others = {j.judgement.verdict for j in judged} <= {Verdict.IN_BAND, Verdict.RECORDED}
        yield IN_BAND if levels and others and not engine.doubts else INCONCLUSIVE


def _of_tank(tank: TankFinding) -> str:
    ratio = pump_up_ratio(tank)
    if ratio is None or Doubt.CUT in tank.doubts:
        return RECORDED
    return "slow" if ratio > 1.0 + USUAL else "as_before"


def outcome_of(evidence: Evidence, codes: Iterable[str]) -> str | None:
    """The outcome that the first code fits; None where none names any of them: no evidence."""
    for code in codes:
        for outcome in evidence.outcomes:
            if any(_fits(when, code) for when in outcome.when or (outcome.key,)):
                return outcome.key
    return None


def _fits(when: str, code: str) -> bool:
    return when == code or (_is_bin(when) and _holds(when, code))


def _is_bin(when: str) -> bool:
    return when.startswith(("under:", "from:"))


def _holds(when: str, code: str) -> bool:
    """Whether a number of seconds lies in a bin; what is no number lies in none."""
    try:
        seconds = float(code)
        limits = [(word, float(text)) for word, _, text in (w.partition(":") for w in when.split())]
    except ValueError:
        return False
    return isfinite(seconds) and all(
        seconds < limit if word == "under" else seconds >= limit for word, limit in limits
    )
