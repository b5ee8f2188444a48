"""A program that records a run and ends without warning loses a quarter of a second at most."""

import numpy as np
import pytest

from benchassist.errors import NotFoundError
from benchassist.storage import open_store
from tests.storage.killing import Kill, killed
from tests.storage.test_process import sound

LOSS_S = 0.25
LATEST_S = 0.35
"""A kill comes within so long of the first readings."""


def killed_again_and_again(location: str, rounds: int, seed: int) -> list[float]:
    """Kill a program at random moments while it records; return the seconds lost each time.

    After every kill the shop must be whole and hold, on both channels, the readings from the first
    on without a hole. The seconds are those between the kill and the first reading that is not on
    file, less the longest time the machine let the program itself wait.
    """
    lost = list[float]()
    open_store(location).close()
    for kill in killed(rounds, seed, LATEST_S, "record", location):
        assert sound(location)
        lost.append(loss_of(location, kill))
    return lost


def loss_of(location: str, kill: Kill) -> float:
    """Return how many seconds before its end a run's samples end."""
    run_id, _, first, _ = kill.said[0].split()
    _, put, last, longest = kill.said[-1].split()
    # Where nothing is on file, everything was put within what may be lost.
    counts, end = list[int](), float(first)
    with open_store(location) as store:
        for channel in "AB":
            try:
                samples = store.run_samples(run_id, channel)
            except NotFoundError:
                counts.append(0)
                continue
            counts.append(len(samples))
            assert np.array_equal(samples.value, np.arange(float(len(samples))))
            if len(samples) >= 10:
                # The tenth reading was told of with its moment.
                end = float(first) - float(samples.t_s[9]) + float(samples.t_s[-1])
        assert abs(counts[0] - counts[1]) <= 1
    if min(counts) >= int(put):
        return 0.0
    return min(kill.at, float(last)) - end - float(longest)


def test_a_kill_costs_a_quarter_second(location: str) -> None:
    """Killed with -9 thirty times, a run under way has all but its last 0.25 s, without a hole."""
    lost = killed_again_and_again(location, 30, seed=2)
    assert len(lost) == 30
    assert max(lost) <= LOSS_S


@pytest.mark.long
@pytest.mark.timeout(1800)
def test_three_hundred_kills_cost_no_more(location: str) -> None:
    """The same, three hundred times."""
    assert max(killed_again_and_again(location, 300, seed=3)) <= LOSS_S
