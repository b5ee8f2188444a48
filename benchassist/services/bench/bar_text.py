"""What keeps a live reading from being taken, in one line that says what to do."""

from benchassist.core.procedure import Check
from benchassist.core.quantity import Quantity
from benchassist.services.bench.taking import Bar
from benchassist.services.translation import _


def dial_of(quantity: Quantity | None) -> str:
    """What to set the meter to for a quantity."""
    return {
        Quantity.RESISTANCE: _("ohms"),
        Quantity.VOLTAGE: _("volts, direct"),
        Quantity.CURRENT: _("milliamperes, direct"),
        Quantity.FREQUENCY: _("hertz"),
        Quantity.SPEED: _("hertz"),
        Quantity.TEMPERATURE: _("temperature"),
        Quantity.CAPACITANCE: _("capacitance"),
    }.get(quantity or Quantity.DURATION, _("what this step asks for"))


def bar_text(bar: Bar, check: Check) -> str:
    """One line for the technician."""
    match bar:
        case Bar.WRONG_QUANTITY:
            return _("set the meter to {dial}").format(dial=dial_of(check.quantity))
        case Bar.DIODE:
            return _("the meter is on diode test, which is not ohms: set it to ohms")
        case Bar.CONTINUITY:
            return _("the meter is on the beeper, which is not ohms: set it to ohms")
        case Bar.ALTERNATING:
            return _("the meter is on AC: set it to {dial}").format(dial=dial_of(check.quantity))
        case Bar.HOLD:
            return _("HOLD is on: the number may be old. Switch it off")
        case Bar.REL:
            return _("REL is on: the number is a difference. Switch it off")
        case Bar.MIN_MAX:
            return _("MIN/MAX is on: the number is not live. Switch it off")
        case Bar.LOW_BATTERY:
            return _("the meter's battery is low and its numbers drift: change it")
        case Bar.LEADS_UNPROVED:
            return _("touch the probes together first, then the part again")
