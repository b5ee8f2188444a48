"""A program that gathers a run's tail and ends without warning leaves every sample, once."""

import numpy as np
import pytest
from sqlalchemy import Connection, delete, func, select

from benchassist.storage import open_store, schema
from benchassist.storage.bins import FAN, bins_of, grouped, joined, unpack_bins
from benchassist.storage.chunk import unpack_chunk
from benchassist.storage.compaction import MOST, compact
from benchassist.storage.engine import writing_engine
from benchassist.storage.place import place_of
from tests.storage.killing import killed
from tests.storage.run_case import long_chunk
from tests.storage.test_compaction import same
from tests.storage.test_process import sound

LATEST_S = 0.2
OF_A_RUN = ("run_dial", "run_tail", "run_chunk", "run_bins")


def killed_in_mid_gathering(location: str, rounds: int, seed: int) -> list[int]:
    """Kill a program that gathers a long tail; return how many chunks there were after each kill.

    Each time every sample must be there, once and in order, and the levels of bins must stand on
    what is gathered; what is left of the tail is then gathered to its end.
    """
    open_store(location).close()
    whole, counts = long_chunk(), list[int]()
    engine = writing_engine(place_of(location))
    for kill in killed(rounds, seed, LATEST_S, "gather", location):
        run_id = kill.said[0]
        assert sound(location)
        with open_store(location, read_only=True) as store:
            samples = store.run_samples(run_id, "A")
            assert np.array_equal(samples.value, whole.value)
            assert np.array_equal(samples.t_s, whole.t_s)
        with engine.begin() as connection:
            counts.append(assert_gathered(connection, run_id))
            while compact(connection, run_id, "A"):
                pass
            assert assert_gathered(connection, run_id) == -(-len(whole) // MOST)
            for name in OF_A_RUN:
                table = schema.metadata.tables[name]
                connection.execute(delete(table).where(table.c.run_id == run_id))
            connection.execute(delete(schema.run).where(schema.run.c.id == run_id))
    engine.dispose()
    return counts


def assert_gathered(connection: Connection, run_id: str) -> int:
    """Each level of bins stands on what is below it; returns how many chunks there are."""
    c, b = schema.run_chunk.c, schema.run_bins.c
    bodies = connection.scalars(select(c.body).where(c.run_id == run_id).order_by(c.number)).all()
    parts = [unpack_chunk(body, np.array([False])) for body in bodies]
    expected = joined([bins_of(part.tick, part.value) for part in parts])
    highest = connection.scalar(select(func.max(b.level)).where(b.run_id == run_id)) or 0
    for level in range(1, highest + 1):
        here = b.run_id == run_id, b.level == level
        found = connection.scalars(select(b.body).where(*here).order_by(b.number)).all()
        assert same(joined([unpack_bins(body) for body in found]), expected)
        expected = grouped(expected, np.arange(0, len(expected), FAN))
    assert (highest > 0) == bool(parts)
    return len(parts)


def test_a_kill_in_mid_gathering_leaves_every_sample(location: str) -> None:
    """Killed with -9 thirty times, every sample is there once, and the rest is gathered."""
    counts = killed_in_mid_gathering(location, 30, seed=31)
    assert len(counts) == 30
    assert sum(count < 2 for count in counts) >= 15


@pytest.mark.long
@pytest.mark.timeout(1800)
def test_three_hundred_kills_in_mid_gathering(location: str) -> None:
    """The same, three hundred times; they came after none of the pieces and after each."""
    counts = killed_in_mid_gathering(location, 300, seed=32)
    assert set(counts) == {0, 1, 2}
