"""The inbox between a reader and the rest."""

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Gap, LinkChange, LinkState, Reading
from benchassist.meters.inbox import Inbox
from benchassist.meters.pulse import Pulse


def at(t_s: float) -> Reading:
    """A reading of a moment."""
    return Reading(t_s=t_s, channel="A", quantity=Quantity.RESISTANCE, value=1.0)


def told(t_s: float, state: LinkState) -> LinkChange:
    """A change of a moment."""
    return LinkChange(t_s=t_s, channel="A", state=state)


def test_items_come_out_once_in_order() -> None:
    """Draining empties it."""
    inbox = Inbox("A")
    inbox.put(told(0.0, LinkState.LIVE), at(1.0))
    inbox.put(at(2.0))
    assert inbox.drain() == (told(0.0, LinkState.LIVE), at(1.0), at(2.0))
    assert inbox.drain() == ()


def test_what_does_not_fit_is_one_gap_and_the_last_state() -> None:
    """The state of the link is known even where its change had to go."""
    inbox = Inbox("A", capacity=2)
    inbox.put(told(0.0, LinkState.OPENING), told(0.5, LinkState.LIVE))
    for second in range(1, 7):
        inbox.put(at(float(second)))
    assert inbox.drain() == (
        Gap(channel="A", start_s=0.0, end_s=4.0, reason="overflow"),
        told(0.5, LinkState.LIVE),
        at(5.0),
        at(6.0),
    )
    inbox.put(at(7.0))
    assert inbox.drain() == (at(7.0),)


def test_a_gap_that_is_dropped_widens_the_gap_that_tells_of_it() -> None:
    """Its own start and end count."""
    inbox = Inbox("A", capacity=1)
    inbox.put(Gap(channel="A", start_s=1.0, end_s=3.0, reason="lost"), at(3.0), at(4.0))
    assert inbox.drain()[0] == Gap(channel="A", start_s=1.0, end_s=3.0, reason="overflow")


def test_a_pulse_is_overdue_after_three_periods_and_two_seconds_at_least() -> None:
    """The period is the median of the last few; before the second beat two seconds hold."""
    pulse = Pulse()
    assert not pulse.is_overdue(100.0)
    pulse.beat(0.0)
    assert (pulse.is_overdue(2.0), pulse.is_overdue(2.1)) == (False, True)
    for second in (1.0, 2.0, 3.0):
        pulse.beat(second)
    assert (pulse.is_overdue(6.0), pulse.is_overdue(6.1)) == (False, True)
    pulse.cut()
    assert not pulse.is_overdue(100.0)
