"""Hertz and rpm against published tables and worked examples."""

import pytest

from benchassist.core.speed import rpm_per_hertz


@pytest.mark.parametrize(
    ("pole_pairs", "rpm", "hertz"),
    [
        # worldpowerfaqs.com, frequency of generators by poles and speed. Found in its text.
        (1.0, 3000.0, 50.0),
        (2.0, 1500.0, 50.0),
        (4.0, 3000.0, 200.0),
        (8.0, 3000.0, 400.0),
        # fahadapp.com, synchronous speeds of 2, 4 and 6 poles. Found in its text.
        (1.0, 3600.0, 60.0),
        (2.0, 1800.0, 60.0),
        (3.0, 1200.0, 60.0),
        (3.0, 1000.0, 50.0),
        # industrialmonitordirect.com, magneto pulses: 20 to 40 Hz. Found in its text.
        (1.0, 1200.0, 20.0),
        (1.0, 2400.0, 40.0),
        (2.0, 600.0, 20.0),
        (2.0, 1200.0, 40.0),
    ],
)
def test_speed_from_frequency(pole_pairs: float, rpm: float, hertz: float) -> None:
    """N = 60 f / p, with the pole pairs or the pulses of one revolution."""
    assert hertz * rpm_per_hertz(pole_pairs) == pytest.approx(rpm)


def test_speed_from_counted_sparks() -> None:
    """86 sparks in 2.62 s of a two-cylinder four-stroke are 1969 rpm.

    Source: dan.pfeiffer.net, rpm = count / time · 60 · 2 / cylinders. Found in its text.
    """
    assert 86.0 / 2.62 * rpm_per_hertz(2.0 / 2.0) == pytest.approx(1969.5, abs=0.5)


def test_sparks_of_two_hours() -> None:
    """3600 rpm for two hours on a wasted-spark four-stroke are 432 000 sparks.

    Source: codingace.net, one spark a turn and cylinder. Found in its text.
    """
    hertz = 3600.0 / rpm_per_hertz(1.0)
    assert hertz * 2.0 * 3600.0 == pytest.approx(432_000.0)
