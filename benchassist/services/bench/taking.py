"""From a live or typed reading to one that may be taken: what bars it, and how it is judged."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from benchassist.core.accuracy import WORST_CASE, Accuracy, LeadZero, MeterRange
from benchassist.core.band import Band, Judgement, Reason, Verdict, judge, judge_overload
from benchassist.core.estimate import (
    Conditions,
    Estimate,
    PartTemperature,
    corrected_full_scale,
    estimate,
)
from benchassist.core.procedure import Check, MeterCard
from benchassist.core.quantity import Quantity
from benchassist.core.reading import BARS_TAKING, Flag, Mode, Reading
from benchassist.core.speed import frequency_reading, rpm_per_hertz
from benchassist.core.volt_drop import estimate_volt_drop
from benchassist.services.metering.statement import statement_for
from benchassist.units import Statement, read_accuracies

DIRECT = "direct"
OTHER_WAY = "other way round"
VOLT_DROP = "volt drop"
"""How a value was taken (`Taken.method`)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterSetup:
    """What the shop knows of the meter on a channel. A typed statement wins over the card's."""

    name: str = ""
    card: MeterCard | None = None
    accuracy: Accuracy | None = None
    accuracy_note: str = ""
    accuracy_quantity: Quantity | None = Quantity.RESISTANCE
    """What the typed statement holds for; None: for whatever this instrument shows."""
    stated: tuple[Statement, ...] = ()
    """Typed statements by function and range."""

    @classmethod
    def of(cls, card_key: str, accuracy: str, cards: Sequence[MeterCard]) -> "MeterSetup":
        """As settings have it: a card's key, a typed statement. Raises InputError."""
        card = next((c for c in cards if c.key == card_key), None)
        return cls(name=card.name if card is not None else "", card=card).stating(accuracy)

    def stating(self, text: str, *, bare: Quantity = Quantity.RESISTANCE) -> "MeterSetup":
        """With the statements typed; empty goes back to the card. Raises InputError.

        One without a unit is for `bare`; the note then names it, so that it reads alike anywhere.
        """
        stated = read_accuracies(text, bare=bare) if text.strip() else ()
        return replace(
            self,
            accuracy=None,
            stated=stated,
            accuracy_note="; ".join(one.text for one in stated),
        )

    def renewed(self, cards: Sequence[MeterCard]) -> "MeterSetup":
        """With the card as a changed spec book has it; one that is gone stays as it was."""
        card = self.card
        if card is None:
            return self
        return replace(self, card=next((c for c in cards if c.key == card.key), card))

    @property
    def worst_case(self) -> Accuracy:
        """What is assumed where nothing is stated."""
        return WORST_CASE

    def statement(self, reading: Reading, *, pulses_per_rev: float | None = None) -> Statement:
        """What holds for a reading, and its words: empty where a card or the worst case does.

        A speed made of pulses is stated in the hertz that the meter gave; so many hertz are so many
        rpm of it.
        """
        given = frequency_reading(reading, pulses_per_rev) if pulses_per_rev else reading
        accuracy = self.accuracy_of(given)
        if given is not reading and pulses_per_rev:
            accuracy = replace(accuracy, fixed=accuracy.fixed * rpm_per_hertz(pulses_per_rev))
        return Statement(
            quantity=reading.quantity or Quantity.RESISTANCE,
            accuracy=accuracy,
            full_scale=reading.full_scale,
            text=self.note_of(given),
        )

    def accuracy_of(self, reading: Reading) -> Accuracy:
        """The statement that holds for a reading, the worst case where there is none."""
        if self.accuracy is not None and self.accuracy_quantity in {None, reading.quantity}:
            return self.accuracy
        if (stated := statement_for(reading, self.stated)) is not None:
            return stated.accuracy
        known = self._range_of(reading)
        return known.accuracy if known is not None else WORST_CASE

    def note_of(self, reading: Reading) -> str:
        """The words of the statement that holds for a reading, empty where a card or none does."""
        if self.accuracy is not None:
            return self.accuracy_note
        stated = statement_for(reading, self.stated)
        return stated.text if stated is not None else ""

    def complete(self, reading: Reading) -> Reading:
        """The reading with the count and full scale that the card knows and the frame does not."""
        if reading.resolution is not None and reading.full_scale is not None:
            return reading
        known = self._range_of(reading)
        if known is None:
            return reading
        count = known.resolution if reading.resolution is None else reading.resolution
        top = known.full_scale if reading.full_scale is None else reading.full_scale
        return replace(reading, resolution=count, full_scale=top)

    def _range_of(self, reading: Reading) -> MeterRange | None:
        if self.card is None or reading.quantity is None:
            return None
        return self.card.range_of(
            reading.quantity, full_scale=reading.full_scale, resolution=reading.resolution
        )


class Bar(StrEnum):
    """Why a reading may not be taken, by itself or at all."""

    WRONG_QUANTITY = "wrong_quantity"
    DIODE = "diode"
    CONTINUITY = "continuity"
    ALTERNATING = "alternating"
    HOLD = "hold"
    REL = "rel"
    MIN_MAX = "min_max"
    LOW_BATTERY = "low_battery"
    LEADS_UNPROVED = "leads_unproved"


REFUSED = frozenset({Bar.WRONG_QUANTITY, Bar.DIODE, Bar.CONTINUITY, Bar.ALTERNATING})
"""Bars that no key overrides: the number is not of the kind the check asks for."""


def bar_of(reading: Reading, check: Check) -> Bar | None:
    """What keeps a reading from being taken by itself at a check, None if nothing does."""
    if reading.mode is Mode.DIODE:
        return Bar.DIODE
    if reading.mode is Mode.CONTINUITY:
        return Bar.CONTINUITY
    if reading.quantity is not check.quantity:
        return Bar.WRONG_QUANTITY
    if reading.mode is Mode.AC and check.quantity is not Quantity.FREQUENCY:
        return Bar.ALTERNATING
    barred = reading.flags & BARS_TAKING
    for flag, bar in (
        (Flag.HOLD, Bar.HOLD),
        (Flag.REL, Bar.REL),
        (Flag.MIN, Bar.MIN_MAX),
        (Flag.MAX, Bar.MIN_MAX),
        (Flag.LOW_BATTERY, Bar.LOW_BATTERY),
    ):
        if flag in barred:
            return bar
    return None


def conditions_of(
    reading: Reading,
    *,
    band: Band | None,
    accuracy: Accuracy,
    zero: LeadZero | None,
    temperature: PartTemperature | None,
    spread: float = 0.0,
) -> Conditions:
    """The conditions of a reading: leads come off ohms only, copper only where the band says so."""
    ohms = reading.quantity is Quantity.RESISTANCE
    return Conditions(
        accuracy=accuracy,
        lead_zero=zero if ohms else None,
        spread=spread,
        part_temperature=temperature,
        copper_reference=band.reference_celsius if band is not None and band.copper else None,
    )


def judge_reading(
    reading: Reading,
    band: Band | None,
    conditions: Conditions,
    *,
    leads_proved: bool,
    k: float = 2.0,
) -> Judgement:
    """The verdict on a reading as it stands. Without a band it is recorded, with its doubt."""
    if reading.overload:
        if band is None:
            return Judgement(verdict=Verdict.RECORDED, reason=Reason.NO_BAND, k=k)
        full_scale = corrected_full_scale(reading.full_scale, conditions)
        return judge_overload(full_scale, band, leads_proved=leads_proved)
    return _verdict(estimate(reading, conditions), band, k)


def judge_volt_drop(
    volts: Reading,
    current: Reading,
    band: Band | None,
    *,
    setup: MeterSetup,
    temperature: PartTemperature | None,
    k: float = 2.0,
) -> tuple[Conditions, Judgement]:
    """Conditions and verdict of a winding by volt drop. Raises InputError past its limits."""
    conditions = conditions_of(
        volts,
        band=band,
        accuracy=setup.accuracy_of(volts),
        zero=None,
        temperature=temperature,
    )
    found = estimate_volt_drop(
        volts, current, conditions=conditions, current_accuracy=setup.accuracy_of(current)
    )
    return conditions, _verdict(found, band, k)


def _verdict(found: Estimate, band: Band | None, k: float) -> Judgement:
    """The verdict on a corrected value; without a band it is recorded, with its doubt."""
    if band is not None:
        return judge(found, band, k=k)
    return Judgement(
        verdict=Verdict.RECORDED,
        reason=Reason.NO_BAND,
        value=found.y,
        expanded_uncertainty=k * found.standard_uncertainty if found.knowable else None,
        contributions=found.contributions,
        dominant=found.dominant,
        k=k,
    )
