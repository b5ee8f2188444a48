"""Quantities, bands and accuracies as profiles and commands state them."""

import pytest

from benchassist.core.accuracy import Accuracy
from benchassist.core.quantity import Quantity
from benchassist.errors import UnitError
from benchassist.units import read_accuracy, read_band, read_quantity


@pytest.mark.parametrize(
    ("text", "value", "resolution", "quantity"),
    [
        ("20 kohm", 20e3, 1e3, Quantity.RESISTANCE),
        ("1e3 ohm", 1e3, 1e3, Quantity.RESISTANCE),
        ("20k", 20e3, 1e3, Quantity.RESISTANCE),
        ("0.3 mm", 3e-4, 1e-4, Quantity.LENGTH),
        ("25 degC", 25.0, 1.0, Quantity.TEMPERATURE),
        ("2.20 uF", 2.2e-6, 1e-8, Quantity.CAPACITANCE),
        ("3600 rpm", 3600.0, 1.0, Quantity.SPEED),
    ],
)
def test_the_unit_decides_the_quantity(
    text: str, value: float, resolution: float, quantity: Quantity
) -> None:
    """A stated value needs a unit, and that says what it is."""
    found = read_quantity(text)
    assert found.quantity is quantity
    assert found.value == pytest.approx(value, rel=1e-12)
    assert found.resolution == pytest.approx(resolution, rel=1e-12)


@pytest.mark.parametrize("text", ["5", "nan ohm", "1e400 ohm", "ohm", "5 F", "-2 mm", ""])
def test_a_value_that_says_too_little_is_refused(text: str) -> None:
    """No unit, no number, or no such value."""
    with pytest.raises(UnitError):
        read_quantity(text)


def test_a_value_of_another_quantity_is_refused() -> None:
    """Where ohms are expected volts are refused."""
    with pytest.raises(UnitError, match="volts, not ohms"):
        read_quantity("5 V", quantity=Quantity.RESISTANCE)


@pytest.mark.parametrize(
    ("text", "low", "high", "quantity", "unit"),
    [
        ("3.75 kohm..6.25 kohm", 3750.0, 6250.0, Quantity.RESISTANCE, "kΩ"),
        ("3.75..6.25 kohm", 3750.0, 6250.0, Quantity.RESISTANCE, "kΩ"),
        ("3.75 kohm..6.25", 3750.0, 6250.0, Quantity.RESISTANCE, "kΩ"),
        ("600 ohm..1.3 kohm", 600.0, 1300.0, Quantity.RESISTANCE, "kΩ"),
        ("0.6..1.3 ohm", 0.6, 1.3, Quantity.RESISTANCE, "Ω"),
        ("..5 kohm", None, 5000.0, Quantity.RESISTANCE, "kΩ"),
        ("10 Mohm..", 1e7, None, Quantity.RESISTANCE, "MΩ"),
        ("5.5k..13k", 5500.0, 13000.0, Quantity.RESISTANCE, "kΩ"),
        ("1e3 ohm..2e3 ohm", 1e3, 2e3, Quantity.RESISTANCE, "Ω"),
        (".6...8 mm", 6e-4, 8e-4, Quantity.LENGTH, "mm"),
        ("-5 V..-3 V", -5.0, -3.0, Quantity.VOLTAGE, "V"),
        ("0 ohm..2 ohm", 0.0, 2.0, Quantity.RESISTANCE, "Ω"),
        ("68..72 °F", 20.0, 22.222, Quantity.TEMPERATURE, "°F"),
    ],
)
def test_a_band(
    text: str, low: float | None, high: float | None, quantity: Quantity, unit: str
) -> None:
    """Either side may be open, and a unit on one side serves both."""
    found = read_band(text)
    assert found.low == (None if low is None else pytest.approx(low, rel=1e-4))
    assert found.high == (None if high is None else pytest.approx(high, rel=1e-4))
    assert (found.quantity, found.unit) == (quantity, unit)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("5 kohm", "is no band"),
        ("..", "has no limit"),
        ("0.6..1.3", "no unit"),
        ("6 kohm..5 kohm", "lower limit must stand first"),
        ("5 kohm..5 kohm", "lower limit must stand first"),
        ("1 ohm..2 V", "ohms, not volts"),
        ("0 ohm..", "limits nothing"),
        ("-3 ohm..", "limits nothing"),
        ("..0 ohm", "above zero"),
        ("10,160 ohm..", "could be"),
        ("nan..5 ohm", "does not start with a number"),
        ("1e400 ohm..", "beyond any meter"),
        ("", "nothing was typed"),
    ],
)
def test_what_is_no_band_is_refused(text: str, said: str) -> None:
    """One line that names the band and what would be right."""
    with pytest.raises(UnitError, match=said) as refused:
        read_band(text)
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(
    ("text", "accuracy"),
    [
        ("0.8% + 3", Accuracy(percent=0.8, counts=3.0)),
        ("0.8%+3", Accuracy(percent=0.8, counts=3.0)),
        ("0,8 % + 3 counts", Accuracy(percent=0.8, counts=3.0)),
        ("±(0.8% rdg + 3 dgt)", Accuracy(percent=0.8, counts=3.0)),
        ("0.5% of reading + 2d", Accuracy(percent=0.5, counts=2.0)),
        ("1%", Accuracy(percent=1.0)),
        ("0.01% + 0.004% of range", Accuracy(percent=0.01, percent_of_range=0.004)),
        (
            "0.01% + 0.004% range + 2",
            Accuracy(percent=0.01, percent_of_range=0.004, counts=2.0),
        ),
    ],
)
def test_accuracy_statements_as_makers_print_them(text: str, accuracy: Accuracy) -> None:
    """Percent of reading, percent of range, counts."""
    assert read_accuracy(text) == accuracy


@pytest.mark.parametrize(
    "text", ["", "0.8", "-1%", "0.8% + -3", "nan%", "150%", "3 counts", "0.8%%", "0.8% + 3% + 4%"]
)
def test_what_is_no_accuracy_is_refused(text: str) -> None:
    """A negative, missing or absurd statement says what would be right."""
    with pytest.raises(UnitError):
        read_accuracy(text)
