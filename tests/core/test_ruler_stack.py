"""The axis that several rulers share."""

from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.ruler import Ruler
from benchassist.core.ruler_stack import REACH, stack_scale

OHM = st.floats(0.0, 1e7, allow_nan=False)


def ruler(
    value: float | None, low: float | None = 6.0, high: float | None = 7.0, doubt: float = 0.1
) -> Ruler:
    """A ruler of one visit."""
    return Ruler(low=low, high=high, value=value, doubt=doubt)


def test_it_shows_band_and_every_value_with_its_doubt() -> None:
    """With some room at both ends."""
    scale = stack_scale([ruler(6.2), ruler(7.4)])
    assert scale.start < 6.0
    assert scale.end > 7.5
    assert 0.0 < scale.place(6.0) < scale.place(7.5) < 1.0


def test_a_value_far_off_does_not_crush_the_band() -> None:
    """It lies off the end; the band keeps a tenth of the axis at least."""
    scale = stack_scale([ruler(6.2), ruler(900.0)])
    assert scale.place(900.0) > 1.0
    assert scale.place(7.0) - scale.place(6.0) > 0.1


def test_an_open_side_goes_on_by_what_the_values_need() -> None:
    """At least 620, read 790."""
    scale = stack_scale([ruler(790.0, low=620.0, high=None, doubt=10.0)])
    assert 0.0 < scale.place(620.0) < scale.place(790.0) < 1.0


def test_ohms_never_go_below_zero() -> None:
    """A pressure difference may."""
    assert stack_scale([ruler(0.1, low=None, high=10.0)]).start == 0.0
    cold = Ruler(low=-5.0, high=5.0, value=0.0, floor_at_zero=False)
    assert stack_scale([cold]).start < -5.0


def test_nothing_measured_is_an_axis_all_the_same() -> None:
    """No ruler, no value, one value alone."""
    for rulers in ([], [ruler(None)], [ruler(5.0, low=None, high=None, doubt=0.0)]):
        scale = stack_scale(rulers)
        assert scale.end > scale.start


@given(values=st.lists(OHM, min_size=1, max_size=40), low=OHM, width=st.floats(1e-3, 1e6))
def test_the_band_is_always_seen(values: list[float], low: float, width: float) -> None:
    """Whatever was read in forty visits, both limits are on the axis and apart."""
    rulers = [Ruler(low=low, high=low + width, value=value, doubt=0.01 * value) for value in values]
    scale = stack_scale(rulers)
    left, right = scale.place(low), scale.place(low + width)
    assert -1e-9 <= left < right <= 1.0 + 1e-9
    assert right - left > 0.8 / (2.0 * (REACH + 1.0) + 1.0)
