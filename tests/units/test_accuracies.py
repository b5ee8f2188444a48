"""Accuracy statements for several functions in one line."""

import pytest

from benchassist.core.accuracy import WORST_CASE, Accuracy
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.errors import UnitError
from benchassist.services.taking import MeterSetup
from benchassist.units import read_accuracies


def shown(quantity: Quantity) -> Reading:
    """Some reading of a kind."""
    return Reading(t_s=0.0, channel="A", quantity=quantity, value=1.0, resolution=0.01)


def test_each_function_has_its_own_statement() -> None:
    """Ohms need no unit; what is not stated is the worst case."""
    setup = MeterSetup().stating("0.8% + 3; V 0.5% + 2; °C 1% + 1")
    assert setup.accuracy_of(shown(Quantity.RESISTANCE)) == Accuracy(percent=0.8, counts=3.0)
    assert setup.accuracy_of(shown(Quantity.VOLTAGE)) == Accuracy(percent=0.5, counts=2.0)
    assert setup.accuracy_of(shown(Quantity.TEMPERATURE)) == Accuracy(percent=1.0, counts=1.0)
    assert setup.accuracy_of(shown(Quantity.FREQUENCY)) is WORST_CASE


def test_an_empty_line_goes_back_to_the_card() -> None:
    """Nothing typed is nothing stated."""
    setup = MeterSetup().stating("0.8% + 3; V 0.5% + 2").stating("  ")
    assert (setup.accuracy, setup.others, setup.accuracy_note) == (None, (), "")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("V 1%; V 2%", "twice"),
        ("1%; 2%", "twice"),
        ("frogs 1%", "no unit"),
        ("V lots", "no accuracy statement"),
        ("0.8% + 3;", "nothing was typed"),
    ],
)
def test_what_is_wrong_is_named(text: str, says: str) -> None:
    """One line, and nothing is half taken."""
    with pytest.raises(UnitError, match=says):
        read_accuracies(text)
