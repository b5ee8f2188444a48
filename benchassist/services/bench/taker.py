"""What the current check would take, as it stands, and the writing down of it."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from benchassist.core.accuracy import LeadZero
from benchassist.core.advice import Advice, Foresight, advise, foresee
from benchassist.core.entry import Entry, LeadsZeroed, Stamp, Taken
from benchassist.core.estimate import UNSTATED_U, Conditions, PartTemperature, estimate
from benchassist.core.procedure import Check, CheckKind
from benchassist.core.quantity import Quantity
from benchassist.core.reading import BARS_TAKING, Reading
from benchassist.core.speed import rpm_per_hertz, speed_reading
from benchassist.core.steady import Phase
from benchassist.core.visit import Standing, Visit, ZeroedLeads
from benchassist.services.bench.pen import Pen
from benchassist.services.bench.taking import (
    DIRECT,
    OTHER_WAY,
    REFUSED,
    Bar,
    MeterSetup,
    bar_of,
    conditions_of,
    judge_reading,
)
from benchassist.services.metering.meter import Meter
from benchassist.services.needs import Clock
from benchassist.services.settings import Settings
from benchassist.services.translation import _
from benchassist.services.wording import day_text
from benchassist.units import Statement

TYPED = "typed"
"""The channel of readings typed by hand."""
LEAST_CONTACT_U = 1.0
"""Kelvin: a probe on a surface knows the winding inside no better (shop judgement)."""
PROOF_LASTS = 60.0
"""Seconds for which typed leads, seen together, prove an overload typed after them."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """The live reading as the current check would take it; `bar` says what is against it."""

    reading: Reading
    bar: Bar | None
    taken: Taken | None


class Taker:
    """Judges and takes at a visit's current check."""

    def __init__(
        self,
        visit: Visit,
        pen: Pen,
        *,
        clock: Clock,
        meter: Meter,
        thermometer: Meter | None = None,
        settings: Settings,
    ) -> None:
        self._visit = visit
        self._pen = pen
        self._clock = clock
        self._meter = meter
        self._thermometer = thermometer
        self._settings = settings
        self._opened_at = clock.monotonic()

    # --- what stands -----------------------------------------------------------------------------

    def needs_other_way(self) -> bool:
        """Whether the check is read both ways round and one of them is still wanted."""
        check = self._visit.current
        return check.polarities == 2 and len(self._visit.taken(check.key)) == 1

    def wants_reading(self) -> bool:
        """Whether the check still wants one: a look back at a taken step takes nothing unasked."""
        check = self._visit.current
        if self._visit.awaits_after(check.key) or self.needs_other_way():
            return True
        return self._visit.standing(check.key) is not Standing.TAKEN

    def live(self) -> Reading | None:
        """The reading offered, as the check wants it: hertz as rpm where a speed is asked."""
        reading, check = self._meter.offered, self._visit.current
        if reading is not None and check.quantity is Quantity.SPEED and check.pulses_per_rev:
            return speed_reading(reading, check.pulses_per_rev)
        return reading

    def candidate(self) -> Candidate | None:
        """What would be taken now, judged as it stands; None where nothing is live."""
        reading, check = self.live(), self._visit.current
        if reading is None or check.kind is not CheckKind.MEASURE:
            return None
        bar = bar_of(reading, check)
        if bar in REFUSED:
            return Candidate(reading, bar, None)
        if bar is None and reading.overload and not self._meter.leads_proved():
            bar = Bar.LEADS_UNPROVED
        return Candidate(reading, bar, self.judged(reading, spread=self._spread(check)))

    def _spread(self, check: Check) -> float:
        steady = self._meter.now_steady
        if steady.phase not in {Phase.STEADY, Phase.STEADYING}:
            return 0.0
        if check.quantity is Quantity.SPEED and check.pulses_per_rev:
            return steady.spread * rpm_per_hertz(check.pulses_per_rev)
        return steady.spread

    def setup_of(self, reading: Reading) -> MeterSetup:
        """What is known of the meter, or of the gauge, that gave a reading."""
        check = self._visit.current
        if reading.channel == TYPED and check.accuracy is not None:
            return MeterSetup(
                name=_("Gauge or tachometer"),
                accuracy=check.accuracy,
                accuracy_note=check.accuracy_note,
                accuracy_quantity=None,
            )
        if reading.channel != TYPED and self._meter.channel is not None:
            return self._meter.channel.setup
        return self._meter.setup

    def conditions(self, reading: Reading, *, spread: float = 0.0) -> Conditions:
        """The conditions under which the current check would judge a reading."""
        check, zeroed = self._visit.current, self.leads(reading.channel)
        return conditions_of(
            reading,
            band=self._visit.band(check),
            accuracy=self._stated(reading).accuracy,
            zero=zeroed.zero if zeroed else None,
            temperature=self.part_temperature(),
            spread=spread,
        )

    def _stated(self, reading: Reading) -> Statement:
        pulses = None if reading.channel == TYPED else self._visit.current.pulses_per_rev
        return self.setup_of(reading).statement(reading, pulses_per_rev=pulses)

    def part_temperature(self) -> PartTemperature | None:
        """The part's temperature; about the shop's, and little known, where copper asks for one."""
        measured = self.measured_temperature()
        if measured is not None:
            return measured
        known, band = self._visit.temperature, self._visit.band(self._visit.current)
        if known is not None or band is None or not band.copper:
            return known
        return PartTemperature(celsius=self._settings.shop_celsius, u=UNSTATED_U)

    def measured_temperature(self) -> PartTemperature | None:
        """What a second meter says of the part, live; its doubt is its own statement's."""
        meter = self._thermometer
        reading = meter.live if meter is not None else None
        if meter is None or meter.channel is None or reading is None or reading.value is None:
            return None
        if reading.quantity is not Quantity.TEMPERATURE or reading.flags & BARS_TAKING:
            return None
        accuracy = meter.channel.setup.accuracy_of(reading)
        found = estimate(reading, Conditions(accuracy=accuracy))
        u = max(found.standard_uncertainty, LEAST_CONTACT_U) if found.knowable else UNSTATED_U
        return PartTemperature(celsius=reading.value, u=u)

    def needs_temperature(self) -> bool:
        """Whether the check follows copper and nobody has said how warm it is."""
        band = self._visit.band(self._visit.current)
        if band is None or not band.copper or self._visit.temperature is not None:
            return False
        return self.measured_temperature() is None

    def judged(
        self,
        reading: Reading,
        *,
        spread: float = 0.0,
        by_key: bool = False,
        stamp: Stamp | None = None,
    ) -> Taken:
        """The reading as an entry of the current check; without a stamp, only to be shown."""
        check, band = self._visit.current, self._visit.band(self._visit.current)
        setup, conditions = self.setup_of(reading), self.conditions(reading, spread=spread)
        proved = self.leads_proved(reading)
        return Taken(
            stamp=stamp or Stamp(id="", visit_id="", seq=0, at=self._clock.now()),
            check_key=check.key,
            reading=reading,
            conditions=conditions,
            judgement=judge_reading(
                reading, band, conditions, leads_proved=proved, k=self._visit.header.k
            ),
            band=band,
            method=OTHER_WAY if self.needs_other_way() else DIRECT,
            supersedes=self.superseded(),
            meter=setup.name,
            accuracy_note=self._stated(reading).text,
            leads_proved=proved,
            by_key=by_key,
            link_note=self._link_note(reading),
        )

    def _link_note(self, reading: Reading) -> str:
        if reading.channel == TYPED:
            return ""
        if (matched := self._meter.matched_at) is None:
            return _("display not matched")
        return _("display matched {day}").format(day=day_text(matched))

    def superseded(self) -> str | None:
        """The id of what a reading taken now replaces: none after work, or for the other way."""
        key = self._visit.current.key
        latest = self._visit.latest(key)
        if latest is None or self.needs_other_way() or self._visit.awaits_after(key):
            return None
        return latest.stamp.id

    def leads_proved(self, reading: Reading) -> bool:
        """Whether the probes on this reading's channel were together within the last minute."""
        if reading.channel != TYPED:
            return self._meter.leads_proved()
        zeroed = self._visit.leads(TYPED)
        age = (self._clock.now() - zeroed.at).total_seconds() if zeroed else -1.0
        return 0.0 <= age <= PROOF_LASTS

    def advice(self, taken: Taken) -> tuple[Advice, ...]:
        """What would settle an undecided verdict, from the meter's own ranges."""
        if taken.band is None:
            return ()
        return advise(
            taken.judgement,
            taken.band,
            taken.conditions,
            reading=taken.reading,
            card=self.setup_of(taken.reading).card,
            volt_drop=self._visit.current.volt_drop,
        )

    def foresight(self) -> Foresight | None:
        """What the meter could say of this step before the probes touch."""
        check, setup = self._visit.current, self._meter.setup
        band, live = self._visit.band(check), self.live()
        if band is None or check.kind is not CheckKind.MEASURE or setup.card is None:
            return None
        in_use = None
        if live is not None and live.quantity is check.quantity and "auto" not in live.flags:
            in_use = setup.card.range_of(
                band.quantity, full_scale=live.full_scale, resolution=live.resolution
            )
        probe = live or Reading(t_s=0.0, channel=TYPED, quantity=band.quantity, value=0.0)
        return foresee(
            band,
            self.conditions(probe),
            card=setup.card,
            in_use=in_use,
            volt_drop=check.volt_drop,
            k=self._visit.header.k,
        )

    # --- writing down ----------------------------------------------------------------------------

    def typed(self, reading: Reading) -> Reading:
        """A typed value, timed from the visit's opening and completed from the meter card."""
        timed = replace(reading, t_s=self._clock.monotonic() - self._opened_at)
        return self.setup_of(timed).complete(timed)

    def take(self, reading: Reading, *, by_key: bool, spread: float = 0.0) -> Entry:
        """Write a reading down at the current check."""
        return self._pen.write(
            lambda stamp: self.judged(reading, spread=spread, by_key=by_key, stamp=stamp)
        )

    def write(self, make: Callable[[Stamp], Entry]) -> Entry:
        """Write any other entry down."""
        return self._pen.write(make)

    def keep_zero(self, channel: str, zero: LeadZero) -> Entry:
        """Write a channel's lead zero down."""
        meter = self._meter.key if channel != TYPED else ""
        return self._pen.write(
            lambda stamp: LeadsZeroed(stamp=stamp, channel=channel, zero=zero, meter=meter)
        )

    def leads(self, channel: str) -> ZeroedLeads | None:
        """The lead zero that holds on a channel: the one of the meter that is linked there now."""
        zeroed = self._visit.leads(channel)
        if zeroed is None or channel == TYPED or zeroed.meter == self._meter.key:
            return zeroed
        return None

    def borrow_zero(self) -> None:
        """A zero made on the meters page counts in the visit from its making on."""
        zeroed, channel = self._meter.zeroed, self._meter.channel
        if zeroed is None or channel is None or self._visit.closed:
            return
        known = self.leads(channel.name)
        if known is None or (known.at < zeroed.at and known.zero != zeroed.zero):
            self.keep_zero(channel.name, zeroed.zero)
