"""Match the display: the user types what it shows, the link's value stays covered until then."""

from datetime import UTC
from itertools import islice

from benchassist.core.match import WANTED, Mismatch, Trial, agreed, compare, is_matched, is_new
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Mode, Reading, Source
from benchassist.errors import InputError
from benchassist.services.metering.meter import Meter
from benchassist.services.metering.meters_view import MatchRow, MatchView
from benchassist.services.needs import Clock
from benchassist.services.translation import _
from benchassist.services.wording import day_text, link_text
from benchassist.units import UnitChoice, read_typed, shown

LOOK_BACK_S = 2.5
"""A display may lag its frames by a reading or two."""

UNITS: tuple[tuple[str, Quantity], ...] = (
    ("kohm", Quantity.RESISTANCE),
    ("ohm", Quantity.RESISTANCE),
    ("Mohm", Quantity.RESISTANCE),
    ("V", Quantity.VOLTAGE),
    ("mV", Quantity.VOLTAGE),
    ("Hz", Quantity.FREQUENCY),
    ("kHz", Quantity.FREQUENCY),
    ("°C", Quantity.TEMPERATURE),
    ("°F", Quantity.TEMPERATURE),
)


class MatchTrial:
    """One meter's trial; satisfies `desk.MatchDesk`."""

    def __init__(self, meter: Meter, clock: Clock, units: UnitChoice) -> None:
        self._meter = meter
        self._clock = clock
        self._units = units
        self._trials: list[Trial] = []
        self._unit = 0
        self._error = ""

    def tick(self) -> None:
        """Take in readings and link changes."""
        self._meter.take_in()

    def begin(self) -> None:
        """Start with no values typed."""
        self._trials, self._error = [], ""

    def next_unit(self) -> None:
        """Give bare numbers the next unit."""
        self._unit = (self._unit + 1) % len(UNITS)

    def submit(self, text: str) -> None:
        """Hold a typed value against the link; three that agree keep the meter as matched."""
        self._error = ""
        if not self._meter.linked:
            self._error = _("no meter is linked: link it first")
            return
        try:
            typed = self._read(text)
        except InputError as error:
            self._error = str(error)
            return
        if not is_new(typed, self._trials):
            self._error = _("that value was matched already: take a different reading")
            return
        self._trials.append(compare(typed, self._recent()))
        if is_matched(self._trials):
            self._meter.keep_match(self._clock.now())

    def _read(self, text: str) -> Reading:
        """The typed text under the chosen unit, else under whatever unit it carries itself."""
        unit, quantity = UNITS[self._unit]
        try:
            typed = read_typed(text, quantity=quantity, default_unit=unit)
        except InputError as first:
            others = dict.fromkeys(q for _u, q in UNITS if q is not quantity)
            for other in others:
                try:
                    typed = read_typed(text, quantity=other)
                    break
                except InputError:
                    continue
            else:
                raise first from None
        return Reading(
            t_s=0.0,
            channel="typed",
            quantity=typed.quantity,
            value=typed.value,
            resolution=typed.resolution,
            overload=typed.overload,
            exponent=typed.exponent,
            source=Source.TYPED,
        )

    def _recent(self) -> tuple[Reading, ...]:
        """The link's plain readings of the last moments, newest first."""
        channel = self._meter.channel
        if channel is None or self._meter.live is None:
            return ()
        rows = channel.strip(self._clock.monotonic())
        fresh = [r for age, r in reversed(rows) if age >= -LOOK_BACK_S]
        return tuple(islice((r for r in fresh if r.mode in {Mode.PLAIN, Mode.AC}), 20))

    def view(self) -> MatchView:
        """What the page shows now."""
        good = len(agreed(self._trials))
        done = is_matched(self._trials)
        return MatchView(
            rows=tuple(self._row(n, t) for n, t in enumerate(self._trials, start=1))[-WANTED:],
            wanted=WANTED,
            count_text=_("{n} of {wanted} matched").format(n=min(good, WANTED), wanted=WANTED),
            number=len(self._trials) + 1,
            unit=_shown_unit(UNITS[self._unit][0]),
            error=self._error,
            done=done,
            meter_text=link_text(self._meter.link_state, self._meter.age),
            meter_live=self._meter.live is not None,
            note=self._note(done=done),
            matched=self._meter.may_take_by_itself,
        )

    def _note(self, *, done: bool) -> str:
        if done:
            return _("Matched. Readings are taken hands-free from now on.")
        if self._meter.matched_at is not None:
            day = day_text(self._meter.matched_at.replace(tzinfo=UTC))
            return _("Matched before, on {day}.").format(day=day)
        return _("One dot wrong is ten times out. Use a different reading each time.")

    def _row(self, number: int, trial: Trial) -> MatchRow:
        typed, link = trial.typed, trial.link
        typed_digits, typed_unit = shown(typed, self._units)
        link_digits, link_unit = shown(link, self._units) if link is not None else ("", "")
        return MatchRow(
            number=number,
            typed=_("Above range") if typed.overload else typed_digits,
            typed_unit="" if typed.overload else typed_unit,
            link=_("Above range") if link is not None and link.overload else link_digits,
            link_unit="" if link is None or link.overload else link_unit,
            same=trial.same,
            text=_("Same") if trial.mismatch is None else mismatch_text(trial.mismatch),
        )


def mismatch_text(mismatch: Mismatch) -> str:
    """What a difference points to, in one line."""
    return {
        Mismatch.SILENT: _("Nothing came: check the lead, the family and the line"),
        Mismatch.OTHER_QUANTITY: _("Another unit: the wrong family for this meter"),
        Mismatch.OVERLOAD: _("One is above range: hold the probes on and try again"),
        Mismatch.SIGN: _("Another sign: the wrong family for this meter"),
        Mismatch.POINT: _("The point is elsewhere: the wrong table for this meter"),
        Mismatch.LAST_DIGIT: _("A count apart: hold it still and type it again"),
        Mismatch.DIGITS: _("Other digits: wrong family, speed or parity"),
    }[mismatch]


def _shown_unit(unit: str) -> str:
    return unit.replace("ohm", "Ω")
