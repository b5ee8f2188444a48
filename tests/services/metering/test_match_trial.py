"""Matching the display: typed values against the covered link, and what it allows afterwards."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from benchassist.core.entry import Taken
from benchassist.core.link import LinkRequest
from benchassist.core.quantity import Quantity
from benchassist.services.bench.taking import MeterSetup
from benchassist.services.metering.match_trial import MatchTrial
from benchassist.services.metering.meter import Meter
from benchassist.services.metering.meter_memory import MeterMemory
from benchassist.units import UnitChoice
from tests.services.bench.test_bench import Rig
from tests.services.fakes import PLAIN, FakeClock, FakeRoom


class Bench:
    """A meter that shows what the test says, and the trial beside it."""

    def __init__(self, path: Path) -> None:
        self.clock = FakeClock()
        self.room = FakeRoom()
        self.memory = MeterMemory(path)
        self.meter = Meter(self.room, self.clock, (), MeterSetup(), memory=self.memory)
        self.meter.connect(LinkRequest(port="socket://192.0.2.7:5025", protocol="nibble-14"))
        self.trial = MatchTrial(self.meter, self.clock, UnitChoice())
        self.t = 0.0

    def show(self, ohm: float) -> None:
        """A few readings of the same value."""
        for _ in range(4):
            self.t += 0.25
            self.clock.pass_by(0.25)
            self.room.links[-1].items.append(replace(PLAIN, t_s=self.t, value=ohm))
            self.trial.tick()
        self.clock.pass_by(0.1)


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    """Linked, nothing typed."""
    made = Bench(tmp_path / "meters.json")
    yield made
    made.meter.disconnect()


def test_three_different_values_match_and_are_remembered(bench: Bench) -> None:
    """After the third the meter may take by itself, now and when it is linked again."""
    for ohm, text in ((3860.0, "3.860"), (618.0, "0.618"), (12470.0, "12.470 k")):
        bench.show(ohm)
        bench.trial.submit(text)
        bench.clock.pass_by(5.0)
    view = bench.trial.view()
    assert [row.same for row in view.rows] == [True, True, True]
    assert view.done
    assert bench.meter.may_take_by_itself
    bench.meter.connect(LinkRequest(port="socket://192.0.2.7:5025", protocol="nibble-14"))
    bench.trial.tick()
    assert bench.meter.may_take_by_itself


def test_another_family_on_the_same_port_is_not_matched_by_it(bench: Bench) -> None:
    """What was matched is a meter with its family, not a port."""
    bench.meter.keep_match(bench.clock.now())
    bench.meter.connect(LinkRequest(port="socket://192.0.2.7:5025", protocol="text-line"))
    bench.trial.tick()
    assert not bench.meter.may_take_by_itself


def test_a_point_elsewhere_is_named_and_starts_the_count_again(bench: Bench) -> None:
    """One dot wrong is ten times out: the row says so, and what matched before does not count."""
    bench.show(618.0)
    bench.trial.submit("0.618")
    bench.clock.pass_by(5.0)
    bench.show(3860.0)
    bench.trial.submit("38.60")
    view = bench.trial.view()
    assert "point" in view.rows[-1].text
    assert view.count_text.startswith("0 of 3")
    assert not bench.meter.may_take_by_itself


def test_the_same_value_twice_is_asked_again(bench: Bench) -> None:
    """A value that was matched already proves nothing new."""
    bench.show(3860.0)
    bench.trial.submit("3.860")
    bench.trial.submit("3.860")
    view = bench.trial.view()
    assert "different" in view.error
    assert len(view.rows) == 1


@pytest.mark.parametrize("text", ["", "nonsense", "3.8.6", "10,160"])
def test_nonsense_is_one_line_and_no_trial(bench: Bench, text: str) -> None:
    """What cannot be read is not held against the link."""
    bench.show(3860.0)
    bench.trial.submit(text)
    view = bench.trial.view()
    assert view.error
    assert view.rows == ()


def test_a_silent_link_is_said_to_be_silent(bench: Bench) -> None:
    """An old number is never matched."""
    bench.show(3860.0)
    bench.clock.pass_by(10.0)
    bench.trial.submit("3.860")
    assert "Nothing came" in bench.trial.view().rows[0].text


def test_a_typed_unit_wins_over_the_chosen_one(bench: Bench) -> None:
    """12.47 V against ohms is another unit, whatever unit stands chosen."""
    bench.show(12470.0)
    bench.trial.submit("12.47 V")
    row = bench.trial.view().rows[0]
    assert row.typed_unit == "V"
    assert "Another unit" in row.text


def test_without_a_match_only_a_key_takes() -> None:
    """A steady reading of an unmatched link is held for the key, and the slip says so."""
    rig = Rig()
    rig.meter.matched_at = None
    rig.bench.act("submit", "")
    rig.touch(0.2, resolution=0.1)
    assert rig.bench.stage == "leads"
    rig.bench.act("take")
    rig.lift()
    rig.touch(10_010.0)
    rig.bench.act("take")
    rig.lift()
    rig.touch(9100.0, seconds=5.0)
    assert rig.taken() == []
    rig.bench.act("take")
    assert [t.link_note for t in rig.taken()] == ["display not matched"]
    assert isinstance(rig.taken()[0], Taken)
    rig.meter.disconnect()


def test_a_thermometer_gives_the_part_its_temperature() -> None:
    """A second meter in celsius corrects the winding; its own doubt goes into the budget."""
    rig = Rig()
    room = FakeRoom()
    rig.bench.thermometer = Meter(room, rig.clock, (), MeterSetup(), name="B")
    rig.bench.taker._thermometer = rig.bench.thermometer
    rig.bench.thermometer.connect(LinkRequest(port="/dev/fake1", protocol="nibble-14"))
    rig.past_the_start()
    warm = replace(
        PLAIN, channel="B", quantity=Quantity.TEMPERATURE, value=45.0, resolution=0.1, exponent=0
    )
    for n in range(12):
        room.links[-1].items.append(replace(warm, t_s=n * 0.25))
        rig.touch(9990.0, seconds=0.25)
    one = rig.taken()[0]
    assert one.conditions.part_temperature is not None
    assert one.conditions.part_temperature.celsius == 45.0
    assert one.judgement.value == pytest.approx((9990.0 - 0.2) / (1 + 0.00393 * 25.0))
    rig.meter.disconnect()
    rig.bench.thermometer.disconnect()


def test_another_meters_lead_zero_does_not_count() -> None:
    """Linking another meter on the same channel leaves the leads to be zeroed again."""
    rig = Rig()
    rig.past_the_start()
    assert rig.bench.view().leads_text.startswith("Leads 0.2")
    rig.meter.connect(LinkRequest(port="/dev/other", protocol="nibble-14"))
    rig.bench.tick()
    assert rig.bench.view().leads_text == "Leads not zeroed"
    rig.meter.disconnect()
