"""A log from elsewhere in words: what was read, what is wrong with it, what happened in it."""

from collections.abc import Iterable
from types import MappingProxyType
from typing import Final

from benchassist.core.band import Verdict
from benchassist.core.plain_text import capital
from benchassist.core.procedure import Check, CheckKind
from benchassist.core.quantity import Quantity
from benchassist.core.run import HeatedPart, RunKind, RunPlan
from benchassist.core.run_finding import EngineFinding, HeatEventKind, HeatFinding, IdleCycle
from benchassist.services.logs.reader import LogFound, LogRequest
from benchassist.services.logs.view import FaultRow
from benchassist.services.runs.clock import clock_text, seconds_text
from benchassist.services.runs.engine_text import engine_words, hunting_text
from benchassist.services.runs.file import RunFile
from benchassist.services.runs.heat_plot import numbered
from benchassist.services.runs.heat_text import event_title, heat_words, place_text
from benchassist.services.runs.view import EventRow
from benchassist.services.runs.words import RunWords
from benchassist.services.translation import _, ngettext
from benchassist.units import UnitChoice, text_of

LONG: Final = 10.0
"""Seconds from which an event has a row of its own for its end."""
MOST_EVENTS: Final = 1000
"""Events listed one by one; what comes beyond is counted."""
_HEAT_RUN: Final = _("Heat run")
_NAMED: Final = f"{_HEAT_RUN}: "
PARTS: Final = MappingProxyType(
    {
        HeatedPart.WINDING: _("Winding"),
        HeatedPart.CAP: _("Resistor cap"),
        HeatedPart.LEAD: _("Lead"),
        HeatedPart.PATH: _("Whole path"),
    }
)


def words_of(found: LogFound, units: UnitChoice) -> RunWords:
    """What was found, as of a run on the bench."""
    finding, request = found.finding, found.request
    if isinstance(finding, HeatFinding):
        check = Check(key="log", title=_HEAT_RUN, short=_HEAT_RUN, kind=CheckKind.RUN)
        plan = RunPlan(kind=RunKind.HEAT, part=request.part)
        return heat_words(check, finding, plan, units)
    pulses = request.speed.pulses_per_rev if request.speed is not None else None
    plan = RunPlan(kind=RunKind.ENGINE, pulses_per_rev=pulses, cycles=0)
    return engine_words(finding, plan, units)


def verdict_line(words: RunWords) -> str:
    """The verdict as a sentence without its point."""
    return words.title or f"{words.words} {words.doubt}".strip()


def notes_of(found: LogFound, words: RunWords, units: UnitChoice) -> tuple[str, ...]:
    """What stands below the verdict: on what it rests and what it leaves open."""
    verdict = verdict_line(words)
    left_open = [_unnamed(line, verdict) for line in words.not_proved]
    # What is said in full among what is left open is not said in short as well.
    told = [d for d in words.detail if not any(o.startswith(_sentence(d)[:-1]) for o in left_open)]
    lines = [line for line in (*told, *left_open) if line != verdict]
    if isinstance(found.finding, EngineFinding) and not found.finding.hunting.present:
        lines.append(hunting_text(found.finding, units))
    if words.verdict is Verdict.RECORDED:
        lines.append(_("Recorded only: a log brings no band and no meter to judge by."))
    if found.detail.end_s <= found.detail.start_s and len(found.log.samples) > 1:
        lines.append(_("All rows have one time: nothing that goes by time can be said."))
    return tuple(dict.fromkeys(_sentence(line) for line in lines if line))


def _unnamed(line: str, verdict: str) -> str:
    """A sentence of a slip without the check's name and the verdict, which stand above it."""
    text = _sentence(line.removeprefix(_NAMED))
    return text.removeprefix(_sentence(verdict)).strip()


def _sentence(text: str) -> str:
    if not text:
        return ""
    return capital(text) + ("" if text.endswith(".") else ".")


def rows_text(used: int, rejected: int) -> str:
    """'1,234 rows used, 5 left out'."""
    rows = ngettext("{n} row used", "{n} rows used", used).format(n=f"{used:,}")
    return _("{rows}, {n} left out").format(rows=rows, n=f"{rejected:,}")


def fault_rows(log: RunFile) -> tuple[FaultRow, ...]:
    """Every fault with its line, without the name of the file."""
    rows = []
    for told in log.faults:
        place, _colon, text = told.removeprefix(f"{log.name}:").partition(": ")
        rows.append(FaultRow(line=place, text=text) if text else FaultRow(line="", text=place))
    return tuple(rows)


def pairs_of(found: LogFound, units: UnitChoice) -> tuple[tuple[str, str], ...]:
    """What was read, name and text."""
    log, detail = found.log, found.detail
    over = _length(detail.end_s - detail.start_s)
    if detail.usual > 0.0:
        over = _("{length}, a row about every {seconds:.2g} s").format(
            length=over, seconds=detail.usual
        )
    pairs = [
        (_("Holds"), _held(found, units)),
        (_("Over"), over),
        (_("Read as"), _read_as(found.request)),
    ]
    if isinstance(found.finding, HeatFinding):
        pairs.append((_("Temperature"), _warmth(found, units)))
    if log.spread:
        text = ngettext(
            "{n} row has the time of the row before: spread evenly",
            "{n} rows have the time of the row before: spread evenly",
            log.spread,
        )
        pairs.append((_("Times"), text.format(n=f"{log.spread:,}")))
    return tuple(pairs)


def _length(seconds: float) -> str:
    if seconds < 3600.0:
        return seconds_text(seconds)
    hours, minutes = divmod(int(seconds) // 60, 60)
    return _("{hours} h {minutes} min").format(hours=hours, minutes=minutes)


def _held(found: LogFound, units: UnitChoice) -> str:
    name = {
        Quantity.RESISTANCE: _("Resistance"),
        Quantity.FREQUENCY: _("Frequency, shown as rpm"),
        Quantity.SPEED: _("Speed"),
    }[found.log.quantity]
    quantity = Quantity.RESISTANCE if found.request.speed is None else Quantity.SPEED
    resolution = 1.0 if quantity is Quantity.SPEED else None
    low, high = (
        text_of(value, quantity, resolution=resolution, units=units)
        for value in found.detail.extent
    )
    return _("{name}, {low} to {high}").format(name=name, low=low, high=high)


def _read_as(request: LogRequest) -> str:
    speed = request.speed
    if speed is None:
        return PARTS[request.part]
    parts = [_("pulses per revolution {n:g}").format(n=speed.pulses_per_rev)]
    if speed.low is not None:
        parts.append(_("low {rpm:g} rpm").format(rpm=speed.low))
    if speed.high is not None:
        parts.append(_("high {rpm:g} rpm").format(rpm=speed.high))
    return ", ".join(parts)


def _warmth(found: LogFound, units: UnitChoice) -> str:
    detail = found.detail
    rows = detail.celsius(detail.start_s, detail.end_s, 2)
    if rows is None or not len(rows[0]):
        return _("none")
    low, high = (
        text_of(float(edge), Quantity.TEMPERATURE, resolution=1.0, units=units)
        for edge in (rows[1].min(), rows[2].max())
    )
    return _("{low} to {high}").format(low=low, high=high)


# --- events ---------------------------------------------------------------------------------------


def events_of(found: LogFound, units: UnitChoice) -> tuple[EventRow, ...]:
    """What happened, in order of time."""
    finding = found.finding
    rows = _heat_rows(finding, units) if isinstance(finding, HeatFinding) else _falls(finding)
    holes = (
        _row(a, _("No rows {length}").format(length=seconds_text(b - a)))
        for a, b in found.detail.holes
    )
    whole = sorted((*rows, *holes), key=lambda row: row.t_s)
    if len(whole) <= MOST_EVENTS:
        return tuple(whole)
    rest = whole[MOST_EVENTS:]
    more = _row(rest[0].t_s, _("{n} more from here on").format(n=f"{len(rest):,}"))
    return (*whole[:MOST_EVENTS], more)


def _heat_rows(finding: HeatFinding, units: UnitChoice) -> Iterable[EventRow]:
    for number, event in numbered(finding.events):
        detail = place_text(event, units) if event.celsius is not None else ""
        yield _row(event.start_s, event_title(event), detail, number=number, severe=number > 0)
        if number and event.end_s is not None and event.end_s - event.start_s >= LONG:
            back = _("Reclosed") if event.kind is HeatEventKind.OPEN else _("Back on its line")
            where = place_text(event, units, end=True) if event.end_celsius is not None else ""
            yield _row(event.end_s, back, where)


def _falls(finding: EngineFinding) -> Iterable[EventRow]:
    for number, cycle in enumerate(finding.cycles, start=1):
        yield _row(
            cycle.fall_start_s,
            _("Idle-down {n}").format(n=number),
            _times(cycle),
            number=number,
        )


def _times(cycle: IdleCycle) -> str:
    fell = _("fell in {seconds:.1f} s").format(seconds=cycle.fall_s)
    if cycle.recover_s is None:
        return _("{fell}, did not come back").format(fell=fell)
    return _("{fell}, back in {seconds:.1f} s").format(fell=fell, seconds=cycle.recover_s)


def _row(
    t_s: float, title: str, detail: str = "", *, number: int = 0, severe: bool = False
) -> EventRow:
    return EventRow(
        time_text=clock_text(t_s),
        title=title,
        detail=detail,
        number=number,
        severe=severe,
        t_s=t_s,
    )
