"""What hands-free taking must never do, over any stream of readings."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.quantity import Quantity
from benchassist.core.reading import BARS_TAKING, Flag, Mode, Reading
from benchassist.core.steady import LIFTED_FOR, Phase, SteadyDetector
from tests.core.budgets import ohms

COUNT = 10.0


@dataclass(frozen=True, slots=True)
class Take:
    """A taking: which reading of the stream."""

    index: int
    reading: Reading


@st.composite
def streams(draw: st.DrawFn) -> list[Reading]:
    """Touches, slips, lifts, flags, other ranges and silences, at any pace."""
    readings: list[Reading] = []
    t = 0.0
    period = draw(st.sampled_from((0.1, 0.25, 0.4, 0.9)))
    for _ in range(draw(st.integers(1, 8))):
        level = draw(st.sampled_from((0, 1, 437, 438, 440, 600, 1500)))
        kind = draw(st.sampled_from(("touch", "touch", "touch", "open", "drift", "held", "range")))
        t += draw(st.sampled_from((0.0, 0.0, 0.0, 5.0)))
        for i in range(draw(st.integers(1, 14))):
            t += period
            noise = draw(st.integers(-1, 1)) if kind == "touch" else 0
            drift = 4 * i if kind == "drift" else 0
            coarse = kind == "range"
            readings.append(
                Reading(
                    t_s=t,
                    channel="A",
                    quantity=Quantity.RESISTANCE,
                    value=None if kind == "open" else (level + noise + drift) * COUNT,
                    resolution=COUNT * (10.0 if coarse else 1.0),
                    full_scale=2e5 if coarse else 2e4,
                    overload=kind == "open",
                    flags=frozenset({Flag.HOLD}) if kind == "held" else frozenset(),
                )
            )
    return readings


def takings(stream: Sequence[Reading]) -> list[Take]:
    """Take whenever the detector says steady, as the bench does."""
    detector = SteadyDetector(Quantity.RESISTANCE)
    taken = []
    for i, reading in enumerate(stream):
        status = detector.feed(reading)
        if status.phase is Phase.STEADY and status.reading is not None:
            assert any(status.reading is shown for shown in stream[: i + 1])
            detector.taken(status.reading)
            taken.append(Take(i, status.reading))
    return taken


def at_rest(window: Sequence[Reading]) -> bool:
    """The rule of the design, on the raw stream."""
    values = [r.value for r in window]
    numbers = [v for v in values if v is not None]
    if len(numbers) < len(values) or len(numbers) < 3:
        return False
    last = window[-1]
    allowed = max(2.0 * (last.resolution or 0.0), 0.003 * abs(numbers[-1])) * (1.0 + 1e-6)
    return (
        max(numbers) - min(numbers) <= allowed
        and last.t_s - window[0].t_s >= 1.0
        and not any(r.flags & BARS_TAKING or r.mode is not Mode.PLAIN for r in window)
        and len({(r.resolution, r.full_scale) for r in window}) == 1
    )


@given(streams())
def test_nothing_moving_open_or_flagged_is_taken(stream: list[Reading]) -> None:
    """Before every taking stand at least three readings over a second, at rest and unflagged."""
    for take in takings(stream):
        assert any(at_rest(stream[start : take.index + 1]) for start in range(take.index))


@given(streams(), st.lists(st.integers(1, 9), min_size=1))
def test_a_batch_says_what_its_last_reading_does(stream: list[Reading], sizes: list[int]) -> None:
    """However readings are bundled, what stands after them is the same."""
    one, many = SteadyDetector(Quantity.RESISTANCE), SteadyDetector(Quantity.RESISTANCE)
    at, turn = 0, 0
    while at < len(stream):
        batch = stream[at : at + sizes[turn % len(sizes)]]
        assert many.feed_all(batch) == [one.feed(reading) for reading in batch][-1]
        at, turn = at + len(batch), turn + 1


@given(streams())
def test_what_is_taken_agrees_with_what_shows_now(stream: list[Reading]) -> None:
    """It is one of the readings at rest that end here, whatever was shown before."""
    for take in takings(stream):
        starts = [s for s in range(take.index) if at_rest(stream[s : take.index + 1])]
        assert any(reading is take.reading for reading in stream[min(starts) : take.index + 1])


def off(reading: Reading, taken: Reading) -> bool:
    """Whether a reading shows the probes off the taken touch."""
    if reading.flags & BARS_TAKING:
        return False
    if reading.value is None or taken.value is None:
        return True
    moved = abs(reading.value - taken.value)
    return moved > 0.2 * abs(taken.value) or (
        abs(reading.value) <= 2.0 * (reading.resolution or 0.0) < moved
    )


@given(streams())
def test_one_touch_is_never_taken_twice(stream: list[Reading]) -> None:
    """Between two takings the probes were off the first for half a second without a break."""
    taken = takings(stream)
    for first, second in pairwise(taken):
        between = stream[first.index + 1 : second.index]
        lifted, since = False, None
        for reading in between:
            if not off(reading, first.reading):
                since = None
                continue
            since = reading.t_s if since is None else since
            lifted = lifted or reading.t_s - since >= LIFTED_FOR
        assert lifted


@given(st.lists(st.sampled_from([None, 0.0]), min_size=1, max_size=40))
def test_an_overload_is_never_taken_by_itself(values: list[float | None]) -> None:
    """However long the probes are open, nothing is taken."""
    stream = [
        Reading(
            t_s=0.4 * i,
            channel="A",
            quantity=Quantity.RESISTANCE,
            value=value,
            resolution=COUNT,
            full_scale=2e4,
            overload=value is None,
        )
        for i, value in enumerate(values)
    ]
    assert all(take.reading.value is not None for take in takings(stream))


@given(value=st.integers(5, 1900), readings=st.integers(4, 20))
def test_a_still_touch_is_taken(value: int, readings: int) -> None:
    """The other way round: a part held still is taken, once."""
    stream = [
        Reading(
            t_s=0.4 * i,
            channel="A",
            quantity=Quantity.RESISTANCE,
            value=ohms(value * COUNT).value,
            resolution=COUNT,
            full_scale=2e4,
        )
        for i in range(readings)
    ]
    assert len(takings(stream)) == 1
