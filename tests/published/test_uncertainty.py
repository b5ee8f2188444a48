"""Contributions and their combination against the GUM, TN 1297 and EA-4/02."""

from math import sqrt

import pytest

from benchassist.core.accuracy import Accuracy, Contribution, Part
from benchassist.core.estimate import Conditions, estimate, root_sum_of_squares
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading


def combined(*standard_uncertainties: float) -> float:
    """Our combination of independent contributions."""
    return root_sum_of_squares(
        tuple(Contribution(Part.ACCURACY, u) for u in standard_uncertainties)
    )


def test_gum_h1_end_gauge() -> None:
    """u(d) = 9.7 nm from three parts, then u_c = 32 nm from four.

    Source: JCGM 100:2008 H.1 as transcribed in the documentation of GTC (`GUM_H1`,
    "l=50000838(32)") and in the tests of suncal; the primary text not read.
    """
    u_d = combined(5.8, 3.9, 6.7)
    assert u_d == pytest.approx(9.7, abs=0.05)
    assert combined(25.0, u_d, 2.9, 16.6) == pytest.approx(32.0, abs=0.5)
    assert combined(25.0, u_d, 2.9, 16.6) == pytest.approx(31.664, abs=0.01)


def test_tn_1297_table_d1() -> None:
    """Nine contributions of the same end gauge, second order included, give 34 nm.

    Source: NIST Technical Note 1297, appendix D.2, table D.1. Found in the text of the source.
    """
    assert combined(25.0, 5.8, 3.9, 6.7, 1.7, 5.8, 10.2, 2.9, 16.6) == pytest.approx(34.0, abs=0.5)


def test_gum_g41_relative_contributions() -> None:
    """0.25, 0.57 and 0.82 % combine to 1.03 %.

    Source: JCGM 100:2008 G.4.1: values from memory, recomputed.
    """
    assert combined(0.25, 0.57, 0.82) == pytest.approx(1.03, abs=0.005)


def volts(value: float, count: float, full_scale: float | None = None) -> Reading:
    """A reading in volts."""
    return Reading(
        t_s=0.0,
        channel="A",
        quantity=Quantity.VOLTAGE,
        value=value,
        resolution=count,
        full_scale=full_scale,
    )


def test_gum_437_accuracy_by_range() -> None:
    """14e-6 of reading and 2e-6 of range at 0.928571 V on 1 V: a = 15 µV, u = 8.7 µV; u_c = 15 µV.

    Source: JCGM 100:2008 4.3.7 example 2 and 5.1.5: values from memory, recomputed. The 12 µV of
    5.1.5 are the spread of its readings.
    """
    accuracy = Accuracy(percent=14e-4, percent_of_range=2e-4)
    a = accuracy.half_width(0.928571, resolution=None, full_scale=1.0)
    assert a == pytest.approx(15e-6, abs=0.05e-6)
    found = estimate(volts(0.928571, 0.0, 1.0), Conditions(accuracy=accuracy, spread=12e-6))
    assert found.contributions[0].standard_uncertainty == pytest.approx(8.7e-6, abs=0.05e-6)
    assert found.standard_uncertainty == pytest.approx(15e-6, abs=0.3e-6)
    assert found.standard_uncertainty / found.y == pytest.approx(16e-6, abs=0.1e-6)


def test_ea_402_s9_hand_held_meter_at_100_volts() -> None:
    """0.001 (spread), 0.029 (one count of 0.1 V) and 0.0064 V give 0.030 V; U = 0.05 V at k 1.65.

    Source: EA-4/02 S9 as listed in a public test set for it ("CALIBRATION OF A HAND-HELD DIGITAL
    MULTIMETER AT 100 V DC ... k = 1.65"); the half-widths 0.05 and 0.011 V and 100.1 V from
    memory.
    """
    accuracy = Accuracy(percent=0.011 / 100.1 * 100.0)
    found = estimate(volts(100.1, 0.1), Conditions(accuracy=accuracy, spread=0.001))
    by_part = {c.name: c.standard_uncertainty for c in found.contributions}
    assert by_part[Part.COUNT] == pytest.approx(0.029, abs=0.0005)
    assert by_part[Part.ACCURACY] == pytest.approx(0.0064, abs=0.00005)
    assert found.dominant is Part.COUNT
    assert found.standard_uncertainty == pytest.approx(0.030, abs=0.0005)
    assert 1.65 * found.standard_uncertainty == pytest.approx(0.05, abs=0.005)


def test_ea_402_s2_and_s3_combinations() -> None:
    """A 10 kg weight (29.3 mg) and a 10 kΩ resistor (8.33 mΩ).

    Source: EA-4/02 S2 and S3 as listed in a public test set for it; the primary text not read.
    The inputs are printed rounded, hence 1 % for S3.
    """
    assert combined(22.5, 8.95, 14.4, 5.77, 5.77) == pytest.approx(29.3, abs=0.05)
    assert combined(2.5, 5.8, 1.6, 3.2, 4.1, 0.7) == pytest.approx(8.33, rel=0.01)


def test_one_count_is_a_rectangle() -> None:
    """A digital step q has a standard uncertainty of 0.29 q.

    Source: JCGM 100:2008 F.2.2.1: value from memory.
    """
    found = estimate(volts(1.0, 0.01), Conditions(accuracy=Accuracy(percent=0.0)))
    assert found.standard_uncertainty == pytest.approx(0.29 * 0.01, rel=0.006)


def test_a_statement_without_a_level_is_a_rectangle() -> None:
    """Plus or minus a specification without a level is u = spec / √3.

    Source: Fluke Calibration, slides of 2011, slide 41: "assume a rectangular distribution ±1σ =
    ±spec / (√3)". Found in the text of the source.
    """
    found = estimate(volts(32.0, 0.01), Conditions(accuracy=Accuracy(percent=2.5, counts=3.0)))
    assert found.contributions[0].standard_uncertainty == pytest.approx(0.83 / sqrt(3.0))


@pytest.mark.parametrize(
    ("accuracy", "value", "count", "half_width"),
    [
        # KPU Phys1102, meter accuracy: "= 0.83" for ±(2.5 % + 3 digits) at 32.00 V. Found.
        (Accuracy(percent=2.5, counts=3.0), 32.0, 0.01, 0.83),
        # The same page, at 0.09 V. Found.
        (Accuracy(percent=2.5, counts=3.0), 0.09, 0.01, 0.03225),
        # A meter dealer's page: "1.9964 to 2.0036V" for ±(0.08 % + 2 digits) at 2.000 V. Found.
        (Accuracy(percent=0.08, counts=2.0), 2.0, 0.001, 0.0036),
    ],
)
def test_hand_held_accuracy_examples(
    accuracy: Accuracy, value: float, count: float, half_width: float
) -> None:
    """Percent of reading and digits, as three published examples work them out."""
    found = accuracy.half_width(value, resolution=count, full_scale=None)
    assert found == pytest.approx(half_width, abs=1e-9)
