"""A channel: what came in the last minute, and when its newest reading is too old to be live."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Gap, LinkChange, LinkState, Reading
from benchassist.services.bench.taking import MeterSetup
from benchassist.services.metering.channel import LEAST_STALE, STRIP_SECONDS, Channel
from tests.services.fakes import PLAIN, FakeLink
from tests.services.rig import CARD


class Rig:
    """A channel whose link the test feeds."""

    def __init__(self, setup: MeterSetup | None = None) -> None:
        self.link = FakeLink("A")
        self.channel = Channel(self.link, setup or MeterSetup())
        self.now = 100.0

    def hear(self, *items: Reading | LinkChange | Gap) -> tuple[object, ...]:
        """Things come in now."""
        self.link.items.extend(items)
        return self.channel.drain(self.now)

    def readings(self, period: float, count: int) -> None:
        """A meter that sends every so many seconds."""
        for i in range(count):
            self.now += period
            self.hear(replace(PLAIN, t_s=period * i, value=float(i)))


def state(of: LinkState, detail: str = "", identity: str = "") -> LinkChange:
    """A link that goes into a state."""
    return LinkChange(t_s=0.0, channel="A", state=of, detail=detail, identity=identity)


def test_nothing_yet_is_neither_live_nor_stale() -> None:
    """A fresh link has no age."""
    rig = Rig()
    assert (rig.channel.last, rig.channel.age(100.0), rig.channel.period()) == (None, None, None)
    assert not rig.channel.is_stale(1e6)
    assert rig.channel.live(100.0) is None


@given(st.floats(0.05, 5.0), st.integers(2, 12), st.floats(0.0, 30.0))
def test_stale_after_three_periods_and_two_seconds_at_least(
    period: float, count: int, silence: float
) -> None:
    """A reading is old once it is older than max(3 periods, 2 s), and then it is not live."""
    rig = Rig()
    rig.readings(period, count)
    rig.now += silence
    limit = max(3.0 * (rig.channel.period() or 0.0), LEAST_STALE)
    age = rig.channel.age(rig.now)
    assert age == pytest.approx(silence)
    assert rig.channel.period() == pytest.approx(period)
    assert rig.channel.is_stale(rig.now) is (age is not None and age > limit)
    assert (rig.channel.live(rig.now) is None) is rig.channel.is_stale(rig.now)


def test_one_reading_alone_is_live_for_two_seconds() -> None:
    """No period is known yet."""
    rig = Rig()
    rig.hear(replace(PLAIN, value=1.0))
    assert rig.channel.live(rig.now + 2.0) is not None
    assert rig.channel.live(rig.now + 2.01) is None


def test_a_slow_meter_is_not_called_old_between_its_readings() -> None:
    """At one reading in three seconds, two silent seconds are nothing."""
    rig = Rig()
    rig.readings(3.0, 4)
    assert rig.channel.live(rig.now + 8.9) is not None
    assert rig.channel.live(rig.now + 9.1) is None


def test_one_long_gap_does_not_change_the_period() -> None:
    """The period is the middle of the last steps, not their mean."""
    rig = Rig()
    rig.readings(0.5, 5)
    rig.hear(replace(PLAIN, t_s=60.0, value=1.0), replace(PLAIN, t_s=60.5, value=1.0))
    assert rig.channel.period() == pytest.approx(0.5)


@pytest.mark.parametrize(
    "lost",
    [LinkState.LOST, LinkState.WAITING, LinkState.RESYNC, LinkState.GARBAGE, LinkState.CLOSED],
)
def test_nothing_from_before_stands_after_the_link_was_down(lost: LinkState) -> None:
    """The strip begins anew and no old number is live."""
    rig = Rig()
    rig.readings(0.5, 5)
    rig.hear(state(lost, "device gone"))
    assert rig.channel.last is None
    assert rig.channel.strip(rig.now) == ()
    assert (rig.channel.state, rig.channel.detail) == (lost, "device gone")


@pytest.mark.parametrize("kept", [LinkState.LIVE, LinkState.STALLED])
def test_what_was_read_stays_while_the_link_is_up(kept: LinkState) -> None:
    """A meter gone quiet keeps its last number, which grows old."""
    rig = Rig()
    rig.readings(0.5, 5)
    rig.hear(state(kept))
    assert rig.channel.last is not None
    assert rig.channel.age(rig.now + 6.0) == pytest.approx(6.0)


def test_order_is_kept_and_gaps_go_through() -> None:
    """Readings, changes and gaps come out as they happened."""
    rig = Rig()
    gap = Gap(channel="A", start_s=0.0, end_s=1.0, reason="stalled")
    live = state(LinkState.LIVE, identity="fake 1")
    reading = replace(PLAIN, value=1.0)
    assert rig.hear(live, reading, gap) == (live, reading, gap)
    assert rig.channel.identity == "fake 1"
    rig.hear(state(LinkState.LOST))
    assert rig.channel.identity == "fake 1"
    assert rig.channel.has_lived


def test_a_frame_without_range_is_completed_from_the_card() -> None:
    """What the frame says wins; what it leaves out comes from the one range that fits."""
    rig = Rig(MeterSetup(card=CARD))
    bare = Reading(
        t_s=0.0, channel="A", quantity=Quantity.RESISTANCE, value=4.38e3, resolution=10.0
    )
    rig.hear(bare)
    assert rig.channel.last is not None
    assert rig.channel.last.reading == replace(bare, full_scale=20e3)


def test_the_strip_is_the_last_minute() -> None:
    """Seconds before now, oldest first; what is older is left out."""
    rig = Rig()
    rig.readings(10.0, 12)
    strip = rig.channel.strip(rig.now)
    assert [seconds for seconds, _reading in strip] == [
        -60.0,
        -50.0,
        -40.0,
        -30.0,
        -20.0,
        -10.0,
        0.0,
    ]
    assert STRIP_SECONDS == 60.0
    assert strip[-1][1].value == 11.0
