"""Where a link stands, in words with their age, through the whole life of a link."""

from dataclasses import replace

import pytest

from benchassist.core.reading import LinkChange, LinkState
from benchassist.services.bench.taking import MeterSetup
from benchassist.services.metering.link_text import age_text, link_text
from benchassist.services.metering.meter import Meter
from tests.services.fakes import PLAIN, FakeClock, FakeRoom
from tests.services.rig import REQUEST

S = LinkState


class Rig:
    """A meter whose link goes through states, four readings a second."""

    def __init__(self) -> None:
        self.clock, self.room = FakeClock(), FakeRoom()
        self.meter = Meter(self.room, self.clock, (), MeterSetup())
        self.meter.connect(REQUEST)
        self.room.links[-1].items.clear()
        self.t = 0.0

    def state(self, state: LinkState, detail: str = "", *, refused: bool = False) -> str:
        """The link goes into a state; its words."""
        self.room.links[-1].items.append(
            LinkChange(t_s=self.t, channel="A", state=state, detail=detail, refused=refused)
        )
        return self.after(0.0)

    def reads(self, count: int = 8) -> str:
        """Readings come; the words."""
        for _ in range(count):
            self.t += 0.25
            self.room.links[-1].items.append(replace(PLAIN, t_s=self.t, value=1.0))
            self.after(0.25)
        return self.after(0.0)

    def after(self, seconds: float) -> str:
        """Time passes; the words then."""
        self.clock.pass_by(seconds)
        self.meter.take_in()
        return link_text(self.meter.link_state, self.meter.age)


@pytest.fixture
def rig() -> Rig:
    """A link just asked for."""
    return Rig()


def test_every_state_has_words_of_its_own() -> None:
    """No two states look alike, with an age and without."""
    assert len({link_text(state) for state in S}) == len(S)
    assert len({link_text(state, 4.0) for state in S}) == len(S)


@pytest.mark.parametrize("state", [s for s in S if s not in {S.LIVE, S.CLOSED}])
def test_where_nothing_comes_the_age_of_the_last_news_stands(state: LinkState) -> None:
    """In every state but live and closed; none where there never was any."""
    assert "4 s" in link_text(state, 4.2)
    assert "s ago" not in link_text(state)


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(0.4, "0 s"), (4.2, "4 s"), (119.0, "119 s"), (120.0, "2 min"), (7000.0, "117 min")],
)
def test_an_age_is_as_coarse_as_it_is_long(seconds: float, words: str) -> None:
    """Seconds, then minutes."""
    assert age_text(seconds) == words
    assert age_text(3 * 3600.0) == "3 h"


def test_the_life_of_a_link_is_told_in_words(rig: Rig) -> None:
    """From opening over a stall and a loss back to life, never without a word."""
    assert rig.state(S.OPENING) == "Opening the port"
    assert rig.state(S.IDENTIFYING) == "Asking the meter"
    assert rig.state(S.LIVE) == "Meter linked"
    assert rig.reads() == "Meter linked"
    assert rig.after(2.5) == "No news for 2 s"
    assert rig.state(S.STALLED) == "No news for 2 s"
    rig.clock.pass_by(6.5)
    assert rig.state(S.RESYNC) == "Finding its place, last news 9 s ago"
    assert rig.state(S.GARBAGE) == "Not understood, last news 9 s ago"
    assert rig.state(S.LOST, "went away") == "Meter lost, last news 9 s ago"
    assert rig.after(111.0) == "Meter lost, last news 2 min ago"
    assert rig.state(S.WAITING) == "Waiting for the meter, last news 2 min ago"
    assert rig.state(S.IDENTIFYING) == "Asking the meter, last news 2 min ago"
    assert rig.state(S.LIVE) == "Meter linked"
    assert rig.reads() == "Meter linked"
    rig.meter.disconnect()
    assert rig.after(0.0) == "No meter"


def test_nothing_old_is_live_in_any_state(rig: Rig) -> None:
    """Not the moment the link says that it stalled, however young the reading looks."""
    rig.state(S.LIVE)
    rig.reads()
    before = rig.meter.live
    rig.state(S.STALLED)
    assert (before is not None, rig.meter.live, rig.meter.age) == (True, None, 0.0)


def test_a_sleep_of_hours_leaves_nothing_live(rig: Rig) -> None:
    """The clock leaps while a reading stands: it is hours old at once."""
    rig.state(S.LIVE)
    rig.reads()
    assert rig.after(5 * 3600.0) == "No news for 5 h"
    assert rig.meter.live is None
    assert rig.reads(1) == "Meter linked"


def test_a_meter_that_speaks_without_readings_is_not_called_linked(rig: Rig) -> None:
    """Alive on a function that is not read: the words grow old, and the line says why."""
    rig.state(S.LIVE)
    rig.reads()
    told = "The meter stands on a function that is not read here: turn its dial"
    rig.state(S.LIVE, told)
    assert rig.after(4.0) == "No news for 4 s"
    assert rig.meter.trouble == told


@pytest.mark.parametrize(
    ("detail", "refused", "said"),
    [
        ("Port /dev/x went away: push the lead in again", False, "Meter lost: push its lead in"),
        ("Port /dev/x is not there: plug the meter's lead in", False, "Meter lost: push its lead"),
        ("Port /dev/x is in use: close the other program", True, "Port /dev/x is in use"),
        ("The lead of /dev/x is there twice", True, "The lead of /dev/x is there twice"),
    ],
)
def test_a_lost_meter_says_what_only_a_person_can_mend(
    rig: Rig, detail: str, *, refused: bool, said: str
) -> None:
    """Else that it comes back by itself."""
    rig.state(S.LIVE)
    rig.reads()
    rig.state(S.LOST, detail, refused=refused)
    assert rig.meter.trouble.startswith(said)
