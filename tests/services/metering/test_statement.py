"""Which typed statement holds for a reading."""

import pytest

from benchassist.core.accuracy import WORST_CASE, Accuracy, MeterRange
from benchassist.core.procedure import MeterCard
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.services.bench.taking import MeterSetup

R, V, T, F = (
    Quantity.RESISTANCE,
    Quantity.VOLTAGE,
    Quantity.TEMPERATURE,
    Quantity.FREQUENCY,
)
TYPED = "0.8% + 3; V 0.5% + 2; 200 ohm 1% + 5; 20 Mohm 2% + 5"


def shown(
    quantity: Quantity = R,
    *,
    value: float | None = 1.0,
    full_scale: float | None = None,
    count: float | None = 0.1,
) -> Reading:
    """Some reading of a kind, on a range that the meter may have said."""
    return Reading(
        t_s=0.0,
        channel="A",
        quantity=quantity,
        value=value,
        resolution=count,
        full_scale=full_scale,
        overload=value is None,
    )


@pytest.mark.parametrize(
    ("reading", "percent"),
    [
        (shown(full_scale=200.0), 1.0),
        (shown(full_scale=220.0), 1.0),
        (shown(full_scale=2e3), 0.8),
        (shown(full_scale=20e6, value=1.3e7), 2.0),
        (shown(value=None, full_scale=20e6), 2.0),
        (shown(V, full_scale=200.0), 0.5),
    ],
)
def test_the_statement_of_the_readings_own_range_holds(reading: Reading, percent: float) -> None:
    """A range not stated by itself has the one of its function."""
    assert MeterSetup().stating(TYPED).accuracy_of(reading).percent == percent


def test_what_nothing_is_stated_of_is_the_worst_case() -> None:
    """Of another function, and of a range where only others are stated."""
    setup = MeterSetup().stating("200 ohm 1% + 5")
    assert setup.accuracy_of(shown(F)) is WORST_CASE
    assert setup.accuracy_of(shown(full_scale=2e3)) is WORST_CASE


@pytest.mark.parametrize(
    ("value", "count", "percent"),
    [
        (0.4, 0.1, 1.0),
        (0.4, 0.01, 1.0),
        (900.0, 1.0, 0.8),
        (1.3e7, 1e4, 2.0),
        (150.0, 10.0, 0.8),
    ],
)
def test_where_the_range_is_not_said_the_widest_possible_holds(
    value: float, count: float, percent: float
) -> None:
    """A range must reach the value and be counted in steps that a display can show."""
    reading = shown(value=value, count=count)
    assert MeterSetup().stating(TYPED).accuracy_of(reading).percent == percent


def test_a_typed_range_wins_over_the_card_and_the_card_over_nothing() -> None:
    """What was not typed of a function comes from the card."""
    on_card = (
        MeterRange(full_scale=200.0, resolution=0.1, accuracy=Accuracy(percent=3.0)),
        MeterRange(full_scale=2e3, resolution=1.0, accuracy=Accuracy(percent=4.0)),
    )
    card = MeterCard(key="drawer", name="Drawer", ranges={R: on_card})
    setup = MeterSetup(card=card).stating("200 ohm 1% + 5")
    assert setup.accuracy_of(shown(full_scale=200.0)).percent == 1.0
    assert setup.accuracy_of(shown(full_scale=2e3)).percent == 4.0


def test_the_words_that_go_on_the_slip_are_of_the_statement_used() -> None:
    """Not the whole line; nothing where the card's figure or the worst case holds."""
    setup = MeterSetup().stating(TYPED)
    assert setup.accuracy_note == TYPED
    assert setup.note_of(shown(full_scale=200.0)) == "200 ohm 1% + 5"
    assert setup.note_of(shown(full_scale=2e3)) == "0.8% + 3"
    assert setup.note_of(shown(F)) == ""


def test_a_thermometers_statement_is_of_celsius() -> None:
    """One without a unit too; half a percent of 40 °C and a degree are 1.2 K."""
    setup = MeterSetup().stating("0.5% + 1 °C", bare=T)
    found = setup.accuracy_of(shown(T, value=40.0))
    assert found.half_width(40.0, resolution=0.1, full_scale=None) == pytest.approx(1.2)
    assert MeterSetup().stating("0.5% + 1", bare=T).accuracy_of(shown(T)).counts == 1.0
    assert MeterSetup().stating("0.5% + 1", bare=T).accuracy_note == "°C 0.5% + 1"


def test_an_empty_line_goes_back_to_the_card() -> None:
    """Nothing typed is nothing stated."""
    setup = MeterSetup().stating(TYPED).stating("  ")
    assert (setup.accuracy, setup.stated, setup.accuracy_note) == (None, (), "")
