import numpy as np
import pytest

from benchassist.storage.chunk import (
    TICKS_PER_SECOND,
    Chunk,
    pack_chunk,
    pack_tail,
    unpack_chunk,
    unpack_tail,
)

OVERLOADS = np.array([False, True, False])


def chunk(count: int = 5000) -> Chunk:
    """Return samples under three dials, the second one that of an overload."""
    chance = np.random.default_rng(3)
    dial = np.repeat(chance.integers(0, 3, count // 10), 10).astype(np.uint16)
    value = np.where(dial == 1, np.nan, chance.integers(600, 700, count) * 10.0)
    return Chunk(np.cumsum(chance.integers(1500, 1700, count)), value, dial)


def same(one: Chunk, other: Chunk) -> bool:
    """Whether all columns are the same."""
    return (
        np.array_equal(one.tick, other.tick)
        and np.array_equal(one.value, other.value, equal_nan=True)
        and np.array_equal(one.dial, other.dial)
    )


def test_a_chunk_comes_back() -> None:
    """Ticks, values, overloads and dials come out of a chunk as they went in."""
    whole = chunk()
    assert same(unpack_chunk(pack_chunk(whole), OVERLOADS), whole)


def test_the_tail_is_joined_by_joining_its_bytes() -> None:
    """Rows of the tail read as one, in order."""
    whole = chunk(100)
    rows = [whole.where(slice(i, i + 7)) for i in range(0, 100, 7)]
    assert same(unpack_tail(b"".join(map(pack_tail, rows))), whole)


def test_a_part_has_both_its_ends() -> None:
    """The samples between two moments are those at the moments too."""
    whole = chunk(100)
    part = whole.part(whole.tick[10] / TICKS_PER_SECOND, whole.tick[20] / TICKS_PER_SECOND)
    assert same(part, whole.where(slice(10, 21)))


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda body: body[:3], "buffer"),
        (lambda body: b"\x07" + body[1:], "a chunk of version 7, known here: 1"),
        (lambda body: body[:-2000], r"."),
    ],
)
def test_damage_is_refused(spoil: object, says: str) -> None:
    """A chunk cut short, or of a later program, raises ValueError."""
    with pytest.raises(ValueError, match=says):
        unpack_chunk(spoil(pack_chunk(chunk())), OVERLOADS)  # type: ignore[operator]


def test_a_dial_that_is_not_there_is_refused() -> None:
    """A chunk whose run has lost its dials raises ValueError."""
    with pytest.raises(ValueError, match="a dial that is not there"):
        unpack_chunk(pack_chunk(chunk()), OVERLOADS[:2])
