"""No time of a heat run is tied to one sample rate, nor to one pace of heating."""

from math import inf

import pytest

from benchassist.core.heat_run import analyse_heat
from benchassist.core.run import HeatedPart
from benchassist.core.run_finding import HeatEventKind
from tests.benchmarks.heat_log import METERS, MeterClass, heat_log
from tests.core.heat_logs import CYCLE, warmed

WINDING = HeatedPart.WINDING


@pytest.mark.parametrize("warm", [True, False])
@pytest.mark.parametrize("seed", range(5))
def test_a_bench_that_heats_thirty_times_faster(seed: int, *, warm: bool) -> None:
    """Two kelvin a second at 10 Hz, a thermometer half a second late: an open, warm as shown."""
    points = ((0.0, 22.0), (4.0, 22.0), (40.0, 94.0), (50.0, 94.0), (79.0, 36.0), (84.0, 36.0))
    log = warmed(points, hertz=10.0, lag=0.5, seed=seed)
    start, end = log.heated_to(70.0 + 4.0 * seed), log.cooled_to(58.0 + 3.0 * seed)
    log.ohms[start:end] = inf
    finding = analyse_heat(log.samples(), log.celsius if warm else None, WINDING, cold_celsius=22.0)
    (event,) = finding.events
    assert event.kind is HeatEventKind.OPEN
    assert (event.start_s, event.end_s) == (log.t_s[start], log.t_s[end])
    assert event.celsius == pytest.approx(log.celsius[start], abs=3.0)
    assert event.end_celsius == pytest.approx(log.celsius[end], abs=3.0)


@pytest.mark.parametrize("meter", METERS, ids=lambda meter: meter.name)
def test_turns_of_a_fast_bench_are_no_steps(meter: MeterClass) -> None:
    """Where heating begins and ends at ten times life's pace nothing jumps, at any meter's rate."""
    for seed in range(8):
        log = heat_log(seed, meter, faster=10.0)
        for celsius in (log.celsius, None):
            assert not analyse_heat(log.samples, celsius, WINDING).reproduced


def test_the_same_at_every_rate() -> None:
    """No time is tied to one sample rate: 1 to 50 samples a second find the same break."""
    for hertz in (1.0, 2.5, 10.0, 50.0):
        log = warmed(CYCLE[:4], hertz=hertz)
        start, end = log.heated_to(78.0), log.at(1100.0)
        log.ohms[start:end] = inf
        (event,) = analyse_heat(log.samples(), log.celsius, WINDING).events
        assert (event.start_s, event.end_s) == (log.t_s[start], log.t_s[end])
