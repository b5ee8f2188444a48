import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.envelope import Envelope
from benchassist.core.extremes import Rows
from benchassist.core.samples import Column

VALUES = st.lists(
    st.one_of(st.floats(-100.0, 100.0), st.just(float("inf")), st.just(float("nan"))),
    min_size=1,
    max_size=900,
)


def filled(values: Column, *, capacity: int, period: float = 0.1) -> Envelope:
    """One sample every period."""
    envelope = Envelope(capacity)
    for place, value in enumerate(values.tolist()):
        envelope.append(place * period, value)
    return envelope


def extremes(rows: Rows) -> tuple[float, float]:
    """The lowest of all, and the highest."""
    return float(np.nanmin(rows[1])), float(np.nanmax(rows[2]))


@given(VALUES)
def test_nothing_that_was_seen_is_lost(values: list[float]) -> None:
    """Lowest, highest and every overload of the samples are those of the rows, in rising order."""
    value = np.array(values)
    rows = filled(value, capacity=16).columns()
    assert (np.diff(rows[0]) >= 0.0).all()
    assert ((rows[1] <= rows[2]) | np.isnan(rows[1])).all()
    if not np.isnan(value).all():
        assert extremes(rows) == (np.nanmin(value), np.nanmax(value))
    assert np.isposinf(rows[2]).any() == np.isposinf(value).any()


@given(VALUES, st.integers(0, 900))
def test_blocks_and_single_samples_show_the_same_extremes(values: list[float], cut: int) -> None:
    """However the samples come, the extremes are the same, and so is where what is known begins.

    A gap before the first value parts nothing and may be left out.
    """
    value = np.array(values)
    t_s = np.arange(len(value)) * 0.1
    envelope = Envelope(16)
    for start in range(0, len(value), cut + 1):
        envelope.extend(t_s[start : start + cut + 1], value[start : start + cut + 1])
    assert len(envelope) == len(value)
    one, other = envelope.columns(), filled(value, capacity=16).columns()
    if not np.isnan(value[0]):
        assert one[0][0] == other[0][0] == 0.0
    if not np.isnan(value).all():
        assert extremes(one) == extremes(other)


def test_what_is_new_is_there_sample_by_sample() -> None:
    """The newest stretch comes as it was read, with a row before it so that a line enters."""
    value = np.arange(50_000.0) % 977.0
    envelope = filled(value, capacity=256)
    t_s, low, high = envelope.columns(4995.0)
    assert t_s[0] == pytest.approx(4994.9)
    assert t_s[1:] == pytest.approx(np.arange(49_950, 50_000) * 0.1)
    assert (low == high).all()
    assert (low[1:] == value[49_950:]).all()


def test_a_stretch_ends_one_row_after_its_end() -> None:
    """The row after the end comes too, and nothing beyond it."""
    t_s, _, _ = filled(np.arange(100.0), capacity=256).columns(2.0, 3.0)
    assert t_s == pytest.approx(np.arange(19, 32) * 0.1)


def test_the_whole_is_there_at_every_length() -> None:
    """From the beginning to now, in no fewer rows than half the capacity once there are as many."""
    envelope = Envelope(64)
    for place in range(20_000):
        envelope.append(float(place), float(place))
        if place % 997 == 996:
            rows = envelope.columns()
            assert rows[0][0] == 0.0
            assert rows[2][-1] == place
            assert 32 <= len(rows[0]) <= 64 * 4


def test_memory_stays_where_it_is() -> None:
    """A day at ten a second keeps its extremes in two megabytes, and so does an hour at 1 kHz."""
    for count, period in ((864_000, 0.1), (3_600_000, 0.001)):
        value = 6.5 + 0.01 * np.sin(np.arange(count) * 0.37)
        value[count // 3] = 9.0
        envelope = Envelope()
        envelope.extend(np.arange(count) * period, value)
        assert envelope.nbytes < 2e6
        t_s, _, high = envelope.columns()
        assert high.max() == 9.0
        spike = t_s[int(np.argmax(high))]
        assert spike == pytest.approx(count // 3 * period, abs=count * period / 500.0)


def test_a_long_gap_outlives_every_merge() -> None:
    """An hour without a reading is still a gap in the whole day, at its place."""
    envelope = Envelope(256)
    for place in range(200_000):
        if place * 0.4 <= 30_000.0 or place * 0.4 >= 33_600.0:
            envelope.append(place * 0.4, 5.0)
        elif (place - 1) * 0.4 <= 30_000.0:
            envelope.append(place * 0.4, float("nan"))
    t_s, low, _ = envelope.columns()
    gaps = np.flatnonzero(np.isnan(low))
    assert len(gaps) == 1
    assert t_s[gaps[0]] == pytest.approx(30_000.4, abs=0.1)
    assert t_s[gaps[0] + 1] >= 33_600.0


def test_a_reading_between_two_gaps_keeps_its_place() -> None:
    """What stands alone between long gaps is joined to neither side."""
    envelope = Envelope(16)
    for place in range(5_000):
        envelope.append(float(place), 1.0)
    for t_s, value in ((5_000.0, np.nan), (9_000.0, 7.0), (9_001.0, np.nan), (12_000.0, 1.0)):
        envelope.append(t_s, value)
    for place in range(4_000):
        envelope.append(12_001.0 + place, 1.0)
    t_s, low, high = envelope.columns()
    alone = int(np.flatnonzero(high == 7.0)[0])
    assert t_s[alone] == 9_000.0
    assert low[alone] == 7.0
    assert np.isnan(low[alone - 1])
    assert np.isnan(low[alone + 1])


def test_gaps_everywhere_do_not_swell_it() -> None:
    """Every other sample a gap: each level is still shorter than the one below."""
    value = np.where(np.arange(60_000) % 2, np.nan, 4.0)
    envelope = filled(value, capacity=64)
    assert envelope.nbytes < 200_000
    assert len(envelope.columns()[0]) <= 64 * 4


def test_an_overload_leaves_the_lowest_reading_beside_it() -> None:
    """A row with an overload says so and still has its lowest reading, unless it has none."""
    value = np.full(4096, 6.5)
    value[2048:2050] = np.inf
    value[3072:3328] = np.inf
    t_s, low, high = filled(value, capacity=16).columns()
    row = int(np.searchsorted(t_s, 204.8, side="right")) - 1
    assert (low[row], high[row]) == (6.5, np.inf)
    only = int(np.searchsorted(t_s, 320.0, side="right")) - 1
    assert (low[only], high[only]) == (np.inf, np.inf)


def test_columns_are_the_callers_own() -> None:
    """What was handed out does not change when more comes."""
    envelope = filled(np.arange(30.0), capacity=16)
    before = envelope.columns()
    kept = [column.copy() for column in before]
    envelope.extend(np.arange(30.0, 90.0), np.full(60, 99.0))
    assert all((a == b).all() for a, b in zip(before, kept, strict=True))


def test_too_small_is_refused() -> None:
    """Fewer rows than a plot could use."""
    with pytest.raises(ValueError, match="at least 16"):
        Envelope(8)


def test_none_is_none() -> None:
    """Before the first sample there are no rows."""
    envelope = Envelope()
    assert len(envelope) == 0
    assert [len(column) for column in envelope.columns()] == [0, 0, 0]


def test_bursts_between_gaps_do_not_swell_it() -> None:
    """A meter that gives one reading a second and is lost between: bounded like any other."""
    envelope = Envelope(32)
    for place in range(20_000):
        envelope.append(float(place), 1.0)
        envelope.append(place + 0.001, float("nan"))
    assert envelope.nbytes < 32 * 2 * 3 * 8 * 20
    assert len(envelope.columns()[0]) <= 32 * 4
