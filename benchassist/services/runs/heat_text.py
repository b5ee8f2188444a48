"""What a heat run found, in words: where it broke, or that it was not reproduced, and how far.

'Not reproduced' is all that a run without an event says: never that a part is sound.
"""

from collections.abc import Iterable

from benchassist.core.band import Side, Verdict
from benchassist.core.procedure import Check
from benchassist.core.quantity import Quantity
from benchassist.core.run import HeatedPart, RunPlan
from benchassist.core.run_finding import Doubt, HeatEvent, HeatEventKind, HeatFinding
from benchassist.services.runs.clock import clock_text, seconds_text
from benchassist.services.runs.words import RunWords
from benchassist.services.translation import _, ngettext
from benchassist.units import UnitChoice, text_of

COPPER = frozenset({HeatedPart.WINDING, HeatedPart.PATH})
NEAR_CEILING = 5.0
"""Kelvin below the ceiling within which a run counts as having been there."""
_MOST_NAMED = 3
"""Temperatures of breaks named one by one; more are counted."""


def heat_words(
    check: Check,
    finding: HeatFinding,
    plan: RunPlan,
    units: UnitChoice,
    *,
    so_far: bool = False,
) -> RunWords:
    """A heat run as a line of the slip and of its closing lists."""
    title = verdict_title(finding, plan, units, so_far=so_far)
    worst = worst_of(finding)
    details = tuple(_details(finding, units))
    if worst is None:
        doubt = _inconclusive(finding) and not so_far
        word = _("inconclusive") if doubt else _("not reproduced")
        word = _("under way") if so_far else word
        sentence = f"{check.title}: {title[:1].lower()}{title[1:]}."
        still = _("That does not rule the fault out.")
        return RunWords(
            words=word,
            title=title,
            detail=(title, *details),
            not_proved=(f"{sentence} {still}",),
        )
    count = sum(1 for event in finding.events if event.kind is worst)
    return RunWords(
        words=_counted(worst, count),
        title=title,
        detail=(title, *details),
        verdict=Verdict.OUT_OF_BAND,
        side=side_of(worst),
        verdict_text=_("Out of band"),
        proved=(f"{check.title}: {title[:1].lower()}{title[1:]}.",),
        not_proved=tuple(f"{check.title}: {text}" for text in _left_open(finding)),
    )


def _counted(kind: HeatEventKind, count: int) -> str:
    match kind:
        case HeatEventKind.OPEN:
            return ngettext("{n} break", "{n} breaks", count).format(n=count)
        case HeatEventKind.STEP_DOWN | HeatEventKind.STEP_UP:
            return ngettext("{n} step", "{n} steps", count).format(n=count)
        case _:
            return _("leaves its line")


def side_of(kind: HeatEventKind) -> Side:
    """Which way the resistance went."""
    return Side.LOW if kind is HeatEventKind.STEP_DOWN else Side.HIGH


_GRAVITY = (
    HeatEventKind.OPEN,
    HeatEventKind.STEP_DOWN,
    HeatEventKind.STEP_UP,
    HeatEventKind.DEPARTURE,
)
"""What is said first where several happened."""


def worst_of(finding: HeatFinding) -> HeatEventKind | None:
    """The event that speaks for the run, None where nothing was reproduced."""
    kinds = {event.kind for event in finding.events}
    return next((kind for kind in _GRAVITY if kind in kinds), None)


# --- the verdict in words -------------------------------------------------------------------------


def verdict_title(
    finding: HeatFinding, plan: RunPlan, units: UnitChoice, *, so_far: bool = False
) -> str:
    """The verdict: 'Break found at 78 °C, reclosed at 61 °C'; never that a part is sound."""
    worst = worst_of(finding)
    if worst is None:
        return _not_reproduced(finding, plan, units, so_far=so_far)
    events = [event for event in finding.events if event.kind is worst]
    if worst is HeatEventKind.OPEN:
        return _breaks(events, units, so_far=so_far)
    first = events[0]
    where = place_text(first, units)
    size = percent(first)
    copper = finding.part in COPPER
    match worst:
        case HeatEventKind.STEP_DOWN if copper:
            text = _("Turns shorting suspected: steps down {size} {where}")
        case HeatEventKind.STEP_DOWN:
            text = _("Steps down {size} {where}")
        case HeatEventKind.STEP_UP:
            text = _("Poor joint suspected: steps up {size} {where}")
        case _ if copper:
            text = _("Leaves the copper line by {size} {where}")
        case _:
            text = _("Drifts by {size} {where}")
    return text.format(size=size, where=where)


def _breaks(events: list[HeatEvent], units: UnitChoice, *, so_far: bool) -> str:
    if len(events) == 1:
        event = events[0]
        found = _("Break found {where}").format(where=place_text(event, units))
        if event.end_s is None and so_far:
            return _("{found}, still open").format(found=found)
        if event.end_s is None:
            return _("{found}, did not reclose").format(found=found)
        return _("{found}, reclosed {where}").format(
            found=found, where=place_text(event, units, end=True)
        )
    named = [place_text(event, units) for event in events[:_MOST_NAMED]]
    places = _(", ").join(dict.fromkeys(named))
    text = _("{n} breaks found: {places}").format(n=len(events), places=places)
    closed = [e.end_celsius for e in events if e.end_celsius is not None]
    if closed:
        low, high = (celsius_text(edge, units) for edge in (min(closed), max(closed)))
        if low == high:
            text = _("{text}, reclosed at {low}").format(text=text, low=low)
        else:
            text = _("{text}, reclosed at {low} to {high}").format(text=text, low=low, high=high)
    return text if len(events) <= _MOST_NAMED else _("{text} and more").format(text=text)


def place_text(event: HeatEvent, units: UnitChoice, *, end: bool = False) -> str:
    """Where an event began or ended: 'at 78 °C', else 'after 17:42'."""
    celsius = event.end_celsius if end else event.celsius
    if celsius is not None:
        return _("at {celsius}").format(celsius=celsius_text(celsius, units))
    seconds = event.end_s if end and event.end_s is not None else event.start_s
    return _("after {time}").format(time=clock_text(seconds))


def celsius_text(celsius: float, units: UnitChoice) -> str:
    """A temperature to the degree, in the shop's unit."""
    return str(text_of(celsius, Quantity.TEMPERATURE, resolution=1.0, units=units))


def percent(event: HeatEvent) -> str:
    """How far off the line an event went: '4 %'."""
    if event.after is None or event.before == 0.0:
        return ""
    return percent_text(abs(event.after / event.before - 1.0))


def percent_text(ratio: float) -> str:
    """A fraction to about two digits: '4.2 %', '12 %'."""
    value = 100.0 * ratio
    digits = 0 if value >= 9.95 or abs(value - round(value)) < 0.05 else 1
    return _("{value:.{digits}f} %").format(value=value, digits=digits)


def _not_reproduced(finding: HeatFinding, plan: RunPlan, units: UnitChoice, *, so_far: bool) -> str:
    hottest = finding.hottest
    upto = celsius_text(plan.ceiling, units)
    if hottest is not None and hottest < plan.ceiling - NEAR_CEILING:
        upto = celsius_text(hottest, units)
    if so_far:
        return _("No break so far")
    if Doubt.SHORT in finding.doubts:
        return _("Inconclusive: too few readings for a line")
    if Doubt.GAP in finding.doubts:
        return _("Inconclusive: readings are missing while it was hot")
    if hottest is None:
        return _("Not reproduced; how hot it was is not known")
    if Doubt.NOT_HOT in finding.doubts:
        return _("Not reproduced, warmed to {upto} only").format(upto=upto)
    if finding.cycles == 0:
        return _("Not reproduced to {upto}; no full cycle").format(upto=upto)
    if finding.cycles == 1:
        return _("Not reproduced to {upto}; one cycle only").format(upto=upto)
    numbers = {2: _("two"), 3: _("three"), 4: _("four")}
    cycles = numbers.get(finding.cycles, str(finding.cycles))
    return _("Not reproduced over {cycles} cycles to {upto}").format(cycles=cycles, upto=upto)


def _inconclusive(finding: HeatFinding) -> bool:
    return bool({Doubt.SHORT, Doubt.GAP} & set(finding.doubts))


# --- below it -------------------------------------------------------------------------------------


def _details(finding: HeatFinding, units: UnitChoice) -> Iterable[str]:
    if finding.r20 is not None:
        value = text_of(finding.r20, Quantity.RESISTANCE, units=units)
        at = celsius_text(20.0, units)
        yield _("copper line from {value} at {at}").format(value=value, at=at)
    if finding.hysteresis is not None:
        yield _("heating and cooling differ by up to {size}").format(
            size=percent_text(finding.hysteresis)
        )
    spikes = sum(1 for event in finding.events if event.kind is HeatEventKind.SPIKE)
    if spikes:
        yield ngettext(
            "{n} lone spike, kept: a clip until it repeats",
            "{n} lone spikes, kept: a clip until they repeat",
            spikes,
        ).format(n=spikes)
    if finding.winding_thermometer:
        yield _("temperatures are the winding’s own mean, from its ohms")
    if not finding.departure_assessed:
        yield _("slow departure not assessed")
    if Doubt.CUT in finding.doubts:
        yield _("the program ended in mid-run")


def _left_open(finding: HeatFinding) -> Iterable[str]:
    if not finding.departure_assessed:
        yield _("slow departure not assessed: no thermometer.")
    if finding.gaps:
        yield _("readings are missing in between.")


# --- events ---------------------------------------------------------------------------------------


def event_title(event: HeatEvent) -> str:
    """'Open 2.1 s', 'Steps down 4 %', 'Lone spike'."""
    match event.kind:
        case HeatEventKind.OPEN if event.end_s is not None:
            return _("Open {length}").format(length=length_text(event.end_s - event.start_s))
        case HeatEventKind.OPEN:
            return _("Open")
        case HeatEventKind.STEP_DOWN:
            return _("Steps down {size}").format(size=percent(event))
        case HeatEventKind.STEP_UP:
            return _("Steps up {size}").format(size=percent(event))
        case HeatEventKind.SPIKE:
            return _("Lone spike")
        case HeatEventKind.DEPARTURE:
            return _("Leaves its line by {size}").format(size=percent(event))


def alarm_text(event: HeatEvent, units: UnitChoice) -> str:
    """What is called out as it happens: 'Open at 78 °C'."""
    named = _("Open") if event.kind is HeatEventKind.OPEN else event_title(event)
    return f"{named} {place_text(event, units)}"


def length_text(seconds: float) -> str:
    """How long something lasted: '2.1 s', '1 min 20 s'."""
    if seconds < 60.0:
        return _("{seconds:.1f} s").format(seconds=seconds)
    return seconds_text(seconds)
