import threading
from math import inf, nan

import numpy as np
import pytest

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Mode
from benchassist.core.run import RunGap
from benchassist.storage import inlet
from benchassist.storage.dial import Dial
from benchassist.storage.inlet import Inlet, Portion
from tests.storage.run_case import reading


def taken(source: Inlet) -> Portion:
    """Return what comes out next; there is something."""
    portion = source.take()
    assert portion is not None
    return portion


def test_what_is_put_in_comes_out_in_order() -> None:
    """Readings of two channels come out in the order they came, seconds from each one's origin."""
    source = Inlet({"A": 100.0, "B": 7.0})
    assert source.take() is None
    for t_s in (101.0, 102.5):
        source.put(reading(t_s, 6500.0 + t_s))
        source.put(reading(t_s - 93.0, 20.0, channel="B"))
    portion = taken(source)
    assert list(portion.block.t_s) == [1.0, 1.0, 2.5, 2.5]
    assert list(portion.block.value) == [6601.0, 20.0, 6602.5, 20.0]
    assert [portion.dials[d].channel for d in portion.block.dial] == ["A", "B", "A", "B"]
    assert (portion.upto, source.came) == (4, 4)
    assert source.take() is None


def test_an_overload_and_a_range_have_dials_of_their_own() -> None:
    """What stands beside the digits is told once for all readings that share it."""
    source = Inlet({})
    for value, resolution in ((1.0, 1.0), (2.0, 1.0), (None, 1.0), (3.0, 10.0), (4.0, 1.0)):
        source.put(reading(1.0, value, resolution=resolution))
    portion = taken(source)
    assert list(portion.block.dial) == [0, 0, 1, 2, 0]
    assert [d.overload for d in portion.dials] == [False, True, False]
    assert [d.resolution for d in portion.dials] == [1.0, 1.0, 10.0]
    source.put(reading(2.0, resolution=1.0))
    assert taken(source).dials == ()


def test_a_held_or_foreign_reading_is_marked() -> None:
    """The first reading that is not held tells what the channel measures; others are foreign."""
    source = Inlet({})
    source.put(reading(1.0, 5.0, quantity=Quantity.VOLTAGE, flags=[Flag.HOLD]))
    source.put(reading(2.0))
    source.put(reading(3.0, flags=[Flag.LOW_BATTERY, Flag.AUTO]))
    source.put(reading(4.0, 0.5, quantity=Quantity.VOLTAGE))
    source.put(reading(5.0, mode=Mode.CONTINUITY))
    source.put(reading(6.0, flags=[Flag.REL]))
    source.put(reading(6.0, 20.0, channel="B", quantity=Quantity.TEMPERATURE))
    dials = taken(source).dials
    assert [d.missing for d in dials] == ["hold", "", "", "function", "function", "hold", ""]


@pytest.mark.parametrize(("t_s", "value"), [(nan, 1.0), (inf, 1.0), (2.0, nan), (2.0, inf)])
def test_what_is_no_number_is_a_gap(t_s: float, value: float) -> None:
    """A reading without a number or without a time is kept as garbage at the last good moment."""
    source = Inlet({})
    source.put(reading(1.5))
    source.put(reading(t_s, value))
    source.put(reading(3.0))
    portion = taken(source)
    assert list(portion.block.t_s) == [1.5, 3.0]
    assert portion.gaps == (RunGap(channel="A", start_s=1.5, end_s=1.5, reason="garbage"),)


def test_time_never_goes_back() -> None:
    """A reading that comes after another is never before it."""
    source = Inlet({})
    for t_s in (1.0, 3.0, 2.0, 4.0):
        source.put(reading(t_s))
    assert list(taken(source).block.t_s) == [1.0, 3.0, 3.0, 4.0]


def test_memory_is_bounded_and_what_is_lost_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """What finds no room is one gap, from the last reading kept to the next that is kept again."""
    monkeypatch.setattr(inlet, "ROOM", 10)
    source = Inlet({})
    for t_s in range(15):
        source.put(reading(float(t_s)))
    spills = [source.spills]
    portion = taken(source)
    assert len(portion.block) == 10
    assert portion.gaps == ()
    source.put(reading(15.0))
    assert source.take() is None
    source.free(portion)
    assert [*spills, source.spills] == [True, False]
    source.put(reading(16.0))
    after = taken(source)
    assert list(after.block.t_s) == [16.0]
    assert after.gaps == (RunGap(channel="A", start_s=9.0, end_s=16.0, reason="overflow"),)


def test_an_end_in_the_middle_of_a_loss_tells_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the run ends while memory is full, the gap ends at the last reading that came."""
    monkeypatch.setattr(inlet, "ROOM", 1)
    source = Inlet({})
    for t_s in range(3):
        source.put(reading(float(t_s)))
    source.end()
    source.put(reading(3.0))
    source.gap(RunGap(channel="A", start_s=3.0, end_s=4.0, reason="lost"))
    portion = taken(source)
    assert list(portion.block.t_s) == [0.0]
    assert portion.gaps == (RunGap(channel="A", start_s=0.0, end_s=2.0, reason="overflow"),)
    assert source.take() is None


def test_dials_without_end_do_not_fill_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    """A meter that says another resolution each time loses it in the end, and keeps its values."""
    monkeypatch.setattr(inlet, "DIALS", 5)
    source = Inlet({})
    for number in range(1, 50):
        source.put(reading(float(number), float(number), resolution=1.0 / number))
    portion = taken(source)
    assert [d.resolution for d in portion.dials] == [1.0, 1 / 2, 1 / 3, 1 / 4, 1 / 5, None]
    assert list(portion.block.dial) == [0, 1, 2, 3, 4] + [5] * 44
    assert list(portion.block.value) == [float(n) for n in range(1, 50)]


def test_a_block_is_never_longer_than_a_transaction(monkeypatch: pytest.MonkeyPatch) -> None:
    """Much that came at once comes out in pieces; each says how far it goes."""
    monkeypatch.setattr(inlet, "BLOCK", 4)
    source = Inlet({})
    for t_s in range(10):
        source.put(reading(float(t_s)))
    assert source.is_behind
    pieces = [taken(source) for _ in range(3)]
    assert [len(p.block) for p in pieces] == [4, 4, 2]
    assert [p.upto for p in pieces] == [4, 8, 10]
    assert not source.is_behind


def test_gaps_keep_to_numbers_that_can_be_stored() -> None:
    """A gap that reaches to the end of time is cut to what a run can hold."""
    source = Inlet({})
    source.gap(RunGap(channel="A", start_s=-inf, end_s=inf, reason="lost"))
    (gap,) = taken(source).gaps
    assert np.isfinite([gap.start_s, gap.end_s]).all()
    assert gap.start_s < gap.end_s


def test_many_threads_put_in_and_nothing_is_lost() -> None:
    """Four readers put in while one takes out: every reading comes out once and in order."""
    source, count = Inlet({}), 3000

    def put(channel: str) -> None:
        for number in range(count):
            source.put(reading(float(number), float(number), channel=channel))

    readers = [threading.Thread(target=put, args=(channel,)) for channel in "ABCD"]
    for reader in readers:
        reader.start()
    found = {channel: list[float]() for channel in "ABCD"}
    dials, working = list[Dial](), True
    while working:
        working = any(reader.is_alive() for reader in readers)
        while portion := source.take():
            dials += portion.dials
            for value, dial in zip(portion.block.value, portion.block.dial, strict=True):
                found[dials[dial].channel].append(value)
    for reader in readers:
        reader.join()
    assert found == {channel: [float(n) for n in range(count)] for channel in "ABCD"}
