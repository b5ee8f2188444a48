"""Verdicts and their probabilities against JCGM 106 and ILAC-G8."""

import pytest

from benchassist.core.accuracy import Contribution, Part
from benchassist.core.band import Band, Side, Verdict, judge, probability_in_band
from benchassist.core.estimate import Estimate, MeterDoubt
from benchassist.core.quantity import Quantity


def test_jcgm_106_74_two_sided() -> None:
    """13.6 with u = 1.8 against 12.5 to 16.3 is in with probability 0.66.

    Source: JCGM 106:2012 7.4: its inputs as quoted on metrologyrules.com; the printed 0.66 from
    memory; suncal's `specific_risk` gives the complement, 0.33737.
    """
    band = Band(quantity=Quantity.TEMPERATURE, low=12.5, high=16.3)
    assert probability_in_band(13.6, 1.8, band) == pytest.approx(0.66, abs=0.005)
    assert 1.0 - probability_in_band(13.6, 1.8, band) == pytest.approx(0.33737, abs=5e-6)


def test_jcgm_106_73_one_sided() -> None:
    """-5.47 V with u = 0.05 below -5.40 V: 0.92; 509.7 kPa with u = 8.6 above 490 kPa: 0.99.

    Source: JCGM 106:2012 7.3: values from memory, recomputed.
    """
    upper = Band(quantity=Quantity.VOLTAGE, high=-5.40)
    assert probability_in_band(-5.47, 0.05, upper) == pytest.approx(0.92, abs=0.005)
    lower = Band(quantity=Quantity.PRESSURE, low=490e3)
    assert probability_in_band(509.7e3, 8.6e3, lower) == pytest.approx(0.99, abs=0.005)


def at(y: float, u: float = 1.0) -> Estimate:
    """A value with a doubt that is the same everywhere."""
    return Estimate(
        y=y,
        contributions=(Contribution(Part.ACCURACY, u),),
        meter=MeterDoubt(a2=0.0, a1=0.0, a0=u * u),
    )


UPPER = Band(quantity=Quantity.VOLTAGE, high=0.0)
"""T_U = 0, so that a distance to it has no rounding."""


@pytest.mark.parametrize(
    ("w_over_u", "risk"),
    [
        (0.0, 0.5),
        (1.0, 0.1587),
        (1.645, 0.0500),
        (1.96, 0.0250),
        (2.0, 0.0228),
        (3.0, 0.00135),
    ],
)
def test_risk_of_false_acceptance_at_the_acceptance_limit(w_over_u: float, risk: float) -> None:
    """The value furthest out that is still In band has this chance of being out.

    Source: computed independently from the normal distribution (scipy).
    """
    found = judge(at(-w_over_u), UPPER, k=w_over_u)
    assert found.verdict is Verdict.IN_BAND
    assert found.probability_in_band is not None
    assert 1.0 - found.probability_in_band == pytest.approx(risk, abs=5e-5)


def test_ilac_g8_risks() -> None:
    """A guard band of U = 2u keeps the risk of a false acceptance below 2.5 %; none, below 50 %.

    Source: a laboratory's decision-rule page quoting ILAC-G8:09/2019; the document not read there.
    """
    guarded = judge(at(-2.0), UPPER).probability_in_band
    assert guarded is not None
    assert 1.0 - guarded < 0.025
    assert 1.0 - probability_in_band(-1e-9, 1.0, UPPER) < 0.5


@pytest.mark.parametrize(
    ("y", "verdict", "side"),
    [
        (-2.1, Verdict.IN_BAND, None),  # pass: y <= T_U - w
        (-2.0, Verdict.IN_BAND, None),
        (-1.9, Verdict.TOO_CLOSE, None),  # conditional pass: (T_U - w, T_U]
        (0.0, Verdict.TOO_CLOSE, None),
        (0.1, Verdict.TOO_CLOSE, None),  # conditional fail: (T_U, T_U + w]
        (2.0, Verdict.TOO_CLOSE, None),
        (2.1, Verdict.OUT_OF_BAND, Side.HIGH),  # fail: y > T_U + w
    ],
)
def test_ilac_g8_423_enumeration(y: float, verdict: Verdict, side: Side | None) -> None:
    """Pass and fail are ours; both conditional statements are Too close to call.

    Source: ILAC-G8:09/2019 4.2.3, p. 10: "Conditional Pass ... in the interval [TL − w, TL]".
    Found in the text of the source; which interval owns its boundary is our choice.
    """
    found = judge(at(y), UPPER)
    assert (found.verdict, found.side) == (verdict, side)
