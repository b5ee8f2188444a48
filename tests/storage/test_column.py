import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from benchassist.storage.column import pack_real, pack_whole, unpack_real, unpack_whole

WHOLE = st.integers(-(2**63), 2**63 - 1)


@given(arrays.arrays(np.int64, st.integers(0, 50), elements=WHOLE))
def test_whole_numbers_come_back(numbers: np.ndarray) -> None:
    """Any whole numbers of 64 bits come back, also where their differences run over."""
    assert np.array_equal(unpack_whole(pack_whole(numbers), len(numbers)), numbers)


@given(
    arrays.arrays(
        np.float64,
        st.integers(0, 50),
        elements=st.one_of(
            st.floats(),
            st.integers(-(10**7), 10**7).map(lambda count: count / 1000.0),
            st.integers(-(10**7), 10**7).map(lambda count: count * 1000.0),
        ),
    )
)
def test_any_numbers_come_back_to_the_last_bit(numbers: np.ndarray) -> None:
    """Counts, overloads, the negative zero: the same bits come back, whatever they are."""
    back = unpack_real(pack_real(numbers), len(numbers))
    assert np.array_equal(back.view(np.int64), numbers.view(np.int64))


@given(st.lists(st.integers(-200_000, 200_000), min_size=1, max_size=200), st.integers(-9, 9))
def test_what_a_meter_shows_takes_few_bytes(counts: list[int], power: int) -> None:
    """Whole counts of any decimal, rounded once as a decoder does, are kept as counts."""
    values = [c * 10**power if power >= 0 else c / 10**-power for c in counts]
    numbers = np.array(values, np.float64)
    packed = pack_real(numbers)
    assert len(packed) <= 30 + 4 * len(counts)
    assert np.array_equal(unpack_real(packed, len(counts)), numbers)


@pytest.mark.parametrize("step", [0, 1, 1638])
def test_what_goes_on_evenly_costs_nothing(step: int) -> None:
    """A thousand numbers in equal steps take no more room than two."""
    numbers = np.arange(1000) * step + 5
    assert len(pack_whole(numbers)) == len(pack_whole(numbers[:2]))
    assert np.array_equal(unpack_whole(pack_whole(numbers), 1000), numbers)


def test_a_lone_spike_does_not_widen_the_rest() -> None:
    """One number far off makes the other thousands cost hardly more."""
    chance = np.random.default_rng(1)
    calm = chance.integers(-3, 4, 10_000)
    spiked = calm.copy()
    spiked[5000] = 1_000_000
    assert len(pack_whole(spiked)) < len(pack_whole(calm)) + 200


@pytest.mark.parametrize("damage", ["cut", "noise", "empty"])
def test_bytes_of_something_else_are_refused(damage: str) -> None:
    """Bytes that are cut short or belong to something else raise ValueError, not wrong numbers."""
    packed = pack_real(np.random.default_rng(1).integers(0, 5, 1000) / 10.0)
    spoilt = {"cut": packed[:60], "noise": packed[:30] + bytes(40), "empty": b""}[damage]
    with pytest.raises(ValueError, match=r"."):
        unpack_real(spoilt, 1000)
