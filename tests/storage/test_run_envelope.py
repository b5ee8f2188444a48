"""The lowest and highest of a run for its plot, on either database."""

from collections.abc import Iterator

import numpy as np
import pytest

from benchassist.storage import track
from benchassist.storage.store import SqlStore
from tests.storage.run_case import TIME_ERROR_S, Log, log, reading, recorded


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    """Gather a tail as soon as it has 500 samples."""
    monkeypatch.setattr(track, "GATHER_AT", 500)


def window_of(envelope: tuple[np.ndarray, ...], expected: Log) -> Iterator[tuple[int, int, int]]:
    """Each row of an envelope with the first and the last sample that are in it."""
    starts = np.searchsorted(expected.t_s, envelope[0] - TIME_ERROR_S)
    ends = [*starts[1:], len(expected.t_s)]
    yield from zip(range(len(starts)), starts.tolist(), ends, strict=True)


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("buckets", [1, 7, 100, 2000, 100_000])
def test_the_envelope_of_a_whole_run_is_exact(store: SqlStore, buckets: int) -> None:
    """Each row has the lowest and highest of its samples, and every sample is in one row."""
    expected = log(20_000, opens=[3000, 3001, 17_000])
    run_id = recorded(store, expected.readings())
    rows = store.run_envelope(run_id, "A", start_s=-np.inf, end_s=np.inf, buckets=buckets)
    t_s, low, high = rows
    assert len(t_s) <= buckets
    assert len(t_s) > 0.8 * min(buckets, 20_000) or buckets == 100_000
    assert (np.diff(t_s) > 0).all()
    for row, start, end in window_of(rows, expected):
        assert low[row] == expected.value[start:end].min()
        assert high[row] == expected.value[start:end].max()
    assert next(window_of(rows, expected))[1] == 0


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("buckets", [5, 60, 500])
def test_the_envelope_of_a_window(store: SqlStore, buckets: int) -> None:
    """Rows lie in the window but for less than a bucket at its ends, and hold its extremes."""
    expected = log(20_000)
    run_id = recorded(store, expected.readings())
    for start_s, end_s in ((100.0, 1900.0), (555.5, 556.5), (1500.0, 1700.0)):
        rows = store.run_envelope(run_id, "A", start_s=start_s, end_s=end_s, buckets=buckets)
        t_s, low, high = rows
        bucket_s = (end_s - start_s) / buckets
        assert start_s - bucket_s < t_s[0]
        assert t_s[-1] <= end_s
        for row, start, end in list(window_of(rows, expected))[:-1]:
            assert low[row] == expected.value[start:end].min()
            assert high[row] == expected.value[start:end].max()
        inside = (expected.t_s >= start_s) & (expected.t_s <= end_s)
        assert low.min() <= expected.value[inside].min()
        assert high.max() >= expected.value[inside].max()
        around = (expected.t_s >= start_s - bucket_s) & (expected.t_s <= end_s + bucket_s)
        assert low.min() >= expected.value[around].min()
        assert high.max() <= expected.value[around].max()


@pytest.mark.usefixtures("small")
def test_a_burst_and_a_crawl_in_one_envelope(store: SqlStore) -> None:
    """Where samples come slowly the rows stay as fine as asked for, whatever came in a burst."""
    burst = log(10_000, rate_hz=1000.0)
    crawl = log(300, rate_hz=0.1)
    expected = Log(
        np.concatenate([burst.t_s, burst.t_s[-1] + crawl.t_s]),
        np.concatenate([burst.value, crawl.value]),
    )
    run_id = recorded(store, expected.readings())
    rows = store.run_envelope(run_id, "A", start_s=0.0, end_s=1e9, buckets=200)
    assert len(rows[0]) > 190
    for row, start, end in window_of(rows, expected):
        assert rows[1][row] == expected.value[start:end].min()
        assert rows[2][row] == expected.value[start:end].max()


def test_an_envelope_of_nothing_is_empty(store: SqlStore) -> None:
    """A channel without samples, and a window beyond them, have no rows."""
    run_id = recorded(store, [reading(1.0), reading(2.0)])
    for channel, start_s, end_s in (("B", 0.0, 9.0), ("A", 5.0, 9.0), ("A", 2.0, 1.0)):
        rows = store.run_envelope(run_id, channel, start_s=start_s, end_s=end_s, buckets=10)
        assert [len(column) for column in rows] == [0, 0, 0]
    whole = store.run_envelope(run_id, "A", start_s=0.0, end_s=9.0, buckets=0)
    assert [len(column) for column in whole] == [1, 1, 1]
    assert len(store.run_samples(run_id, "B")) == 0
