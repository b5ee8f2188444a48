"""The table of units, held against pint's definitions."""

import subprocess
import sys

import pint
import pytest

from benchassist.core.quantity import Quantity
from benchassist.errors import UnitError
from benchassist.units.known import (
    _NAMED,
    PREFIX_SHOWN,
    PREFIXABLE,
    RPM,
    Unit,
    find_unit,
    prefixed,
)

BASE = {
    Quantity.RESISTANCE: "ohm",
    Quantity.VOLTAGE: "volt",
    Quantity.CURRENT: "ampere",
    Quantity.CAPACITANCE: "farad",
    Quantity.FREQUENCY: "hertz",
    Quantity.SPEED: "turn / minute",
    Quantity.TEMPERATURE: "degree_Celsius",
    Quantity.LENGTH: "metre",
    Quantity.PRESSURE: "pascal",
    Quantity.DURATION: "second",
}
TABLE = sorted(
    {*_NAMED.values(), *(prefixed(q, e) for q in PREFIXABLE for e in PREFIX_SHOWN)},
    key=lambda unit: (unit.quantity, unit.symbol),
)


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry[float]:
    """Pint's own units."""
    return pint.UnitRegistry()


@pytest.mark.parametrize("unit", TABLE, ids=lambda unit: unit.symbol)
def test_the_table_agrees_with_pint(unit: Unit, registry: pint.UnitRegistry[float]) -> None:
    """Every factor and offset of the table is the one pint defines."""
    for number in (0.0, 1.0, 37.5):
        theirs = registry.Quantity(number, unit.pint_name).to(BASE[unit.quantity]).magnitude
        ours = number * float(unit.factor) + float(unit.offset)
        assert ours == pytest.approx(float(theirs), rel=1e-12, abs=1e-9)


def test_pints_rpm_is_an_angle_and_ours_is_not(registry: pint.UnitRegistry[float]) -> None:
    """3600 rpm is 60 turns a second; pint's hertz would make it 377, so hertz is never asked."""
    assert registry.Quantity(3600.0, "rpm").to("Hz").magnitude == pytest.approx(376.99, abs=0.01)
    assert find_unit("rpm") is RPM
    with pytest.raises(UnitError):
        find_unit("cps")


@pytest.mark.parametrize(
    ("text", "quantity", "base"),
    [
        ("inHg", Quantity.PRESSURE, 3386.389),
        ("atm", Quantity.PRESSURE, 101325.0),
        ("ft", Quantity.LENGTH, 0.3048),
        ("degR", Quantity.TEMPERATURE, None),
    ],
)
def test_what_the_table_lacks_is_asked_of_pint(
    text: str, quantity: Quantity, base: float | None
) -> None:
    """A unit of the wider world is understood by pint's definition."""
    unit = find_unit(text)
    assert unit.quantity is quantity
    if base is not None:
        assert unit.to_base(1 + unit.offset * 0) == pytest.approx(base, rel=1e-6)


@pytest.mark.parametrize(
    ("text", "symbol"),
    [
        ("ohm", "Ω"),
        ("Ω", "Ω"),
        ("\u2126", "Ω"),
        ("kΩ", "kΩ"),
        ("KOHM", "kΩ"),
        ("k ohm", "kΩ"),
        ("Mohm", "MΩ"),
        ("mohm", "mΩ"),
        ("k", "kΩ"),
        ("M", "MΩ"),
        ("\u00b5F", "µF"),
        ("\u03bcF", "µF"),
        ("uF", "µF"),
        ("khz", "kHz"),
        ("mV", "mV"),
        ("MV", "MV"),
        ("degF", "°F"),
        ("ºC", "°C"),
        ("thou", "thou"),
        ('"', "in"),
        ("PSI", "psi"),
        ("r/min", "rpm"),
        ("m", "m"),
        ("MM", "mm"),
        ("um", "µm"),
    ],
)
def test_the_spellings_of_the_trade(text: str, symbol: str) -> None:
    """Both omegas, both micro signs, either case where it cannot be mistaken."""
    assert find_unit(text).symbol == symbol


@pytest.mark.parametrize(
    ("text", "quantity", "default", "said"),
    [
        ("", None, None, "no unit"),
        ("V", Quantity.RESISTANCE, None, "volts, not ohms"),
        ("F", None, None, "°F or µF"),
        ("m", Quantity.RESISTANCE, "ohm", "mohm or Mohm"),
        ("m", Quantity.DURATION, "min", "a length, not a time"),
        ("furlongs per fortnight", None, None, "no unit this program knows"),
        ("k k", Quantity.RESISTANCE, "ohm", "no unit this program knows"),
        ("__import__", None, None, "no unit this program knows"),
        ("ohm*ohm", None, None, "no unit this program knows"),
    ],
)
def test_what_is_no_unit_here_is_refused(
    text: str, quantity: Quantity | None, default: str | None, said: str
) -> None:
    """Each refusal names what was written and what would be right."""
    with pytest.raises(UnitError, match=said):
        find_unit(text, quantity=quantity, default=default)


def test_a_prefix_alone_belongs_to_the_unit_of_the_check() -> None:
    """`k` after a reading in hertz is kilohertz."""
    assert find_unit("k", quantity=Quantity.FREQUENCY, default="Hz").symbol == "kHz"
    assert find_unit("m", quantity=Quantity.VOLTAGE, default="V").symbol == "mV"
    assert find_unit("k", default="V").symbol == "kV"


def test_the_readings_way_never_imports_pint() -> None:
    """Reading and showing everyday units leaves pint unloaded."""
    program = (
        "import sys\n"
        "from benchassist.core.quantity import Quantity as Q\n"
        "from benchassist.core.reading import Reading\n"
        "from benchassist.units import read_band, read_typed, shown\n"
        "t = read_typed('3.86k', quantity=Q.RESISTANCE)\n"
        "read_typed('.030 in', quantity=Q.LENGTH)\n"
        "read_typed('104 F', quantity=Q.TEMPERATURE)\n"
        "read_band('3.75 kohm..6.25 kohm')\n"
        "r = Reading(t_s=0.0, channel='A', quantity=Q.RESISTANCE, value=t.value)\n"
        "shown(r)\n"
        "assert 'pint' not in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", program], check=True)


@pytest.mark.parametrize("text", ["nan", "delta_degC", "delta_degree_Fahrenheit"])
def test_what_pint_reads_otherwise_is_no_unit(text: str) -> None:
    """A number that pint finds in a name, a difference of temperatures: told, never a traceback."""
    with pytest.raises(UnitError, match="no unit this program knows"):
        find_unit(text)
