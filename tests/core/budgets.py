"""Shared Hypothesis strategies: meters, leads, temperatures, bands and readings of a bench."""

from hypothesis import strategies as st

from benchassist.core.accuracy import Accuracy, LeadZero
from benchassist.core.band import Band
from benchassist.core.estimate import Conditions, PartTemperature
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading

RANGES = (200.0, 2e3, 2e4, 2e5, 2e6, 2e7)
"""Full scales of a 2,000-count hand-held, in ohm."""


def ohms(
    value: float | None, *, count: float | None = 10.0, full_scale: float | None = 2e4
) -> Reading:
    """A reading in ohms; no value is an overload."""
    return Reading(
        t_s=0.0,
        channel="A",
        quantity=Quantity.RESISTANCE,
        value=value,
        resolution=count,
        full_scale=full_scale,
        overload=value is None,
        exponent=3,
    )


def band_of(low: float | None, high: float | None, *, copper: bool = False) -> Band:
    """A band in ohms."""
    return Band(quantity=Quantity.RESISTANCE, low=low, high=high, copper=copper)


accuracies = st.builds(
    Accuracy,
    percent=st.floats(0.0, 5.0),
    counts=st.floats(0.0, 20.0),
    percent_of_range=st.floats(0.0, 0.5),
)


@st.composite
def readings(draw: st.DrawFn) -> Reading:
    """A displayed value on one of the ranges: a whole number of counts."""
    full_scale = draw(st.sampled_from(RANGES))
    count = full_scale / 2000.0
    return ohms(draw(st.integers(-5, 1999)) * count, count=count, full_scale=full_scale)


@st.composite
def lead_zeros(draw: st.DrawFn) -> LeadZero:
    """A zero on any range, with an accuracy of its own."""
    full_scale = draw(st.sampled_from(RANGES[:3]))
    return LeadZero(
        value=draw(st.integers(0, 5)) * full_scale / 2000.0,
        resolution=full_scale / 2000.0,
        accuracy=draw(accuracies),
        full_scale=full_scale,
    )


part_temperatures = st.builds(
    PartTemperature, celsius=st.floats(-40.0, 300.0), u=st.floats(0.1, 10.0)
)

conditions = st.builds(
    Conditions,
    accuracy=accuracies,
    lead_zero=st.none() | lead_zeros(),
    spread=st.floats(0.0, 50.0),
    part_temperature=st.none() | part_temperatures,
    copper_reference=st.none() | st.sampled_from((20.0, 25.0)),
)


@st.composite
def bands(draw: st.DrawFn) -> Band:
    """A band in ohms, open on one side at times."""
    middle = draw(st.floats(0.5, 1.5e7))
    half = middle * draw(st.floats(0.001, 0.9))
    sides = draw(st.sampled_from(("both", "low", "high")))
    return band_of(
        None if sides == "high" else middle - half, None if sides == "low" else middle + half
    )
