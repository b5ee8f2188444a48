"""Visits told entry by entry, judged as the bench judges, and any visit for Hypothesis."""

from dataclasses import replace

from hypothesis import strategies as st

from benchassist.core.accuracy import Accuracy, LeadZero
from benchassist.core.band import Band, BandSource, Verdict
from benchassist.core.entry import (
    Closed,
    Did,
    Entry,
    LeadsZeroed,
    Looked,
    Moment,
    Noted,
    SelfChecked,
    Skipped,
    Struck,
    Taken,
    TemperatureSet,
)
from benchassist.core.estimate import Conditions, PartTemperature
from benchassist.core.known_resistor import judge_known
from benchassist.core.procedure import Answer, Check, CheckKind, Leaning
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading, Source
from benchassist.core.visit import Visit
from benchassist.services.bench.taking import (
    OTHER_WAY,
    VOLT_DROP,
    MeterSetup,
    conditions_of,
    judge_reading,
    judge_volt_drop,
)
from benchassist.services.slips.slips import slip_of
from benchassist.units import UnitChoice
from tests.core import entries

ACCURACY = Accuracy(percent=0.8, counts=3.0)
OHMS = Quantity.RESISTANCE


def measured(
    key: str, *, low: float | None = None, high: float | None = None, **more: object
) -> Check:
    """A check by the meter, in ohms; without limits it is recorded."""
    band = None if (low, high) == (None, None) else Band(quantity=OHMS, low=low, high=high)
    plain = Check(
        key=key,
        title=key.replace("_", " ").capitalize(),
        short=key.replace("_", " "),
        kind=CheckKind.MEASURE,
        quantity=OHMS,
        typical=20e3,
        band=band,
    )
    return replace(plain, **more)  # type: ignore[arg-type]


def looked(key: str) -> Check:
    """A look with an answer for each leaning."""
    return Check(
        key=key,
        title=key.replace("_", " ").capitalize(),
        short=key.replace("_", " "),
        kind=CheckKind.LOOK,
        answers=(
            Answer(key="sound", text="bright and dry", leaning=Leaning.SOUND),
            Answer(key="suspect", text="green and loose", leaning=Leaning.SUSPECT),
            Answer(key="neutral", text="cannot be seen"),
        ),
    )


class Story:
    """A visit and short ways to add to it."""

    def __init__(self, *checks: Check) -> None:
        header = entries.header()
        procedure = header.procedure
        if checks:
            procedure = replace(procedure, checks=checks)
        self.visit = Visit(replace(header, procedure=procedure))

    def add(self, entry: Entry) -> Entry:
        """Write an entry down."""
        self.visit.apply(entry)
        return entry

    def take(
        self,
        key: str,
        value: float | None,
        *,
        count: float = 10.0,
        full_scale: float | None = 20e3,
        zero: LeadZero | None = None,
        celsius: float | None = None,
        proved: bool = True,
        typed: bool = False,
        redo: bool = False,
    ) -> Taken:
        """A reading, judged as it stands; `redo` replaces the one before."""
        visit, check = self.visit, self.visit.procedure.check(key)
        reading = Reading(
            t_s=1.0,
            channel="typed" if typed else "A",
            quantity=check.quantity,
            value=value,
            resolution=count,
            full_scale=full_scale,
            overload=value is None,
            exponent=3 if check.quantity is OHMS and count >= 1.0 else 0,
            source=Source.TYPED if typed else Source.METER,
        )
        band, latest = visit.band(check), visit.latest(key)
        conditions = conditions_of(
            reading,
            band=band,
            accuracy=ACCURACY,
            zero=zero,
            temperature=PartTemperature(celsius=celsius) if celsius is not None else None,
        )
        taken = Taken(
            stamp=entries.stamp(visit),
            check_key=key,
            reading=reading,
            conditions=conditions,
            judgement=judge_reading(reading, band, conditions, leads_proved=proved),
            band=band,
            method=OTHER_WAY if check.polarities == 2 and len(visit.taken(key)) == 1 else "direct",
            supersedes=latest.stamp.id if redo and latest is not None else None,
            meter="" if typed else "Hand-held",
            leads_proved=proved,
        )
        self.add(taken)
        return taken

    def drop(self, key: str, volts: float, amps: float) -> Taken:
        """A winding by volt drop."""
        check, setup = self.visit.procedure.check(key), MeterSetup(accuracy=ACCURACY)
        common = Reading(t_s=1.0, channel="typed", quantity=OHMS, value=0.0, source=Source.TYPED)
        across = replace(
            common, quantity=Quantity.VOLTAGE, value=volts, resolution=1e-4, exponent=-3
        )
        through = replace(
            common, quantity=Quantity.CURRENT, value=amps, resolution=1e-4, exponent=-3
        )
        conditions, judgement = judge_volt_drop(
            across, through, check.band, setup=setup, temperature=None
        )
        taken = Taken(
            stamp=entries.stamp(self.visit),
            check_key=key,
            reading=across,
            second=through,
            method=VOLT_DROP,
            conditions=conditions,
            judgement=judgement,
            band=check.band,
        )
        self.add(taken)
        return taken

    def look(self, key: str, answer: str) -> None:
        """An answer to a look."""
        self.add(Looked(stamp=entries.stamp(self.visit), check_key=key, answer_key=answer))

    def strike(self, taken: Taken) -> None:
        """Withdraw a reading."""
        stamp = entries.stamp(self.visit)
        self.add(Struck(stamp=stamp, check_key=taken.check_key, entry_id=taken.stamp.id))

    def did(self, text: str, key: str = "") -> None:
        """Work done."""
        self.add(Did(stamp=entries.stamp(self.visit), text=text, check_key=key))

    def note(self, text: str, key: str = "") -> None:
        """Words."""
        self.add(Noted(stamp=entries.stamp(self.visit), text=text, check_key=key))

    def skip(self, key: str) -> None:
        """A step passed over."""
        self.add(Skipped(stamp=entries.stamp(self.visit), check_key=key))

    def warm(self, celsius: float) -> None:
        """The part's temperature from here on."""
        stamp, temperature = entries.stamp(self.visit), PartTemperature(celsius=celsius)
        self.add(TemperatureSet(stamp=stamp, temperature=temperature))

    def zero(self, zero: LeadZero) -> None:
        """The leads zeroed."""
        self.add(LeadsZeroed(stamp=entries.stamp(self.visit), channel="A", zero=zero))

    def known(self, value: float | None, moment: Moment = Moment.START) -> SelfChecked:
        """The known resistor of 10 kΩ ±1 %."""
        reading = entries.ohms(value)
        judgement = judge_known(
            reading, Conditions(accuracy=ACCURACY), nominal=10e3, tolerance_percent=1.0
        )
        told = SelfChecked(
            stamp=entries.stamp(self.visit),
            moment=moment,
            nominal=10e3,
            tolerance_percent=1.0,
            reading=reading,
            judgement=judgement,
        )
        self.add(told)
        return told

    def close(self) -> None:
        """Hand over."""
        self.add(Closed(stamp=entries.stamp(self.visit)))

    # --- what the slip says ----------------------------------------------------------------------

    @property
    def proved(self) -> tuple[str, ...]:
        """Under Proved."""
        return slip_of(self.visit, UnitChoice()).proved

    @property
    def not_proved(self) -> tuple[str, ...]:
        """Under Not proved."""
        return slip_of(self.visit, UnitChoice()).not_proved

    @property
    def conditions(self) -> tuple[str, ...]:
        """What the figures stand on."""
        return slip_of(self.visit, UnitChoice()).conditions


SOURCES = [s for s in BandSource if s is not BandSource.OWN_PARTS]
"""Own good parts are the one place where the word stands: it names a source, not a reading."""
ZERO = LeadZero(value=0.2, resolution=0.1, accuracy=ACCURACY, full_scale=200.0)


@st.composite
def checks(draw: st.DrawFn, number: int) -> Check:
    """A check of any kind the bench knows, named after its place."""
    key = f"step_{number}"
    kind = draw(st.sampled_from(("band", "band", "floor", "ceiling", "bare", "both", "look")))
    if kind == "look":
        return looked(key)
    middle = draw(st.sampled_from((1.0, 900.0, 5e3, 12e3)))
    low = None if kind in {"bare", "ceiling"} else 0.7 * middle
    high = None if kind in {"bare", "floor"} else 1.3 * middle
    check = measured(key, low=low, high=high, polarities=2 if kind == "both" else 1)
    if check.band is None:
        return check
    source = draw(st.sampled_from(SOURCES))
    return replace(check, band=replace(check.band, source=source, copper=draw(st.booleans())))


@st.composite
def stories(draw: st.DrawFn) -> Story:
    """Any visit: taken, redone, struck, skipped, worked on, warmed, left halfway."""
    count = draw(st.integers(1, 20))
    story = Story(*(draw(checks(i)) for i in range(1, count + 1)))
    zeroes = st.sampled_from((None, None, ZERO, replace(ZERO, value=0.3)))
    celsius = st.sampled_from((None, 21.0, 45.0, 70.0, 90.0))
    for _ in range(draw(st.integers(0, 30))):
        check = draw(st.sampled_from(story.visit.procedure.checks))
        deed = draw(st.sampled_from(("take",) * 6 + ("redo", "did", "skip", "strike", "known")))
        if check.kind is CheckKind.LOOK and deed in {"take", "redo"}:
            story.look(check.key, draw(st.sampled_from(check.answers)).key)
        elif deed in {"take", "redo"}:
            count_ = draw(st.sampled_from((0.1, 1.0, 10.0, 1000.0)))
            value = draw(st.none() | st.integers(0, 1999).map(lambda n, q=count_: n * q))  # type: ignore[misc]
            story.take(
                check.key,
                value,
                count=count_,
                full_scale=draw(st.sampled_from((None, 2000.0 * count_))),
                zero=draw(zeroes),
                celsius=draw(celsius),
                proved=draw(st.booleans()),
                typed=draw(st.booleans()),
                redo=deed == "redo",
            )
        elif deed == "did":
            story.did("new part fitted", check.key)
        elif deed == "skip":
            story.skip(check.key)
        elif deed == "strike" and story.visit.taken(check.key):
            story.strike(story.visit.taken(check.key)[-1])
        elif deed == "known":
            story.known(
                draw(st.sampled_from((10_010.0, 9_000.0, None))), draw(st.sampled_from(Moment))
            )
    return story


def verdicts(story: Story) -> dict[str, set[Verdict]]:
    """The verdicts of all that stands at each check, oldest first within it."""
    return {
        check.key: {t.judgement.verdict for t in story.visit.taken(check.key)}
        for check in story.visit.procedure.checks
    }
