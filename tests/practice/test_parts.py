"""The made-up engine and its meter."""

import math
from itertools import pairwise

import pytest

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag
from benchassist.errors import InputError
from benchassist.practice.bench import probes_for
from benchassist.practice.meter import SimulatedMeter
from benchassist.practice.parts import CASES, PartBench
from benchassist.practice.stand import Stand

LEADS = 0.12
CHECKS = (
    *("coil_primary", "coil_secondary", "cap", "path", "plug_resistor", "stop_insulation"),
    *("stop_switch", "low_oil", "idle_low", "idle_high", "leads", "self_check", "lead", "clamp"),
)


def at_20(case: str) -> PartBench:
    """A bench at 20 celsius, where every winding has its nominal resistance."""
    bench = PartBench(case, seed=1)
    bench.celsius = 20.0
    return bench


@pytest.mark.parametrize("check", CHECKS)
def test_every_check_with_probes_has_something_to_touch(check: str) -> None:
    """In every case."""
    assert probes_for(check) == check
    for case in CASES:
        assert at_20(case).value(check) >= 0.0


@pytest.mark.parametrize("check", ["air_gap", "spark_tester", ""])
def test_a_check_without_probes_has_nothing(check: str) -> None:
    """The probes are lifted there."""
    assert probes_for(check) is None


def test_a_sound_coil_follows_copper() -> None:
    """20 to 100 celsius is 31.4 % more (0.00393 per kelvin); the cap stays."""
    bench = at_20("sound")
    cold, cap = bench.value("coil_secondary") - LEADS, bench.value("cap") - LEADS
    bench.celsius = 100.0
    assert (bench.value("coil_secondary") - LEADS) / cold == pytest.approx(1.3144)
    assert bench.value("cap") - LEADS == pytest.approx(cap)


def test_coil_and_cap_add_up_to_the_path() -> None:
    """The leads are in it once."""
    bench = at_20("sound")
    total = bench.value("coil_secondary") + bench.value("cap") - LEADS
    assert bench.value("path") == pytest.approx(total)


def test_the_hot_coil_opens_and_closes_again_colder() -> None:
    """Open from 68 celsius on, closed again at 55; the path opens with it, the primary does not."""
    bench = at_20("coil-opens-hot")
    assert bench.value("coil_secondary") == pytest.approx(9100.0 + LEADS)
    bench.celsius = 68.0
    assert math.isinf(bench.value("coil_secondary"))
    assert math.isinf(bench.value("path"))
    assert bench.value("coil_primary") < 2.0
    bench.celsius = 56.0
    assert math.isinf(bench.value("coil_secondary"))
    bench.celsius = 55.0
    assert math.isfinite(bench.value("coil_secondary"))


def test_it_flickers_just_before_it_opens() -> None:
    """Sometimes open, sometimes not, just below its temperature; never well below."""
    bench = at_20("coil-opens-hot")
    bench.celsius = 67.0
    seen = {math.isinf(bench.value("coil_secondary")) for _look in range(100)}
    assert seen == {True, False}
    bench.celsius = 60.0
    assert not any(math.isinf(bench.value("coil_secondary")) for _look in range(100))


@pytest.mark.parametrize(
    ("case", "check", "least", "most"),
    [
        ("cap-high", "cap", 6_250.0, 20_000.0),
        ("stop-wire-leaks", "stop_insulation", 1_000.0, 10e6),
        ("broken-lead", "leads", math.inf, math.inf),
        ("broken-lead", "self_check", math.inf, math.inf),
        ("sound", "stop_insulation", math.inf, math.inf),
        ("sound", "leads", 0.0, 0.5),
        ("sound", "stop_switch", 0.0, 0.5),
        ("sound", "self_check", 9_900.0, 10_100.0),
    ],
)
def test_every_case_has_its_fault(case: str, check: str, least: float, most: float) -> None:
    """And the sound one has none."""
    assert least <= at_20(case).value(check) <= most


def test_an_engine_speed_is_hertz() -> None:
    """One pulse a turn: 1750 rpm is 29.17 Hz."""
    bench = at_20("sound")
    assert bench.quantity("idle_low") is Quantity.FREQUENCY
    assert bench.value("idle_low") == pytest.approx(1750.0 / 60.0, rel=0.01)


def test_a_reading_settles_within_half_a_second() -> None:
    """More than a tenth off at the first look, within 1 % after half a second."""
    meter = SimulatedMeter("nibble-14", seed=3)
    meter.touch(10.0)
    first, settled = meter.read(4900.0, 10.05), meter.read(4900.0, 10.6)
    assert abs(first.value / 4900.0 - 1.0) > 0.1
    assert settled.value == pytest.approx(4900.0, rel=0.01)


def test_the_range_follows_or_is_fixed() -> None:
    """The smallest that holds the value; by hand the chosen one, which may overload."""
    meter = SimulatedMeter("nibble-14", seed=3)
    assert meter.read(0.9, 1e3).spanned.full_scale == 220.0
    assert meter.read(300.0, 1e3).spanned.full_scale == pytest.approx(2200.0)
    meter.fixed_full_scale = 22e3
    assert meter.read(0.9, 1e3).spanned.full_scale == pytest.approx(22e3)
    assert meter.read(30e3, 1e3).over
    assert Flag.AUTO not in meter.read(0.9, 1e3).flags


def test_the_same_seed_gives_the_same_meter() -> None:
    """Gain error and noise are drawn from it."""

    def drawn(seed: int) -> list[int]:
        meter = SimulatedMeter("nibble-14", seed)
        return [meter.read(9100.0, 1e3 + i).counts for i in range(50)]

    assert drawn(1) == drawn(1)
    assert drawn(1) != drawn(2)
    assert len(set(drawn(1))) > 1


@pytest.mark.parametrize(
    ("protocol", "case", "engine", "rate"),
    [
        ("nibble-99", "sound", "sound", 4.0),
        ("scpi", "no-such-case", "sound", 4.0),
        ("scpi", "sound", "flies", 4.0),
        ("scpi", "sound", "sound", 0.0),
    ],
)
def test_a_stand_that_cannot_be_is_refused(
    protocol: str, case: str, engine: str, rate: float
) -> None:
    """Each with what would be right."""
    with pytest.raises(InputError, match=r"there are|would be right"):
        Stand(
            protocol,
            PartBench(case, 1, engine=engine),
            seed=1,
            rate_hz=rate,
            say=lambda _data: None,
        )


@pytest.mark.parametrize("pace", [0.0, 0.5, 1000.0])
def test_a_pace_that_cannot_be_is_refused(pace: float) -> None:
    """With what would be right."""
    with pytest.raises(InputError, match="1 to 60 would be right"):
        at_20("sound").set_pace(pace)


def warmed(case: str, part: str, *celsius: float) -> list[float]:
    """What a part reads at these temperatures, one after the other, the leads taken off."""
    bench = at_20(case)
    found = []
    for warm in celsius:
        bench.celsius = warm
        found.append(bench.value(part) - LEADS)
    return found


def test_a_slow_joint_grows_with_its_temperature() -> None:
    """On the copper line up to 50 celsius, then 0.3 % above it for each kelvin, and back again."""
    sound = warmed("sound", "coil_secondary", 40.0, 60.0, 80.0, 40.0)
    joint = warmed("coil-joint", "coil_secondary", 40.0, 60.0, 80.0, 40.0)
    excess = [a / b - 1.0 for a, b in zip(joint, sound, strict=True)]
    assert excess == pytest.approx([0.0, 0.03, 0.09, 0.0])


def test_turns_short_hot_and_clear_colder() -> None:
    """Five percent below the copper line from 60 celsius on, until it has cooled to 52."""
    sound = warmed("sound", "coil_secondary", 59.0, 60.0, 53.0, 52.0)
    short = warmed("coil-turns", "coil_secondary", 59.0, 60.0, 53.0, 52.0)
    lost = [1.0 - a / b for a, b in zip(short, sound, strict=True)]
    assert lost == pytest.approx([0.0, 0.05, 0.05, 0.0])


def test_a_loose_clip_loses_touch_for_one_reading_at_a_time() -> None:
    """Some readings of a thousand are open, never two in a row, hot or cold."""
    bench = at_20("clip-loose")
    off = [math.isinf(bench.value("coil_secondary")) for _look in range(1000)]
    assert 20 < sum(off) < 70
    assert not any(one and other for one, other in pairwise(off))


def test_a_cap_drifts_or_opens() -> None:
    """One rises by a percent a kelvin above 40 celsius, the other opens at 60 and closes at 48."""
    assert warmed("cap-drifts", "cap", 40.0, 60.0) == pytest.approx([4900.0, 5880.0])
    opened = [math.isinf(ohm) for ohm in warmed("cap-opens", "cap", 57.0, 60.0, 49.0, 48.0)]
    assert opened == [False, True, True, False]
