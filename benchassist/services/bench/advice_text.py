"""Advice as words: a title and a line for a tile, one sentence for a command or a slip."""

from benchassist.core.advice import Advice, Reach, Remedy
from benchassist.core.quantity import Quantity
from benchassist.services.translation import _
from benchassist.units import UnitChoice, difference_text, scaled, step_text

SHOP = UnitChoice()

_TITLES = {
    Remedy.OTHER_RANGE: _("Another range"),
    Remedy.FINER_COUNT: _("A finer range"),
    Remedy.VOLT_DROP: _("Volt-drop method"),
    Remedy.LEAD_ZERO: _("Zero the leads"),
    Remedy.ACCURACY_STATEMENT: _("Enter the meter’s accuracy"),
    Remedy.COLDER_PART: _("Let the part cool"),
    Remedy.BETTER_THERMOMETER: _("Measure the part’s temperature"),
    Remedy.STEADY_CONTACT: _("Clip on and hold still"),
    Remedy.GO_UP_A_RANGE: _("Go up a range"),
    Remedy.TOUCH_PROBES: _("Touch the probes together"),
    Remedy.NAME_THE_RANGE: _("Say which range the meter is on"),
    Remedy.TYPE_AS_SHOWN: _("Type the digits exactly as shown"),
    Remedy.OTHER_METER: _("Another meter"),
    Remedy.ON_THE_EDGE: _("Leave it open"),
}

_HINTS = {
    Remedy.OTHER_RANGE: "",
    Remedy.FINER_COUNT: "",
    Remedy.VOLT_DROP: "",
    Remedy.LEAD_ZERO: _("Hold the probes together and zero them on this range"),
    Remedy.ACCURACY_STATEMENT: _("The worst case is assumed while it is not known"),
    Remedy.COLDER_PART: _("Judge it at shop temperature"),
    Remedy.BETTER_THERMOMETER: _("It is what is too wide here"),
    Remedy.STEADY_CONTACT: _("Scrape the contact bare, then read again"),
    Remedy.GO_UP_A_RANGE: _("Then read again, and say which range it is"),
    Remedy.TOUCH_PROBES: _("Then touch the part again within a minute"),
    Remedy.NAME_THE_RANGE: _("Its accuracy depends on it"),
    Remedy.TYPE_AS_SHOWN: _("The last digit says how far the meter steps"),
    Remedy.OTHER_METER: _("No range of this one is known to decide it"),
    Remedy.ON_THE_EDGE: _("It sits on the edge, let other evidence decide"),
}

_REACH = {
    Reach.CALLS_IT: _("Calls it"),
    Reach.CALLS_MOST: _("Calls most of it"),
    Reach.CALLS_SOME: _("Calls the middle of it only"),
    Reach.OPEN_ONLY: _("Finds an open only"),
    Reach.NOTHING: _("Can’t tell anything"),
}


def advice_title(
    advice: Advice, quantity: Quantity = Quantity.RESISTANCE, *, units: UnitChoice = SHOP
) -> str:
    """What to do, in a few words."""
    match advice.remedy:
        case Remedy.OTHER_RANGE if advice.full_scale is not None:
            range_ = scaled(advice.full_scale, quantity, units=units)
            text = _("{range} range, zero the leads") if advice.rezero else _("{range} range")
            return text.format(range=range_)
        case Remedy.FINER_COUNT if advice.resolution is not None:
            step = step_text(advice.resolution, quantity, units=units)
            return _("A range in steps of {step}").format(step=step)
        case Remedy.GO_UP_A_RANGE if advice.full_scale is not None:
            range_ = scaled(advice.full_scale, quantity, units=units)
            return _("Go up to the {range} range").format(range=range_)
        case _:
            return _TITLES[advice.remedy]


def advice_text(
    advice: Advice, quantity: Quantity = Quantity.RESISTANCE, *, units: UnitChoice = SHOP
) -> str:
    """What it would bring: 'Good to ±0.3 Ω. Finds an open only'."""
    said = []
    if advice.expanded is not None:
        doubt = difference_text(advice.expanded, quantity, units=units)
        said.append(_("Good to ±{doubt}").format(doubt=doubt))
    if advice.reach is not None:
        said.append(_REACH[advice.reach])
    if advice.remedy is Remedy.VOLT_DROP:
        said.append(_("At most 100 mA and 1.5 V, never a battery direct"))
    if not said:
        said.append(_HINTS[advice.remedy])
    if advice.u_temperature is not None:
        known = difference_text(2.0 * advice.u_temperature, Quantity.TEMPERATURE, units=units)
        said.append(_("Know its temperature to ±{known}").format(known=known))
    return ". ".join(said)


def advice_sentence(
    advice: Advice, quantity: Quantity = Quantity.RESISTANCE, *, units: UnitChoice = SHOP
) -> str:
    """Title and text as sentences."""
    title = advice_title(advice, quantity, units=units)
    text = advice_text(advice, quantity, units=units)
    return f"{title}: {text[:1].lower()}{text[1:]}." if text else f"{title}."
