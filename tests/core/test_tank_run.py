"""Pump-up by gauge marks."""

import pytest

from benchassist.core.free_air import FreeAirDoubt, atmosphere, free_air, free_air_uncertainty
from benchassist.core.run import MarkKind
from benchassist.core.run_finding import Doubt, GaugeMark
from benchassist.core.tank_run import (
    Place,
    TankRun,
    pump_up_doubt,
    pump_up_ratio,
    rising_stretch,
    seconds_between,
)

PSI = 6894.757293


def pumped(*marks: tuple[float, float], run: TankRun | None = None) -> TankRun:
    """A run with marks of (seconds, psi)."""
    run = run or TankRun()
    for t_s, psi in marks:
        run.mark(MarkKind.PRESSURE, t_s, value=psi * PSI)
    return run


def test_free_air_of_a_tank_pumped_up() -> None:
    """60 US gallons from 0 to 125 psi in 250 s: the trade's short form at sea level.

    Common practice: ft³/min = gallons x 0.1337 x psi / 14.7 / minutes.
    """
    run = pumped((0.0, 0.0), (100.0, 50.0), (250.0, 125.0), run=TankRun(Place(volume=0.227125)))
    found = run.finding()
    short = 60.0 * 0.1337 * 125.0 / 14.7 / (250.0 / 60.0)
    assert found.free_air is not None
    assert found.free_air * 60.0 * 35.3146667 == pytest.approx(short, rel=0.001)
    assert found.pump_up_s == pytest.approx(250.0)
    assert found.free_air_uncertainty is not None
    assert 0.03 < found.free_air_uncertainty / found.free_air < 0.12
    assert found.doubts == ()


def test_altitude_and_warm_air_count() -> None:
    """Thinner air outside makes more free air of the same rise; a hot tank holds less."""
    sea = pumped((0.0, 0.0), (100.0, 100.0), run=TankRun(Place(volume=0.1))).finding()
    high = pumped((0.0, 0.0), (100.0, 100.0), run=TankRun(Place(volume=0.1, altitude=1600.0)))
    hot = pumped((0.0, 0.0), (100.0, 100.0), run=TankRun(Place(volume=0.1, tank_air=50.0)))
    assert sea.free_air is not None
    assert high.finding().free_air == pytest.approx(
        sea.free_air * 101_325.0 / atmosphere(1600.0), rel=1e-9
    )
    assert (hot.finding().free_air or 0.0) < sea.free_air


def test_the_uncertainty_is_its_parts_in_quadrature() -> None:
    """One part at a time, then two."""
    given = {"volume": 0.2, "first": 0.0, "last": 800e3}
    none = FreeAirDoubt(volume=0.0, gauge=0.0, key=0.0, tank_kelvin=0.0, outside=0.0)
    air = free_air(**given, seconds=200.0)
    volume = FreeAirDoubt(volume=0.03, gauge=0.0, key=0.0, tank_kelvin=0.0, outside=0.0)
    both = FreeAirDoubt(volume=0.03, gauge=0.03, key=0.0, tank_kelvin=0.0, outside=0.0)
    assert free_air_uncertainty(**given, seconds=200.0, doubt=none) == 0.0
    one = free_air_uncertainty(**given, seconds=200.0, doubt=volume)
    assert one == pytest.approx(2.0 * 0.03 * air / 3.0**0.5)
    two = free_air_uncertainty(**given, seconds=200.0, doubt=both)
    assert two == pytest.approx(one * 2.0**0.5)


def test_cut_out_ends_the_pump_up_and_cut_in_follows() -> None:
    """What is marked while air is used is no pump-up, and no doubt."""
    run = pumped((0.0, 0.0), (100.0, 100.0))
    run.mark(MarkKind.CUT_OUT, 131.0, value=125.0 * PSI)
    pumped((200.0, 110.0), run=run)
    run.mark(MarkKind.CUT_IN, 230.0, value=95.0 * PSI)
    found = run.finding()
    assert found.cut_out == pytest.approx(125.0 * PSI)
    assert found.cut_in == pytest.approx(95.0 * PSI)
    assert found.pump_up_s == pytest.approx(131.0)
    assert [mark.pascal / PSI for mark in found.marks] == pytest.approx([0.0, 100.0, 125.0])
    assert found.doubts == ()


def test_a_cut_without_a_figure_is_at_the_pressure_marked_last() -> None:
    """The gauge stands where it was."""
    run = pumped((0.0, 0.0), (120.0, 120.0))
    run.mark(MarkKind.CUT_OUT, 121.0)
    found = run.finding()
    assert found.cut_out == pytest.approx(120.0 * PSI)
    assert found.pump_up_s == pytest.approx(120.0)
    assert found.doubts == ()


@pytest.mark.parametrize(
    "marks", [((0, 0), (50, 40), (80, 30), (150, 110)), ((0, 0), (50, 40), (50, 60), (150, 110))]
)
def test_marks_that_fall_or_do_not_follow_are_doubted(
    marks: tuple[tuple[float, float], ...],
) -> None:
    """The largest unbroken rise is still used."""
    found = pumped(*marks).finding()
    assert found.doubts == (Doubt.OUT_OF_ORDER,)
    assert found.marks[-1].pascal == pytest.approx(110.0 * PSI)
    assert found.pump_up_s is not None


def test_against_the_machines_own_baseline_whatever_its_marks() -> None:
    """From 20 to 100 psi, out of a baseline marked at 0, 50 and 125."""
    earlier = tuple(
        GaugeMark(t_s=t, pascal=p * PSI) for t, p in ((5.0, 0.0), (105.0, 50.0), (255.0, 125.0))
    )
    found = pumped((0.0, 20.0), (192.0, 100.0), run=TankRun(baseline=earlier)).finding()
    assert found.baseline_s == pytest.approx(160.0)
    assert pump_up_ratio(found) == pytest.approx(1.2)
    # Two presses each, half a second: u² = 2 (0.5²/3)(1/192² + 1/160²), U = 2 u.
    expected = 2.0 * 1.2 * (2.0 * 0.25 / 3.0 * (1.0 / 192.0**2 + 1.0 / 160.0**2)) ** 0.5
    assert pump_up_doubt(found) == pytest.approx(expected)
    beyond = pumped((0.0, 20.0), (192.0, 140.0), run=TankRun(baseline=earlier)).finding()
    assert beyond.baseline_s is None
    assert pump_up_ratio(beyond) is None
    assert pump_up_doubt(beyond) is None


def test_nothing_marked_is_said_so() -> None:
    """No pump-up, no free air."""
    found = TankRun(Place(volume=0.1)).finding()
    assert (found.pump_up_s, found.free_air, found.doubts) == (None, None, (Doubt.SHORT,))
    assert rising_stretch(()) == ()
    assert seconds_between((), 0.0, 1.0) is None


def test_figures_come_as_marks_too() -> None:
    """Volume, ambient, altitude; and what cannot be is refused."""
    run = pumped((0.0, 0.0), (60.0, 50.0))
    for name, value in (("tank_volume", 0.05), ("ambient", 10.0), ("altitude", 500.0)):
        run.mark(MarkKind.PLACE, 0.0, value=value, text=name)
    found = run.finding()
    assert (found.volume, found.ambient, found.altitude) == (0.05, 10.0, 500.0)
    assert found.free_air is not None
    with pytest.raises(ValueError, match="volume must be above zero"):
        run.place("tank_volume", 0.0)
    with pytest.raises(ValueError, match="altitude"):
        run.place("altitude", 20_000.0)
    with pytest.raises(ValueError, match="no figure"):
        run.place("colour", 1.0)
