"""The warm box: its rates are those of common practice, and a pace only makes them quicker."""

import pytest

from benchassist.practice.oven import LATE, RATE, SHOP_CELSIUS, TOP, Oven


def lived(oven: Oven, seconds: float, *, start_s: float = 0.0, every: float = 0.25) -> float:
    """Let it be so much later; returns the moment."""
    t_s = start_s
    for _beat in range(round(seconds / every)):
        t_s += every
        oven.advance(t_s)
    return t_s


@pytest.fixture
def oven() -> Oven:
    """A cold box at second 0."""
    made = Oven()
    made.advance(0.0)
    return made


def test_it_warms_by_four_kelvin_a_minute_up_to_below_the_ceiling(oven: Oven) -> None:
    """3 to 5 kelvin a minute is common practice, 95 celsius the ceiling."""
    oven.heat(on=True)
    t_s = lived(oven, 300.0)
    warm = oven.celsius
    t_s = lived(oven, 60.0, start_s=t_s)
    assert oven.celsius - warm == pytest.approx(4.0, abs=0.05)
    lived(oven, 3600.0, start_s=t_s)
    assert TOP - 0.5 < oven.celsius < 95.0


def test_the_thermometer_is_late_by_its_lag(oven: Oven) -> None:
    """On a steady rise it shows what the part had so many seconds before."""
    oven.heat(on=True)
    lived(oven, 400.0)
    assert oven.celsius - oven.shown == pytest.approx(RATE * LATE, rel=0.05)


def test_it_cools_towards_the_shop_and_nothing_moves_before_it_is_asked(oven: Oven) -> None:
    """A box nobody touched stays; one whose heat is off never comes below the shop."""
    t_s = lived(oven, 100.0)
    assert oven.celsius == SHOP_CELSIUS
    oven.put(80.0, over_s=0.0, t_s=t_s)
    t_s = lived(oven, 100.0, start_s=t_s)
    assert (oven.celsius, oven.shown) == (80.0, 80.0)
    oven.heat(on=False)
    t_s = lived(oven, 720.0, start_s=t_s)
    assert 40.0 < oven.celsius < 46.0
    lived(oven, 40_000.0, start_s=t_s, every=5.0)
    assert oven.celsius == pytest.approx(SHOP_CELSIUS, abs=0.1)


@pytest.mark.parametrize("pace", [10.0, 20.0, 45.0])
def test_a_pace_makes_the_same_happen_sooner(pace: float) -> None:
    """The same temperatures, so many times earlier."""
    slow, quick = Oven(), Oven(pace=pace)
    for oven in (slow, quick):
        oven.advance(0.0)
        oven.heat(on=True)
    lived(slow, 450.0)
    lived(quick, 450.0 / pace, every=450.0 / pace / 30.0)
    assert quick.celsius == pytest.approx(slow.celsius, abs=0.6)
    assert quick.shown == pytest.approx(slow.shown, abs=0.6)


def test_a_slow_ramp_is_even(oven: Oven) -> None:
    """Put to a temperature over ten seconds, half of the way is gone after five."""
    oven.put(81.0, over_s=10.0, t_s=0.0)
    t_s = lived(oven, 5.0)
    assert oven.celsius == pytest.approx(51.0, abs=0.5)
    lived(oven, 6.0, start_s=t_s)
    assert oven.celsius == 81.0
