"""Replace or keep."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.stake import Stake, sensitivity
from benchassist.errors import InputError

SUSPECT_COIL = Stake(
    part=85.0, labour_hours=0.0, rate=60.0, downtime=600.0, return_visit=150.0, currency="EUR"
)


def test_the_break_even_of_the_trades_example() -> None:
    """85 against 750: it pays above 11 %; at one chance in four it does (187 > 85)."""
    assert SUSPECT_COIL.break_even == pytest.approx(85.0 / 750.0)
    assert SUSPECT_COIL.pays(0.25)
    assert not SUSPECT_COIL.pays(0.10)


def test_labour_and_the_risk_of_a_poor_part_count_as_cost() -> None:
    """Half an hour at 60 and a chance of 4 % that the new part brings it back."""
    dearer = replace(SUSPECT_COIL, labour_hours=0.5, poor_part=0.04)
    assert dearer.replacement == pytest.approx(85.0 + 30.0 + 0.04 * 750.0)


def test_where_a_comeback_costs_less_than_the_part_it_never_pays() -> None:
    """No chance makes it worth while, and no chance above 1 is printed."""
    assert replace(SUSPECT_COIL, downtime=0.0, return_visit=50.0).break_even is None


@given(st.floats(0.0, 500.0), st.floats(1.0, 2_000.0), st.floats(0.0, 1.0))
def test_above_the_break_even_replacing_costs_less_and_below_more(
    part: float, downtime: float, chance: float
) -> None:
    """The same rule seen from both sides."""
    stake = replace(SUSPECT_COIL, part=part, downtime=downtime)
    limit = stake.break_even
    if limit is None:
        assert not stake.pays(chance)
    elif abs(chance - limit) > 1e-9:
        assert stake.pays(chance) is (chance > limit)


def test_sensitivity_names_what_moves_it_most() -> None:
    """Each figure less and more by half, the others standing; the widest swing first."""
    first, *_rest = sensitivity(SUSPECT_COIL)
    assert first.name in {"part", "downtime"}
    assert {swing.name for swing in sensitivity(SUSPECT_COIL)} == {
        "part",
        "downtime",
        "return_visit",
    }


@pytest.mark.parametrize(
    ("field", "value"),
    [("part", -1.0), ("rate", float("nan")), ("downtime", float("inf")), ("poor_part", 1.0)],
)
def test_an_impossible_figure_is_named(field: str, value: float) -> None:
    """One line with the figure's name."""
    with pytest.raises(InputError, match=field.replace("_", " ")):
        replace(SUSPECT_COIL, **{field: value})
