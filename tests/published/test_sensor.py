"""Pt100 and type K against printed tables and a maintained library."""

import pytest
import thermocouple_its90

from benchassist.core.sensor import pt100_celsius, pt100_ohm, type_k_celsius, type_k_volt

PT100 = [
    # sensorsci.com, table after "IEC 751,2: 1995". Found in its text.
    (-200.0, 18.52),
    (-100.0, 60.26),
    (-50.0, 80.31),
    (0.0, 100.00),
    (50.0, 119.40),
    (100.0, 138.51),
    (150.0, 157.33),
    (200.0, 175.86),
    (300.0, 212.05),
    (400.0, 247.09),
    # sensingtemp.com, the end of the range. Found in its text.
    (850.0, 390.48),
]


@pytest.mark.parametrize(("celsius", "ohm"), PT100)
def test_pt100_table(celsius: float, ohm: float) -> None:
    """The printed resistance of a Pt100, to the last digit printed.

    Another curve is in print too (138.50 at 100 °C, 175.84 at 200 °C); it is not that of IEC 751.
    """
    assert pt100_ohm(celsius) == pytest.approx(ohm, abs=0.0051)


@pytest.mark.parametrize(("celsius", "ohm"), PT100[1:-1])
def test_pt100_table_backwards(celsius: float, ohm: float) -> None:
    """The temperature of a printed resistance, to what its last digit is worth."""
    assert pt100_celsius(ohm) == pytest.approx(celsius, abs=0.0051 / 0.35)


TYPE_K = [
    # NIST Monograph 175, reference 0 °C; instrumentation.com, table 9. Found in its text.
    (-190.0, -5.730),
    (-150.0, -4.913),
    # The limits of NIST's inverse ranges. Found.
    (-200.0, -5.891),
    (500.0, 20.644),
    (1372.0, 54.886),
    # Computed with the library below when the checks were collected; no printed table read.
    (-100.0, -3.554),
    (25.0, 1.000),
    (50.0, 2.023),
    (100.0, 4.096),
    (150.0, 6.138),
    (200.0, 8.138),
    (250.0, 10.153),
    (300.0, 12.209),
    (400.0, 16.397),
    (800.0, 33.275),
    (1000.0, 41.276),
]


@pytest.mark.parametrize(("celsius", "millivolt"), TYPE_K)
def test_type_k_table(celsius: float, millivolt: float) -> None:
    """The printed voltage of a type K couple, to a microvolt."""
    assert 1e3 * type_k_volt(celsius) == pytest.approx(millivolt, abs=0.001)


@pytest.mark.parametrize("reference", [-10.0, 0.0, 23.4, 50.0])
@pytest.mark.parametrize("celsius", range(-190, 1371, 60))
def test_type_k_against_a_library(celsius: float, reference: float) -> None:
    """Voltage and temperature as thermocouple-its90 has them, with a cold junction.

    Its way back are NIST's inverse polynomials, good to 0.06 K; ours inverts the function itself.
    """
    theirs = thermocouple_its90.get("K")
    millivolt = theirs.emf(celsius) - theirs.emf(reference)
    assert 1e3 * type_k_volt(celsius, reference=reference) == pytest.approx(millivolt, abs=1e-9)
    found = type_k_celsius(millivolt / 1e3, reference=reference)
    assert found == pytest.approx(celsius, abs=1e-5)
    assert theirs.temperature(millivolt, reference=reference) == pytest.approx(found, abs=0.06)
