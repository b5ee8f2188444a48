"""The axis of a band ruler."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.band import Verdict
from benchassist.core.ruler import Ruler, Scale, scale_of


def shows(scale: Scale, *values: float) -> bool:
    """Whether all values lie on the axis."""
    return all(0.0 <= scale.place(v) <= 1.0 for v in values)


def test_a_cap_in_its_band_shows_the_whole_band() -> None:
    """A doubt that is not small beside the band leaves both edges on the axis."""
    scale = scale_of(
        Ruler(low=3750.0, high=6250.0, value=4380.0, doubt=75.0, verdict=Verdict.IN_BAND)
    )
    assert shows(scale, 3750.0, 6250.0)


def test_a_sharp_reading_in_a_wide_band_is_zoomed_to_its_nearest_edge() -> None:
    """About sixteen lozenges are shown, with the nearest edge among them."""
    scale = scale_of(
        Ruler(low=1000.0, high=9000.0, value=1200.0, doubt=2.0, verdict=Verdict.IN_BAND)
    )
    assert shows(scale, 1000.0, 1200.0)
    assert not shows(scale, 9000.0)


def test_a_reading_without_doubt_still_shows_its_band() -> None:
    """Without a lozenge there is nothing to zoom to."""
    scale = scale_of(Ruler(low=1000.0, high=9000.0, value=1200.0))
    assert shows(scale, 1000.0, 9000.0)


def test_what_a_coarse_meter_shows_starts_at_zero() -> None:
    """A reading of nothing stands at zero, with the band as a sliver beside it."""
    scale = scale_of(Ruler(low=0.6, high=1.3, value=0.0, doubt=35.0, verdict=Verdict.CANNOT_TELL))
    assert scale.start == 0.0
    assert scale.end > 35.0


def test_what_was_before_the_work_is_on_the_axis() -> None:
    """A pair shows both of its readings."""
    scale = scale_of(
        Ruler(low=0.7, high=0.8, value=0.75, doubt=0.001, verdict=Verdict.IN_BAND, before=0.92)
    )
    assert shows(scale, 0.75, 0.92)


values = st.floats(-1e3, 1e7)


@given(
    low=st.none() | st.floats(0.1, 1e6),
    width=st.none() | st.floats(0.01, 1e6),
    value=st.none() | values,
    doubt=st.floats(0.0, 1e5),
    verdict=st.sampled_from(Verdict),
    factor=st.sampled_from((1e-3, 1.0, 1e3, 1e6)),
)
def test_every_axis_can_be_drawn(
    *,
    low: float | None,
    width: float | None,
    value: float | None,
    doubt: float,
    verdict: Verdict,
    factor: float,
) -> None:
    """Whatever is asked, the ends are in order, the ticks rise evenly and stay readable."""
    high = None if width is None else (low or 0.0) + width
    scale = scale_of(
        Ruler(low=low, high=high, value=value, doubt=doubt, verdict=verdict, factor=factor)
    )
    assert 0.0 <= scale.start < scale.end
    assert 2 <= len(scale.ticks) <= 12
    steps = [b - a for a, b in pairwise(scale.ticks)]
    assert steps == pytest.approx([steps[0]] * len(steps), rel=1e-6)
    assert scale.place(scale.start) == 0.0
    assert scale.place(scale.end) == 1.0
    if value is not None and value >= 0.0:
        assert scale.start <= value * (1.0 + 1e-9)
        assert value * (1.0 - 1e-9) <= scale.end
