"""Old, new, old again; and the fault that hid."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.swap import (
    Fitted,
    SwapResult,
    Trial,
    cycles_needed,
    hidden_chance,
    judge_swap,
)

OLD_FAULT = Trial(fitted=Fitted.OLD, fault=True)
OLD_CLEAN = Trial(fitted=Fitted.OLD, fault=False)
NEW_FAULT = Trial(fitted=Fitted.NEW, fault=True)
NEW_CLEAN = Trial(fitted=Fitted.NEW, fault=False, cycles=3)


@pytest.mark.parametrize(
    ("trials", "result"),
    [
        ((), SwapResult.OPEN),
        ((OLD_FAULT,), SwapResult.OPEN),
        ((OLD_FAULT, NEW_CLEAN), SwapResult.LIKELY),
        ((OLD_FAULT, NEW_CLEAN, OLD_FAULT), SwapResult.PROVED),
        ((OLD_FAULT, NEW_CLEAN, OLD_CLEAN), SwapResult.NOT_REPEATED),
        ((OLD_FAULT, NEW_FAULT), SwapResult.NOT_THIS_PART),
        ((OLD_FAULT, NEW_CLEAN, OLD_FAULT, NEW_FAULT), SwapResult.NOT_THIS_PART),
        ((OLD_CLEAN, NEW_CLEAN, OLD_FAULT), SwapResult.NOT_SEEN),
        ((NEW_CLEAN, OLD_FAULT), SwapResult.NOT_SEEN),
    ],
)
def test_what_the_trials_prove(trials: tuple[Trial, ...], result: SwapResult) -> None:
    """Only the fault's return with the old part proves it."""
    assert judge_swap(trials).result is result


def test_a_bundled_change_leaves_the_cause_not_separated() -> None:
    """What was changed with the part is named, whatever the trials prove."""
    found = judge_swap((OLD_FAULT, NEW_CLEAN, OLD_FAULT), bundled=("plug",))
    assert found.not_separated == ("plug",)


def test_the_chance_that_it_hid_goes_with_the_clean_cycles() -> None:
    """Three clean cycles of a fault that shows on every other: 12.5 %; unknown share: not known."""
    assert judge_swap((OLD_FAULT, NEW_CLEAN), share=0.5).hidden == pytest.approx(0.125)
    assert judge_swap((OLD_FAULT, NEW_CLEAN)).hidden is None
    assert judge_swap((OLD_FAULT, NEW_FAULT), share=0.5).hidden is None


def test_hidden_chance_and_the_cycles_that_end_it() -> None:
    """(1 - p)^n for independent cycles; arithmetic of the trade: 13 % and 4 %."""
    assert hidden_chance(0.5, 3) == pytest.approx(0.125)
    assert hidden_chance(0.3, 9) == pytest.approx(0.04035, abs=1e-5)
    assert cycles_needed(0.5, 0.05) == 5
    assert cycles_needed(0.3, 0.05) == 9
    assert cycles_needed(1.0, 0.05) == 1


@given(st.floats(0.01, 0.99), st.floats(0.001, 0.5))
def test_the_cycles_asked_for_are_enough_and_one_less_is_not(share: float, level: float) -> None:
    """The least number that brings the chance to the level."""
    needed = cycles_needed(share, level)
    assert hidden_chance(share, needed) <= level * (1 + 1e-9)
    if needed > 1:
        assert hidden_chance(share, needed - 1) > level * (1 - 1e-9)


@pytest.mark.parametrize(("share", "cycles"), [(0.0, 1), (1.1, 1), (0.5, -1)])
def test_an_impossible_share_is_refused(share: float, cycles: int) -> None:
    """A share of zero would hide for ever."""
    with pytest.raises(ValueError, match="lie"):
        hidden_chance(share, cycles)
