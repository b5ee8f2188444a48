"""Runs recorded and read back, on either database."""

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest

from benchassist.core.entry import Struck
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag
from benchassist.core.run import RunGap
from benchassist.errors import NotFoundError, StoreError
from benchassist.services.needs import Recording, RunStore
from benchassist.storage import open_store, track
from benchassist.storage.store import SqlStore
from tests.storage.case import PATIENCE, Scribe, header, settled
from tests.storage.run_case import (
    TIME_ERROR_S,
    Log,
    assert_same,
    heat_run,
    log,
    put_all,
    reading,
    recorded,
    run_header,
)


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    """Gather a tail as soon as it has 500 samples."""
    monkeypatch.setattr(track, "GATHER_AT", 500)


def bodies(store: SqlStore, table: str) -> int:
    """Return how many rows a table of runs has."""
    with store._reading() as connection:
        found = connection.exec_driver_sql(f"SELECT count(*) FROM {table}").scalar()  # noqa: S608 - our own name
    assert isinstance(found, int)
    return found


def test_a_run_comes_back(store: SqlStore) -> None:
    """Every value exactly, every time within 50 µs, overloads as inf, each with its resolution."""
    expected = log(3000, opens=[7, 8, 2000])
    run_id = recorded(store, expected.readings())
    samples = store.run_samples(run_id, "A")
    assert_same(samples, expected)
    assert (samples.resolution == 10.0).all()
    assert store.run_gaps(run_id) == ()
    assert store.run_channels(run_id) == ("A",)
    first, last = store.run_extent(run_id)
    assert abs(first - expected.t_s[0]) <= TIME_ERROR_S
    assert abs(last - expected.t_s[-1]) <= TIME_ERROR_S


def test_seconds_are_counted_from_each_channels_origin(store: SqlStore) -> None:
    """Second 0 is the origin given for a channel; what was before it is before second 0."""
    readings = [reading(99.5), reading(101.0), reading(8.0, 20.0, channel="B")]
    run_id = recorded(store, readings, A=100.0, B=7.0)
    assert store.run_samples(run_id, "A").t_s.tolist() == [-0.5, 1.0]
    assert store.run_samples(run_id, "B").t_s.tolist() == [1.0]
    assert store.run_channels(run_id) == ("A", "B")
    assert store.run_extent(run_id) == (-0.5, 1.0)


@pytest.mark.usefixtures("small")
def test_the_tail_is_gathered_and_reads_the_same(location: str) -> None:
    """Samples read the same from the tail, while it is gathered and out of chunks alone."""
    expected = log(4321, opens=range(1200, 1300))
    with open_store(location) as store:
        header_ = run_header()
        recording = store.record(header_, {})
        for number, item in enumerate(expected.readings(), 1):
            recording.put(item)
            if number % 700 == 0:
                assert recording.flushed(PATIENCE)
                so_far = Log(expected.t_s[:number], expected.value[:number])
                assert_same(store.run_samples(header_.id, "A"), so_far)
        recording.close()
    with open_store(location) as store:
        assert_same(store.run_samples(header_.id, "A"), expected)
        assert bodies(store, "run_tail") == 0
        assert 1 <= bodies(store, "run_chunk") <= 9


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize(("start", "end"), [(0, 4000), (700, 710), (499, 1501), (3999, 4000)])
def test_a_stretch_of_a_run(store: SqlStore, start: int, end: int) -> None:
    """The samples between two moments are those of the whole, both ends included."""
    expected = log(4000)
    run_id = recorded(store, expected.readings())
    whole = store.run_samples(run_id, "A")
    part = store.run_samples(
        run_id, "A", start_s=float(whole.t_s[start]), end_s=float(whole.t_s[end - 1])
    )
    assert_same(part, Log(expected.t_s[start:end], expected.value[start:end]))
    assert len(store.run_samples(run_id, "A", start_s=1e6)) == 0
    assert len(store.run_samples(run_id, "A", end_s=-1.0)) == 0
    assert len(store.run_samples(run_id, "A", start_s=9.0, end_s=8.0)) == 0


def test_held_and_foreign_readings_are_kept_and_left_out(store: SqlStore) -> None:
    """HOLD and another function show as gaps; the samples around them are all there."""
    held = [reading(2.0 + i, 1.0, flags=[Flag.HOLD]) for i in range(3)]
    volts = [reading(6.0 + i, 0.5, quantity=Quantity.VOLTAGE) for i in range(2)]
    readings = [reading(1.0), *held, reading(5.0), *volts, reading(8.0, flags=[Flag.MIN])]
    run_id = recorded(store, readings)
    assert store.run_samples(run_id, "A").t_s.tolist() == [1.0, 5.0]
    assert store.run_gaps(run_id) == (
        RunGap(channel="A", start_s=1.0, end_s=5.0, reason="hold"),
        RunGap(channel="A", start_s=5.0, end_s=8.0, reason="function"),
        RunGap(channel="A", start_s=8.0, end_s=8.0, reason="hold"),
    )
    (channel,) = store.run_record(run_id).channels
    assert list(channel.readings()) == readings


def test_a_gap_grows_while_it_is_open(store: SqlStore) -> None:
    """A held display is one gap, however often it was written meanwhile, and per channel."""
    header_ = run_header()
    recording = store.record(header_, {})
    recording.put(reading(1.0))
    for t_s in (2.0, 3.0, 4.0):
        recording.put(reading(t_s, flags=[Flag.HOLD]))
        recording.put(reading(t_s, 20.0, channel="B"))
        assert recording.flushed(PATIENCE)
        assert store.run_gaps(header_.id) == (
            RunGap(channel="A", start_s=1.0, end_s=t_s, reason="hold"),
        )
    recording.put(reading(5.0))
    recording.put(reading(6.0, flags=[Flag.HOLD]))
    recording.gap(RunGap(channel="B", start_s=4.0, end_s=9.0, reason="lost"))
    assert recording.flushed(PATIENCE)
    assert store.run_gaps(header_.id) == (
        RunGap(channel="A", start_s=1.0, end_s=5.0, reason="hold"),
        RunGap(channel="B", start_s=4.0, end_s=9.0, reason="lost"),
        RunGap(channel="A", start_s=5.0, end_s=6.0, reason="hold"),
    )
    recording.close()


def test_a_change_of_range_keeps_each_count(store: SqlStore) -> None:
    """Samples before and after a change of range have each the resolution they came with."""
    readings = [
        reading(1.0, 199.9, resolution=0.1),
        reading(2.0, 201.0, resolution=1.0),
        reading(3.0, 201.0, resolution=None),
    ]
    run_id = recorded(store, readings)
    samples = store.run_samples(run_id, "A")
    assert samples.resolution[:2].tolist() == [0.1, 1.0]
    assert np.isnan(samples.resolution[2])
    assert samples.value.tolist() == [199.9, 201.0, 201.0]


def test_what_is_no_count_comes_back_to_the_last_bit(store: SqlStore) -> None:
    """Values that are no whole counts of anything are kept as they are."""
    values = np.random.default_rng(5).normal(6500.0, 1.0, 5000)
    expected = Log(np.linspace(0.0, 5.0, 5000), values)
    assert_same(store.run_samples(recorded(store, expected.readings()), "A"), expected)


def test_a_run_that_is_not_there_is_one_line(store: SqlStore) -> None:
    """Everything asked of a run that is not on file says so."""
    asked: list[Callable[[], object]] = [
        lambda: store.run_samples("gone", "A"),
        lambda: store.run_envelope("gone", "A", start_s=0.0, end_s=1.0, buckets=10),
        lambda: store.run_gaps("gone"),
        lambda: store.run_extent("gone"),
        lambda: store.run_channels("gone"),
        lambda: store.run_header("gone"),
        lambda: store.run_record("gone"),
    ]
    for ask in asked:
        with pytest.raises(NotFoundError, match="there is no run 'gone' on file") as refused:
            ask()
        assert "\n" not in str(refused.value)


def test_a_run_that_has_just_begun_is_empty(store: SqlStore) -> None:
    """A run is there as soon as it is recorded, before the disk has heard of it."""
    header_ = run_header()
    recording = store.record(header_, {})
    assert len(store.run_samples(header_.id, "A")) == 0
    assert store.run_gaps(header_.id) == ()
    assert len(store.run_envelope(header_.id, "A", start_s=0.0, end_s=1.0, buckets=5)[0]) == 0
    assert recording.flushed(PATIENCE)
    assert store.run_header(header_.id) == header_
    with pytest.raises(NotFoundError, match="has no samples on file"):
        store.run_extent(header_.id)
    recording.close()


def test_a_run_is_recorded_once(location: str) -> None:
    """A run that is kept already is refused, under way, after its end and by the next program."""
    header_ = run_header()
    with open_store(location) as store:
        recording = store.record(header_, {})
        with pytest.raises(StoreError, match="kept already"):
            store.record(header_, {})
        recording.put(reading(1.0))
        recording.close()
    with pytest.raises(StoreError, match="the shop is closed"):
        store.record(run_header(), {})
    with open_store(location) as store, pytest.raises(StoreError, match="kept already"):
        store.record(header_, {})
    with (
        open_store(location, read_only=True) as store,
        pytest.raises(StoreError, match="for reading only"),
    ):
        store.record(run_header(), {})


def test_closing_the_shop_writes_what_is_in_hand(location: str) -> None:
    """A run that was not ended when the shop was closed has everything put until then."""
    expected = log(12_345)
    header_ = run_header()
    with open_store(location) as store:
        put_all(store.record(header_, {}), expected.readings())
    with open_store(location, read_only=True) as store:
        assert_same(store.run_samples(header_.id, "A"), expected)


def test_two_runs_at_once_keep_apart(store: SqlStore) -> None:
    """Two runs under way at the same time have each its own samples."""
    logs = [log(900, seed=1), log(900, seed=2)]
    runs = [run_header(), run_header()]
    recordings = [store.record(run, {}) for run in runs]
    for pair in zip(*(part.readings() for part in logs), strict=True):
        for recording, item in zip(recordings, pair, strict=True):
            recording.put(item)
    for run, recording, expected in zip(runs, recordings, logs, strict=True):
        recording.close()
        assert recording.flushed(PATIENCE)
        assert_same(store.run_samples(run.id, "A"), expected)


def test_a_taken_reading_is_stored_while_a_run_is_recorded(store: SqlStore) -> None:
    """Readings taken in mid-run are acknowledged in order, and both are on file."""
    visit = header()
    run = run_header(visit.id)
    recording = store.record(run, {})
    tickets = [store.submit_visit(visit)]
    scribe, expected = Scribe(visit), log(20_000)
    for number, item in enumerate(expected.readings()):
        recording.put(item)
        if number % 2000 == 0:
            tickets.append(store.submit(scribe.taken()))
    settled(store, *tickets)
    recording.close()
    assert recording.flushed(PATIENCE)
    assert_same(store.run_samples(run.id, "A"), expected)
    assert len(store.visit(visit.id)[1]) == 10


@pytest.mark.usefixtures("small")
def test_a_tail_left_behind_is_gathered_by_the_next_run(location: str) -> None:
    """What a program that ended in mid-run left in the tail is put into a chunk later on."""
    expected, cut = log(300), run_header()
    store = open_store(location)
    recording = store.record(cut, {})
    put_all(recording, expected.readings())
    assert recording.flushed(PATIENCE)
    # The program ends here: nobody gathers the rest.
    recording._gather_from_s = np.inf
    assert store._writer is not None
    store._writer._chores._left.clear()
    store.close()
    with open_store(location) as store:
        assert bodies(store, "run_tail") > 0
        assert_same(store.run_samples(cut.id, "A"), expected)
        recorded(store, [reading(1.0)])
    with open_store(location) as store:
        assert bodies(store, "run_tail") == 0
        assert_same(store.run_samples(cut.id, "A"), expected)
        rows = store.run_envelope(cut.id, "A", start_s=0.0, end_s=1e9, buckets=20)
        assert rows[2].max() == expected.value.max()


@pytest.mark.usefixtures("small")
def test_another_program_may_gather_a_run_under_way(location: str) -> None:
    """A second program that tidies up takes the tail of a run under way, and nothing is lost."""
    expected, run = log(2000), run_header()
    with open_store(location) as ours, open_store(location) as theirs:
        recording = ours.record(run, {})
        readings = list(expected.readings())
        for part in (readings[:400], readings[400:800], readings[800:1900], readings[1900:]):
            put_all(recording, part)
            assert recording.flushed(PATIENCE)
            theirs._recorded.clear()
            recorded(theirs, [reading(1.0)])
        recording.close()
    with open_store(location) as store:
        assert bodies(store, "run_tail") == 0
        assert_same(store.run_samples(run.id, "A"), expected)
        rows = store.run_envelope(run.id, "A", start_s=0.0, end_s=1e9, buckets=50)
        assert (rows[1].min(), rows[2].max()) == (expected.value.min(), expected.value.max())


def test_the_numbers_of_the_tail_rise(store: SqlStore) -> None:
    """Rows of the tail are read in the order in which they were written."""
    run = run_header()
    recording = store.record(run, {})
    for t_s in range(25):
        recording.put(reading(float(t_s)))
        assert recording.flushed(PATIENCE)
    assert bodies(store, "run_tail") == 25
    t_s = store.run_samples(run.id, "A").t_s.tolist()
    assert all(later - sooner == 1.0 for sooner, later in pairwise(t_s))
    recording.close()


def test_a_shop_keeps_what_the_use_cases_ask_for(store: SqlStore) -> None:
    """A shop and a run under way are the `RunStore` and the `Recording` of the use cases."""
    kept: RunStore = store
    run = run_header()
    recording: Recording = kept.record(run, {"A": 0.0})
    recording.put(reading(1.0))
    recording.close()
    assert recording.flushed(PATIENCE)
    assert recording.trouble == ""
    assert kept.run_extent(run.id) == (1.0, 1.0)


def test_a_run_that_ended_counts_in_the_list_of_visits(store: SqlStore) -> None:
    """A check whose run has ended is done, until the run is struck; the bench stands at it."""
    visit = header()
    scribe = Scribe(visit)
    entries = heat_run(scribe, check_key="gap")
    settled(store, store.submit_visit(visit), store.submit(*entries[:-1]))
    (listed,) = store.visits()
    assert (listed.done, listed.current_check) == (0, "gap")
    settled(store, store.submit(entries[-1]))
    (listed,) = store.visits()
    assert (listed.done, listed.current_check) == (1, "gap")
    struck = Struck(stamp=scribe.stamp(), check_key="gap", entry_id=entries[-1].stamp.id)
    settled(store, store.submit(struck))
    (listed,) = store.visits()
    assert (listed.done, listed.current_check) == (0, "gap")


@pytest.mark.long
@pytest.mark.timeout(600)
def test_a_day_at_ten_hertz(store: SqlStore) -> None:
    """Twenty-four hours of two channels come back whole; neither memory nor the tail grows."""
    expected, run = log(24 * 3600 * 10, opens=range(400_000, 401_000)), run_header()
    recording = store.record(run, {})
    most_in_memory = longest_tail = 0
    pairs = zip(expected.readings("A"), expected.readings("B"), strict=True)
    for number, pair in enumerate(pairs, 1):
        for item in pair:
            recording.put(item)
        if number % 5000 == 0:
            most_in_memory = max(most_in_memory, recording._inlet._in_memory)
            assert recording.flushed(PATIENCE)
            longest_tail = max(longest_tail, *(t.samples for t in recording._tracks.values()))
    recording.close()
    assert recording.flushed(PATIENCE)
    assert most_in_memory <= 10_000
    assert longest_tail < 3 * track.GATHER_AT
    for channel in "AB":
        assert_same(store.run_samples(run.id, channel), expected)
        rows = store.run_envelope(run.id, channel, start_s=0.0, end_s=1e6, buckets=1000)
        assert len(rows[0]) == 1000
