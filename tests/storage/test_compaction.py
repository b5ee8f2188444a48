from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from sqlalchemy import Connection, delete, insert, select

from benchassist.storage import bins as binned
from benchassist.storage import open_store, schema
from benchassist.storage.bins import FAN, SAMPLES, Bins, bins_of, grouped, unpack_bins
from benchassist.storage.chunk import Chunk, pack_tail
from benchassist.storage.codec import encode, to_text
from benchassist.storage.compaction import MOST, compact, loose_ends
from benchassist.storage.dial import Dial

RUN = "run"


@pytest.fixture
def connection(tmp_path: Path) -> Iterator[Connection]:
    """Return a connection that may write, to a shop with one run in it and no samples."""
    with open_store(tmp_path / "shop.db") as store:
        engine = store._engines.writer
        assert engine is not None
        with engine.begin() as opened:
            run = {"id": RUN, "visit_id": "", "kind": "heat", "header": "{}"}
            dial = to_text(encode(Dial(channel="A")))
            opened.execute(insert(schema.run), run)
            opened.execute(
                insert(schema.run_dial), {"run_id": RUN, "number": 0, "channel": "A", "body": dial}
            )
            yield opened


def chunk(count: int) -> Chunk:
    """Return samples at random."""
    chance = np.random.default_rng(count)
    return Chunk(
        np.cumsum(chance.integers(1, 100, count)),
        chance.normal(0.0, 1.0, count),
        np.zeros(count, np.uint16),
    )


def add_tail(connection: Connection, number: int, samples: Chunk) -> None:
    """Put samples into the tail as one row."""
    row = {"run_id": RUN, "channel": "A", "number": number, "body": pack_tail(samples)}
    connection.execute(insert(schema.run_tail), row)


def levels(connection: Connection) -> list[Bins]:
    """Return the levels of bins on file, from the lowest."""
    found: dict[int, list[Bins]] = {}
    b = schema.run_bins.c
    for level, body in connection.execute(select(b.level, b.body).order_by(b.level, b.number)):
        found.setdefault(level, []).append(unpack_bins(body))
    assert list(found) == list(range(1, len(found) + 1))
    return [binned.joined(rows) for rows in found.values()]


def same(one: Bins, other: Bins) -> bool:
    """Whether all columns are the same."""
    return all(
        np.array_equal(getattr(one, name), getattr(other, name))
        for name in ("start", "end", "low", "high")
    )


@pytest.mark.parametrize(
    "sizes",
    [
        (1,),
        (SAMPLES * FAN, 1),
        (SAMPLES * (FAN - 1), 1, 1),
        (SAMPLES * FAN**2, SAMPLES * 3),
        (5000, 5000, 20_000, 3),
        (30_000,) * 10,
        (100,) * 50,
    ],
)
def test_levels_stand_on_each_other(connection: Connection, sizes: tuple[int, ...]) -> None:
    """However the samples came, each level has the extremes of every sixteen bins below it."""
    whole, lowest, at = chunk(sum(sizes)), list[Bins](), 0
    for number, size in enumerate(sizes):
        part = whole.where(slice(at, at + size))
        add_tail(connection, number, part)
        assert compact(connection, RUN, "A") == size
        lowest.append(bins_of(part.tick, part.value))
        at += size
    expected = binned.joined(lowest)
    for level in (found := levels(connection)):
        assert same(level, expected)
        expected = grouped(expected, np.arange(0, len(expected), FAN))
    assert len(found[-1]) < FAN


def test_a_long_tail_is_gathered_in_pieces(connection: Connection) -> None:
    """A tail that grew long is gathered at most so many samples at once, in order."""
    whole = chunk(3 * MOST)
    for number, start in enumerate(range(0, len(whole), 8192)):
        add_tail(connection, number, whole.where(slice(start, start + 8192)))
    assert loose_ends(connection) == [(RUN, "A")]
    gathered = [compact(connection, RUN, "A") for _ in range(4)]
    assert gathered == [MOST, MOST, MOST, 0]
    assert loose_ends(connection) == []
    c = schema.run_chunk.c
    rows = connection.execute(select(c.count, c.low, c.high).order_by(c.number)).all()
    parts = [whole.value[start : start + MOST] for start in range(0, len(whole), MOST)]
    assert [tuple(row) for row in rows] == [(MOST, part.min(), part.max()) for part in parts]


def test_a_chunk_of_what_does_not_count_has_no_extremes(connection: Connection) -> None:
    """A chunk of overloads has neither lowest nor highest; its bins say overload."""
    connection.execute(delete(schema.run_dial))
    dials = [Dial(channel="A", overload=True), Dial(channel="A", missing="hold")]
    for number, dial in enumerate(dials):
        body = to_text(encode(dial))
        row = {"run_id": RUN, "number": number, "channel": "A", "body": body}
        connection.execute(insert(schema.run_dial), row)
    nothing = Chunk(np.arange(10), np.full(10, np.nan), np.repeat([0, 1], 5).astype(np.uint16))
    add_tail(connection, 0, nothing.where(slice(0, 5)))
    compact(connection, RUN, "A")
    add_tail(connection, 1, Chunk(np.arange(5, 10), np.ones(5), nothing.dial[5:]))
    compact(connection, RUN, "A")
    c = schema.run_chunk.c
    assert connection.execute(select(c.low, c.high)).all() == [(None, None), (None, None)]
    (level,) = levels(connection)
    assert (level.low.tolist(), level.high.tolist()) == ([np.inf], [np.inf])
