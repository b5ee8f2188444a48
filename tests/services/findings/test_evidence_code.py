"""Entries as the codes that evidence names."""

import pytest

from benchassist.core.band import Band
from benchassist.core.entry import RunEnded, Stamp
from benchassist.core.quantity import Quantity
from benchassist.core.run import HeatedPart, RunKind, RunPlan, SpeedLimits
from benchassist.core.run_finding import (
    Doubt,
    EngineFinding,
    HeatEvent,
    HeatEventKind,
    HeatFinding,
    Hunting,
    SpeedLevel,
    TankFinding,
)
from benchassist.services.findings.evidence_code import codes_of_run, outcome_of
from tests.core.entries import OPENED
from tests.services.case import evidence

STAMP = Stamp(id="e1", visit_id="v", seq=1, at=OPENED)
SPEED = Quantity.SPEED
PLAN = RunPlan(
    kind=RunKind.ENGINE,
    limits=SpeedLimits(
        low=Band(quantity=SPEED, low=1400.0, high=2000.0),
        high=Band(quantity=SPEED, low=3400.0, high=3600.0),
    ),
)


def heat_codes(*kinds: HeatEventKind, doubts: tuple[Doubt, ...] = ()) -> tuple[str, ...]:
    """What a heat run with these events says."""
    finding = HeatFinding(
        part=HeatedPart.WINDING,
        reproduced=bool(kinds),
        departure_assessed=True,
        events=tuple(HeatEvent(kind=kind, start_s=1.0, before=1.0) for kind in kinds),
        doubts=doubts,
    )
    ended = RunEnded(stamp=STAMP, check_key="heat_run", run_id="r", heat=finding)
    return codes_of_run(ended, None)


def engine_codes(finding: EngineFinding) -> tuple[str, ...]:
    """What an engine run says."""
    ended = RunEnded(stamp=STAMP, check_key="engine_run", run_id="r", engine=finding)
    return codes_of_run(ended, PLAN)


def level(rpm: float) -> SpeedLevel:
    """A steady speed."""
    return SpeedLevel(rpm=rpm, spread_rpm=2.0, seconds=60.0)


def test_a_heat_run_says_what_happened_the_gravest_first() -> None:
    """An open before a step before a departure; a lone spike is nothing."""
    kinds = HeatEventKind
    assert heat_codes(kinds.DEPARTURE, kinds.OPEN) == ("open", "departure")
    assert heat_codes(kinds.STEP_UP, kinds.STEP_DOWN) == ("step_down", "step_up")
    assert heat_codes(kinds.SPIKE) == ("not_reproduced",)


def test_a_heat_run_that_could_not_see_is_inconclusive() -> None:
    """Gaps, no heat, a cut: nothing was reproduced because nothing could be; an open stays one."""
    assert heat_codes(doubts=(Doubt.GAP,)) == ("inconclusive",)
    assert heat_codes(HeatEventKind.OPEN, doubts=(Doubt.GAP,)) == ("open",)


def test_an_engine_run_says_its_speeds_and_its_failures() -> None:
    """Both speeds in band; one out; hunting and falls that never came before the speeds."""
    good = EngineFinding(low=level(1700.0), high=level(3500.0), resolution=1.0)
    assert engine_codes(good) == ("in_band",)
    fast = EngineFinding(low=level(2600.0), high=level(3500.0), resolution=1.0)
    assert engine_codes(fast) == ("low_out",)
    hunts = EngineFinding(
        low=level(1700.0),
        high=level(3900.0),
        hunting=Hunting(present=True),
        failed_falls=1,
        resolution=1.0,
    )
    assert engine_codes(hunts) == ("hunting", "fails_to_fall", "high_out")


def test_an_engine_run_without_speeds_says_nothing_of_them() -> None:
    """Nothing judged, or cut short: inconclusive, never in band."""
    assert engine_codes(EngineFinding()) == ("inconclusive",)
    cut = EngineFinding(low=level(1700.0), high=level(3500.0), resolution=1.0, doubts=(Doubt.CUT,))
    assert engine_codes(cut) == ("inconclusive",)


@pytest.mark.parametrize(
    ("seconds", "baseline", "code"),
    [(500.0, 400.0, "slow"), (440.0, 400.0, "as_before"), (500.0, None, "recorded")],
)
def test_a_tank_run_is_held_against_the_machines_own(
    seconds: float, baseline: float | None, code: str
) -> None:
    """A fifth slower is slow; without a baseline it is recorded only."""
    finding = TankFinding(pump_up_s=seconds, baseline_s=baseline)
    ended = RunEnded(stamp=STAMP, check_key="tank_run", run_id="r", tank=finding)
    assert codes_of_run(ended, None) == (code,)


def test_a_code_that_no_outcome_names_is_no_evidence() -> None:
    """'undecided' and 'not_done' are nothing unless an outcome says so."""
    cap = evidence("cap", "reading:cap", ("in_band", 0.9), ("off", 0.1))
    assert outcome_of(cap, ("undecided",)) is None
    assert outcome_of(cap, ("high", "in_band")) == "in_band"
