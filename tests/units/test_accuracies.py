"""Accuracy statements for several functions and ranges in one line."""

import pytest

from benchassist.core.accuracy import Accuracy
from benchassist.core.quantity import Quantity
from benchassist.errors import UnitError
from benchassist.units import Statement, read_accuracies

R, V, T = Quantity.RESISTANCE, Quantity.VOLTAGE, Quantity.TEMPERATURE


def test_functions_and_ranges_stand_beside_each_other() -> None:
    """Ohms need no unit; a number before the unit is the top of a range."""
    typed = read_accuracies("0.8% + 3; V 0.5% + 2; 200 ohm 1% + 5; 20 Mohm 2% + 5")
    assert [(one.quantity, one.full_scale) for one in typed] == [
        (R, None),
        (V, None),
        (R, 200.0),
        (R, 20e6),
    ]
    assert [(one.accuracy.percent, one.accuracy.counts) for one in typed] == [
        (0.8, 3.0),
        (0.5, 2.0),
        (1.0, 5.0),
        (2.0, 5.0),
    ]


@pytest.mark.parametrize(
    ("text", "full_scale"),
    [
        ("200ohm 1%+5", 200.0),
        ("200 Ω: 1 % + 5 counts", 200.0),
        ("200 ohm range ±(1% + 5 d)", 200.0),
        ("0.2k 1% + 5", 200.0),
        ("ohm 1% + 5", None),
        ("1% of reading + 5 digits", None),
    ],
)
def test_a_statement_is_read_however_a_booklet_prints_it(
    text: str, full_scale: float | None
) -> None:
    """Signs, spaces, brackets and the words for counts do not matter."""
    (one,) = read_accuracies(text)
    wanted = Accuracy(percent=1.0, counts=5.0)
    assert one == Statement(quantity=R, accuracy=wanted, full_scale=full_scale, text=text)


def test_a_bench_instrument_states_a_share_of_its_range() -> None:
    """The range it names and the range it is a share of are the same."""
    (one,) = read_accuracies("10 V 0.0035% + 0.0005% of range")
    assert (one.quantity, one.full_scale) == (V, 10.0)
    assert one.accuracy == Accuracy(percent=0.0035, percent_of_range=0.0005)


@pytest.mark.parametrize(
    ("text", "accuracy"),
    [
        ("1 °C", Accuracy(percent=0.0, fixed=1.0)),
        ("2 K", Accuracy(percent=0.0, fixed=2.0)),
        ("9 °F", Accuracy(percent=0.0, fixed=5.0)),
        ("0.5% + 1 °C", Accuracy(percent=0.5, fixed=1.0)),
        ("0.5% + 1", Accuracy(percent=0.5, counts=1.0)),
        ("°C 0.5% + 1", Accuracy(percent=0.5, counts=1.0)),
    ],
)
def test_a_thermometer_may_be_so_many_degrees_out(text: str, accuracy: Accuracy) -> None:
    """A difference of degrees has no zero point: 9 °F are 5 K."""
    (one,) = read_accuracies(text, bare=T)
    assert (one.quantity, one.full_scale) == (T, None)
    assert one.accuracy.percent == accuracy.percent
    assert one.accuracy.counts == accuracy.counts
    assert one.accuracy.fixed == pytest.approx(accuracy.fixed)


def test_what_is_kept_reads_alike_on_the_other_meter() -> None:
    """A bare statement is kept with the unit it was meant for."""
    typed = read_accuracies("0.5% + 1; V 2%", bare=T)
    assert [one.text for one in typed] == ["°C 0.5% + 1", "V 2%"]
    again = read_accuracies("; ".join(one.text for one in typed))
    assert [(a.quantity, a.accuracy) for a in again] == [(t.quantity, t.accuracy) for t in typed]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("V 1%; V 2%", "'V 2%': volts is stated twice"),
        ("1%; 2%", "'2%': ohms is stated twice"),
        ("200 ohm 1%; 0.2 kohm 2%", "'0.2 kohm 2%': this range is stated twice"),
        ("frogs 1%", "'frogs 1%': 'frogs' is no unit"),
        ("V lots", "'V lots' is no accuracy statement: write percent of reading and counts"),
        ("200 ohm", "such as 0.8% [+] 3, V 0.5% [+] 2, 200 ohm 1% [+] 5 or 1 °C"),
        ("3 counts", "'3 counts' is no accuracy statement"),
        ("0 ohm 1%", "'0 ohm 1%': a range ends above zero"),
        ("200 ohm 1% + 0.1 V", "'V' is volts, not ohms"),
        ("200 ohm 120%", "'200 ohm 120%': no meter is that far off"),
        ("0%", "'0%': no meter is that good"),
        ("1.2.3%", "more than one point"),
        ("0.8% + 3;", "nothing was typed"),
    ],
)
def test_what_is_wrong_is_named(text: str, says: str) -> None:
    """One line, and nothing is half taken."""
    with pytest.raises(UnitError, match=says) as caught:
        read_accuracies(text)
    assert "\n" not in str(caught.value)
