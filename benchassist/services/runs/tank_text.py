"""What a tank run found, in words and in the shop's units."""

from math import ceil
from typing import Final

from benchassist.core.band import Verdict
from benchassist.core.quantity import Quantity
from benchassist.core.run import RunPlan
from benchassist.core.run_finding import TankFinding
from benchassist.core.tank_run import pump_up_doubt, pump_up_ratio
from benchassist.services.bench.reason_text import verdict_word
from benchassist.services.runs.clock import clock_text
from benchassist.services.runs.doubt import doubt_sentences
from benchassist.services.runs.words import RunWords
from benchassist.services.translation import _
from benchassist.units import PressureUnit, UnitChoice, text_of

LITRES: Final = 1000.0
"""In a cubic metre."""
US_GALLONS: Final = 264.172052
"""In a cubic metre: 231 cubic inches each."""
CUBIC_FEET: Final = 35.3146667
"""In a cubic metre."""
FOOT: Final = 0.3048
"""In metres."""

STANDARD_AIR: Final = 20.0
"""Celsius, where nobody typed the air's."""

USUAL: Final = 0.2
"""A pump-up this share away from the machine's own baseline is worth a look (common practice)."""

SAFETY_VALVE: Final = _("Safety valve: leave it free and as set; stop at the tank plate’s limit.")


def is_us(units: UnitChoice) -> bool:
    """Whether a shop that works in psi has gallons, feet and cubic feet beside it."""
    return units.pressure is PressureUnit.PSI


def gauge_text(pascal: float, units: UnitChoice) -> str:
    """A gauge pressure in whole psi or kPa."""
    step = units.from_shop(1.0, Quantity.PRESSURE)
    return str(text_of(pascal, Quantity.PRESSURE, resolution=step, units=units))


def volume_text(cubic_metres: float, units: UnitChoice) -> str:
    """A tank's volume in gallons or litres."""
    if is_us(units):
        return _("{n:.4g} gal").format(n=cubic_metres * US_GALLONS)
    return _("{n:.4g} L").format(n=cubic_metres * LITRES)


def altitude_text(metres: float, units: UnitChoice) -> str:
    """Height above the sea in feet or metres."""
    if is_us(units):
        return _("{n:.0f} ft").format(n=metres / FOOT)
    return _("{n:.0f} m").format(n=metres)


def free_air_text(finding: TankFinding, units: UnitChoice) -> tuple[str, str]:
    """Free air with its unit and its doubt: ('3.42 ft³/min', '±0.15'); empty where not known."""
    if finding.free_air is None:
        return "", ""
    factor = CUBIC_FEET * 60.0 if is_us(units) else LITRES * 60.0
    unit = _("ft³/min") if is_us(units) else _("L/min")
    value = finding.free_air * factor
    doubt = (finding.free_air_uncertainty or 0.0) * factor
    decimals = _decimals(doubt or value)
    return f"{value:.{decimals}f} {unit}", f"±{doubt:.{decimals}f}" if doubt else ""


def _decimals(step: float) -> int:
    """Two digits of a doubt: none from ten up."""
    if step >= 10.0:
        return 0
    return 1 if step >= 1.0 else 2


def slower_text(finding: TankFinding, when: str) -> str:
    """Against the machine's own baseline: '12 % slower than on 9 Jun 2026'."""
    if finding.pump_up_s is None:
        return ""
    if finding.baseline_s is None:
        return _("Recorded as the baseline: nothing earlier to hold it against.")
    share = (pump_up_ratio(finding) or 1.0) - 1.0
    doubt = max(1, ceil(100.0 * (pump_up_doubt(finding) or 0.0)))
    percent = round(100.0 * abs(share))
    if percent < doubt:
        return _("As fast as on {when}, within ±{doubt} %.").format(when=when, doubt=doubt)
    text = (
        _("{n} % slower than on {when}, ±{doubt} %.")
        if share > 0.0
        else _("{n} % faster than on {when}, ±{doubt} %.")
    )
    return text.format(n=percent, when=when, doubt=doubt)


def baseline_hint(finding: TankFinding) -> str:
    """What a pump-up far slower than its baseline calls for; empty otherwise."""
    ratio = pump_up_ratio(finding)
    if ratio is None or ratio <= 1.0 + USUAL:
        return ""
    return _(
        "More than 20 % slower, common practice: look at filter, belt, reeds, head gasket, rings."
    )


def pump_up_text(finding: TankFinding, units: UnitChoice) -> str:
    """'0 to 125 psi in 4:10'; empty with fewer than two marks."""
    if finding.pump_up_s is None or len(finding.marks) < 2:
        return ""
    first, last = finding.marks[0].pascal, finding.marks[-1].pascal
    low = gauge_text(first, units).partition(" ")[0]
    return _("{low} to {high} in {time}").format(
        low=low, high=gauge_text(last, units), time=clock_text(finding.pump_up_s)
    )


def tank_words(
    finding: TankFinding, plan: RunPlan, units: UnitChoice, *, when: str = ""
) -> RunWords:
    """The finding as a line of the slip; `when` is the day of the baseline: '9 Jun 2026'.

    A tank has no band of its own: it is recorded, and held against the machine's own baseline.
    """
    del plan
    pump_up, (air, doubt) = pump_up_text(finding, units), free_air_text(finding, units)
    said = []
    if air:
        said.append(_("free air {value} {doubt}").format(value=air, doubt=doubt).strip())
    if finding.cut_out is not None:
        said.append(_("cut-out {gauge}").format(gauge=gauge_text(finding.cut_out, units)))
    if finding.cut_in is not None:
        said.append(_("cut-in {gauge}").format(gauge=gauge_text(finding.cut_in, units)))
    against = slower_text(finding, when or _("the last visit"))
    notes = tuple(
        line for line in (against, baseline_hint(finding), _basis(finding, units)) if line
    )
    lasting = list(doubt_sentences(finding.doubts, ()))
    if not pump_up:
        lasting.append(_("Pump-up: needs two gauge marks."))
    elif not air:
        lasting.append(_("Free air: needs the tank’s volume."))
    recorded = bool(pump_up or said)
    return RunWords(
        words=pump_up or (said[0] if said else _("Nothing marked")),
        detail=tuple(line for line in ("; ".join(said), *notes) if line),
        verdict=Verdict.RECORDED if recorded else None,
        verdict_text=verdict_word(Verdict.RECORDED) if recorded else "",
        proved=tuple(_("{what}.").format(what=what) for what in (pump_up,) if what),
        not_proved=tuple(lasting),
    )


def _basis(finding: TankFinding, units: UnitChoice) -> str:
    """What free air was reckoned with."""
    if finding.free_air is None:
        return ""
    parts = []
    if finding.volume is not None:
        parts.append(_("tank {volume}").format(volume=volume_text(finding.volume, units)))
    told, assumed = _("air {value}"), _("air {value} assumed")
    celsius = STANDARD_AIR if finding.ambient is None else finding.ambient
    air = text_of(celsius, Quantity.TEMPERATURE, resolution=1.0, units=units)
    parts.append((assumed if finding.ambient is None else told).format(value=air))
    if finding.altitude is None:
        parts.append(_("sea level assumed"))
    else:
        parts.append(_("{height} up").format(height=altitude_text(finding.altitude, units)))
    return _("Free air from {parts}.").format(parts=", ".join(parts))
