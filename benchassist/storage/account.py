"""A reading and what was made of it, as an export tells it: base units, each beside its number."""

from benchassist.core.accuracy import Accuracy, LeadZero
from benchassist.core.band import Band, Judgement
from benchassist.core.entry import Taken
from benchassist.core.estimate import PartTemperature, copper_factor
from benchassist.core.quantity import BASE_UNIT, Quantity
from benchassist.core.reading import Reading
from benchassist.storage.codec import Plain
from benchassist.storage.row import is_volt_drop, judged_quantity

OHM = BASE_UNIT[Quantity.RESISTANCE]


def unit_of(quantity: Quantity | None) -> str | None:
    """The base unit of a quantity, None where the meter did not say what it measured."""
    return None if quantity is None else BASE_UNIT[quantity]


def taken_account(taken: Taken, *, struck: bool) -> Plain:
    """A taken reading: as the meter gave it, what was corrected, its doubt and its verdict."""
    conditions = taken.conditions
    quantity = judged_quantity(taken)
    zero = None if is_volt_drop(taken) else conditions.lead_zero
    return {
        "id": taken.stamp.id,
        "seq": taken.stamp.seq,
        "at": taken.stamp.at.isoformat(),
        "struck": struck,
        "supersedes": taken.supersedes,
        "method": taken.method,
        "by_key": taken.by_key,
        "leads_proved": taken.leads_proved,
        "reading": reading_account(taken.reading),
        "second": None if taken.second is None else reading_account(taken.second),
        "corrections": {
            "lead_zero": zero.value if zero else None,
            "lead_zero_unit": OHM,
            "temperature_factor": copper_factor(conditions)[0],
            "reference_temperature": conditions.copper_reference,
            "temperature_unit": "celsius",
        },
        **judgement_account(taken.judgement, quantity),
        "band": None if taken.band is None else band_account(taken.band),
        "conditions": {
            "meter": taken.meter,
            "accuracy": accuracy_account(conditions.accuracy),
            "accuracy_note": taken.accuracy_note,
            "link_note": taken.link_note,
            "lead_zero": None
            if conditions.lead_zero is None
            else zero_account(conditions.lead_zero),
            "part_temperature": None
            if conditions.part_temperature is None
            else temperature_account(conditions.part_temperature),
            "spread": conditions.spread,
            "spread_unit": unit_of(taken.reading.quantity),
        },
    }


def reading_account(reading: Reading) -> Plain:
    """A reading as the meter gave it; `display_exponent` is the prefix its display stood at."""
    return {
        "quantity": reading.quantity,
        "value": reading.value,
        "unit": unit_of(reading.quantity),
        "resolution": reading.resolution,
        "range": reading.full_scale,
        "overload": reading.overload,
        "mode": reading.mode,
        "flags": sorted(reading.flags),
        "source": reading.source,
        "channel": reading.channel,
        "t_s": reading.t_s,
        "display_exponent": reading.exponent,
    }


def judgement_account(judgement: Judgement, quantity: Quantity | None) -> Plain:
    """The corrected value, its expanded uncertainty with every contribution, and the verdict."""
    return {
        "quantity": quantity,
        "value": judgement.value,
        "unit": unit_of(quantity),
        "expanded_uncertainty": judgement.expanded_uncertainty,
        "coverage_factor": judgement.k,
        "contributions": [
            {"name": c.name, "standard_uncertainty": c.standard_uncertainty}
            for c in judgement.contributions
        ],
        "dominant": judgement.dominant,
        "verdict": judgement.verdict,
        "side": judgement.side,
        "reason": judgement.reason,
        "probability_in_band": judgement.probability_in_band,
        "clearance": judgement.clearance,
    }


def band_account(band: Band) -> Plain:
    """A band with where it comes from."""
    return {
        "quantity": band.quantity,
        "low": band.low,
        "high": band.high,
        "unit": unit_of(band.quantity),
        "source": band.source,
        "source_note": band.source_note,
        "reference_temperature": band.reference_celsius,
        "temperature_unit": "celsius",
        "copper": band.copper,
        "probe_points": band.probe_points,
    }


def accuracy_account(accuracy: Accuracy) -> Plain:
    """An accuracy statement; `stated` is false where the worst case stands in for one."""
    fixed = {"fixed": accuracy.fixed} if accuracy.fixed else {}
    return {
        "percent_of_reading": accuracy.percent,
        "counts": accuracy.counts,
        "percent_of_range": accuracy.percent_of_range,
        **fixed,
        "stated": accuracy.stated,
    }


def zero_account(zero: LeadZero) -> Plain:
    """What the probes showed when held together."""
    return {
        "value": zero.value,
        "unit": OHM,
        "resolution": zero.resolution,
        "range": zero.full_scale,
        "accuracy": accuracy_account(zero.accuracy),
    }


def temperature_account(temperature: PartTemperature) -> Plain:
    """A part's temperature with its doubt."""
    return {
        "value": temperature.celsius,
        "unit": "celsius",
        "standard_uncertainty": temperature.u,
        "standard_uncertainty_unit": "kelvin",
    }
