"""The series check: coil + cap = path."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.path import Closure, Piece, check_path

COIL = Piece(name="coil", ohm=9_100.0, uncertainty=40.0, copper=True, celsius=20.0)
CAP = Piece(name="cap", ohm=4_900.0, uncertainty=25.0)


def path(ohm: float, celsius: float | None = 20.0, uncertainty: float = 60.0) -> Piece:
    """The whole path."""
    return Piece(name="path", ohm=ohm, uncertainty=uncertainty, celsius=celsius)


@pytest.mark.parametrize(
    ("ohm", "closure"),
    [
        (14_000.0, Closure.CLOSES),
        (14_200.0, Closure.CLOSES),
        (14_700.0, Closure.HIDDEN_JOINT),
        (13_300.0, Closure.PARALLEL_PATH),
        (14_400.0, Closure.UNDECIDED),
    ],
)
def test_the_residual_says_what_the_sum_comes_to(ohm: float, closure: Closure) -> None:
    """More than the sum and its doubt: a joint; less: something beside it; in between: nothing."""
    found = check_path((COIL, CAP), path(ohm))
    assert found.closure is closure
    assert found.residual == pytest.approx(ohm - 14_000.0)
    assert found.limit == pytest.approx(420.0)
    # Root sum of squares of independent doubts, k = 2 (JCGM 100:2008, 5.1.2).
    assert found.expanded_uncertainty == pytest.approx(2.0 * (40**2 + 25**2 + 60**2) ** 0.5)


def test_the_coil_is_brought_to_the_paths_temperature_and_the_cap_is_not() -> None:
    """A coil of 9.1 k at 20 celsius reads 10.53 k at 60; the cap stays (alpha 0.00393)."""
    warm = 9_100.0 * (1.0 + 0.00393 * 40.0)
    found = check_path((COIL, CAP), path(warm + 4_900.0, celsius=60.0))
    assert found.closure is Closure.CLOSES
    assert found.residual == pytest.approx(0.0, abs=1e-6)


def test_an_unknown_temperature_of_copper_leaves_it_open() -> None:
    """10 celsius more are 4 % of the coil: no sum without both temperatures."""
    assert check_path((COIL, CAP), path(14_000.0, celsius=None)).closure is (
        Closure.OTHER_TEMPERATURE
    )


def test_electronics_in_the_path_void_it() -> None:
    """Junctions do not add up in ohms."""
    assert check_path((COIL, CAP), path(14_000.0), electronics=True).closure is Closure.VOID


@given(st.floats(5_000.0, 30_000.0), st.floats(0.1, 2_000.0))
def test_a_wide_doubt_never_names_a_fault_nor_closes(ohm: float, doubt: float) -> None:
    """Where U reaches over the limit on both sides nothing is said."""
    found = check_path((COIL, CAP), path(ohm, uncertainty=doubt))
    if abs(found.residual) < found.expanded_uncertainty - found.limit:
        assert found.closure is Closure.UNDECIDED
    if found.closure is Closure.CLOSES:
        assert abs(found.residual) + found.expanded_uncertainty <= found.limit
