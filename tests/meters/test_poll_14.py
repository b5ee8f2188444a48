"""poll-14 on a link: asked once a second at most, and never while an answer may still come."""

import threading
from itertools import count, pairwise

import pytest

from benchassist.core.reading import LinkState
from tests.meters.sender import display, poll_14
from tests.meters.stage import AnsweringPort, Stage, StageTime, gaps, played, readings, states

S = LinkState
ANSWER_S = 0.117
"""Fourteen characters at 1200 baud."""


class PolledPort(AnsweringPort):
    """A meter that takes the bare letter D for a question and notes when it came."""

    def __init__(self, time: StageTime, delays: dict[int, float | None], enough: int) -> None:
        super().__init__(time, self._reply)
        self.asked: list[float] = []
        self.enough = threading.Event()
        self._clock = time
        self._delays = delays
        self._last = enough
        self._numbers = count(1)

    def write(self, data: bytes) -> None:
        """D, and nothing but D."""
        assert data == b"D"
        self.asked.append(self._clock.monotonic())
        super().write(data + b"\n")

    def _reply(self, _line: str) -> tuple[float, bytes] | None:
        number = next(self._numbers)
        if number == self._last:
            self.enough.set()
        delay_s = self._delays.get(number, ANSWER_S)
        return None if delay_s is None else (delay_s, poll_14(display("poll-14", number, 0)))


def shown(number: int) -> float:
    """What the meter showed at its so many-th answer."""
    return float(display("poll-14", number, 0).value)


@pytest.mark.parametrize(
    "delays",
    [
        {},
        dict.fromkeys(range(1, 40), 0.95),
        {7: None},
        {7: None, 8: None},
        {7: 1.1},
        {7: 1.4, 9: 1.2},
    ],
    ids=["prompt", "slow", "one lost", "two lost", "one late", "two late"],
)
def test_never_asked_too_soon_and_never_answered_by_the_answer_before(
    delays: dict[int, float | None],
) -> None:
    """A second between two questions; values rise, and a late one is left behind."""
    time = StageTime()
    port = PolledPort(time, delays, 14)
    items = played(Stage(port, time=time).link("poll-14"), port.enough)
    assert min(b - a for a, b in pairwise(port.asked)) >= 1.0 - 1e-9
    values = [r.value for r in readings(items)]
    assert values == sorted(set(map(float, filter(None, values))))
    late = {shown(number) for number, delay in delays.items() if delay is None or delay > 1.0}
    assert not late & set(values)
    assert len(values) >= 9


def test_a_meter_that_stops_answering_is_stalled_and_found_again() -> None:
    """Five questions without an answer: stalled, then live, with the gap told."""
    time = StageTime()
    port = PolledPort(time, dict.fromkeys(range(7, 12)), 18)
    items = played(Stage(port, time=time).link("poll-14"), port.enough)
    assert S.STALLED in states(items)
    assert [g.reason for g in gaps(items)] == ["stalled"]
    assert shown(13) in {r.value for r in readings(items)}
