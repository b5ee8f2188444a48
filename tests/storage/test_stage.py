"""How far a shop is while it is brought up, as one whole."""

import sqlite3
from contextlib import closing

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.storage.pulse import counted
from benchassist.storage.schema import EARLIER, HEAD, REVISIONS
from benchassist.storage.stage import COMPACT, COPY, FINE, WEIGHTS, Stages

STAGES = (COPY, *REVISIONS[1:], COMPACT)


class StopError(Exception):
    """Whoever is told has had enough."""


def test_every_stage_has_its_weight() -> None:
    """A new revision says how long it takes."""
    assert tuple(WEIGHTS) == STAGES
    assert all(weight > 0 for weight in WEIGHTS.values())


@given(
    st.sampled_from(EARLIER),
    st.booleans(),
    st.lists(
        st.tuples(st.sampled_from(STAGES), st.integers(0, 50), st.integers(0, 40)), max_size=30
    ),
)
def test_what_is_told_never_goes_back(
    revision: str, of_file: bool, steps: list[tuple[str, int, int]]
) -> None:
    """Whatever comes in whatever order; it stays between nothing and all, and ends at all."""
    told = list[tuple[int, int]]()
    stages = Stages(revision, lambda done, whole: told.append((done, whole)), of_file=of_file)
    for step in steps:
        stages.told(*step)
    stages.ended()
    shares = [done / whole for done, whole in told]
    assert len(told) == len(steps) + 1
    assert shares == sorted(shares)
    assert shares[0] >= 0.0
    assert shares[-1] == 1.0


@pytest.mark.parametrize("revision", EARLIER)
@pytest.mark.parametrize("of_file", [True, False])
def test_the_stages_that_are_due_make_the_whole(revision: str, of_file: bool) -> None:
    """Each begins where the one before ends, and those that are not due take no room."""
    told = list[int]()
    stages = Stages(revision, lambda done, _whole: told.append(done), of_file=of_file)
    due = [COPY, *(r for r in REVISIONS if r > revision), *([COMPACT] if of_file else [])]
    weights, done = sum(WEIGHTS[stage] for stage in due), 0
    for stage in due:
        stages.told(stage, 0, 10)
        assert told[-1] == FINE * done // weights
        stages.told(stage, 10, 10)
        done += WEIGHTS[stage]
        assert told[-1] == FINE * done // weights
    assert told[-1] == FINE
    stages.told(revision, 1, 1)  # is behind it
    assert told[-1] == FINE


def test_whoever_is_told_can_end_the_work() -> None:
    """What it raises comes out where it was told; without anybody nothing happens."""

    def stop(_done: int, _whole: int) -> None:
        raise StopError

    with pytest.raises(StopError):
        Stages("0002", stop).again()
    Stages("0002").told(HEAD, 1, 2)


LONG = (
    "WITH RECURSIVE n(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM n WHERE x < {}) "
    "SELECT count(*) FROM n"
)


def test_a_long_statement_says_how_many_steps_it_took() -> None:
    """In equal strides; after it nobody is told any more."""
    told = list[int]()
    with closing(sqlite3.connect(":memory:")) as connection:
        with counted(connection, told.append, 100):
            connection.execute(LONG.format(2000)).fetchall()
        assert told == list(range(100, 100 * len(told) + 1, 100))
        assert len(told) > 20
        before = len(told)
        connection.execute(LONG.format(2000)).fetchall()
        assert len(told) == before


def test_a_long_statement_can_be_ended() -> None:
    """What is raised comes out of it as it was; the connection goes on."""

    def stop(steps: int) -> None:
        if steps > 500:
            raise StopError

    with closing(sqlite3.connect(":memory:")) as connection:
        with pytest.raises(StopError), counted(connection, stop, 100):
            connection.execute(LONG.format(10_000_000)).fetchall()
        assert connection.execute(LONG.format(7)).fetchone() == (7,)
