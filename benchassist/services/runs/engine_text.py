"""What an engine run found, in words and in the shop's units."""

from typing import Final

from benchassist.core.band import Band, Verdict
from benchassist.core.droop import overspeed_warning
from benchassist.core.quantity import Quantity
from benchassist.core.run import RunPlan
from benchassist.core.run_finding import Doubt, EngineFinding, Level, Load, PressurePoint
from benchassist.services.bench.condition_text import source_text
from benchassist.services.bench.reason_text import verdict_word
from benchassist.services.runs.doubt import doubt_sentences
from benchassist.services.runs.engine_ruler import figure_ruler, figure_text
from benchassist.services.runs.engine_verdict import (
    Gauged,
    Judged,
    failed_side,
    gravest,
    judged_of,
)
from benchassist.services.runs.words import RunWords
from benchassist.services.translation import _
from benchassist.units import UnitChoice, limits_text, step_text, text_of

NAME: Final = {
    Gauged.HIGH: _("High speed"),
    Gauged.LOW: _("Low speed"),
    Gauged.FALL: _("Fall"),
    Gauged.LOWEST: _("Lowest"),
    Gauged.RECOVER: _("Recovery"),
    Gauged.DROOP: _("Droop"),
    Gauged.OVERSPEED: _("Overspeed"),
}
LOAD: Final = {Load.NONE: _("No load"), Load.HALF: _("Half load"), Load.FULL: _("Full load")}
LOAD_OF: Final = {load.value: text for load, text in LOAD.items()}
LEVEL: Final = {Level.HIGH: _("high speed"), Level.LOW: _("low speed")}
LONG_ENOUGH: Final = 20.0
"""Seconds at one speed in which a hunting governor would show."""
DROOP_FORMULA: Final = _("Droop = (no load − full load) / full load.")


def engine_words(
    finding: EngineFinding, plan: RunPlan, units: UnitChoice, *, k: float = 2.0
) -> RunWords:
    """The finding as a line of the slip; the gravest figure stands first."""
    judged = judged_of(finding, plan, k=k)
    first = gravest(judged)
    lasting = not_proved(finding, plan)
    failed = failures(finding)
    if first is None and not failed:
        return RunWords(words=_("No steady speed seen"), not_proved=lasting)
    side = failed_side(finding, plan)
    if side is not None or first is None:
        verdict = Verdict.OUT_OF_BAND if side is not None else Verdict.RECORDED
        return RunWords(
            words=failed[0],
            detail=_detail(finding, judged, units, but=None),
            verdict=verdict,
            side=side,
            verdict_text=verdict_word(verdict, side),
            proved=_proved(finding, judged, units),
            not_proved=lasting,
        )
    value, doubt = figure_text(first, units)
    return RunWords(
        words=_("{name} {value}").format(name=named(first), value=value),
        doubt=doubt,
        detail=_detail(finding, judged, units, but=first),
        ruler=figure_ruler(first, units),
        verdict=first.judgement.verdict,
        side=first.judgement.side,
        verdict_text=verdict_word(first.judgement.verdict, first.judgement.side),
        proved=_proved(finding, judged, units),
        not_proved=lasting,
    )


def named(judged: Judged) -> str:
    """What a figure is: 'High speed', 'Recovery 3'."""
    name = NAME[judged.gauged]
    return _("{name} {n}").format(name=name, n=judged.cycle) if judged.cycle else name


def short_band(band: Band, units: UnitChoice) -> str:
    """Limits alone, for a heading: '1350–1650', 'under 4 s'."""
    low, high, unit = limits_text(band.lower, band.high, band.quantity, units=units)
    if low is None:
        return _("under {high} {unit}").format(high=high, unit=unit)
    if high is None:
        return _("over {low} {unit}").format(low=low, unit=unit)
    if band.quantity is Quantity.SPEED:
        return _("{low}–{high}").format(low=low, high=high)
    return _("{low}–{high} {unit}").format(low=low, high=high, unit=unit)


def band_text(gauged: Gauged, band: Band, units: UnitChoice) -> str:
    """Its band and whose it is: 'high band 3450–3750, common practice'."""
    text = (
        _("high band {limits}, {source}")
        if gauged is Gauged.HIGH
        else _("low band {limits}, {source}")
    )
    return text.format(limits=short_band(band, units), source=source_text(band))


def hunting_text(finding: EngineFinding, units: UnitChoice) -> str:
    """Whether the speed swings, at which level, how fast and how far."""
    hunting = finding.hunting
    if hunting.present is None:
        seconds = max((lev.seconds for lev in (finding.low, finding.high) if lev), default=0.0)
        if seconds < LONG_ENOUGH:
            return _("Hunting: hold one speed for half a minute to see it.")
        return _("Hunting: not resolvable at this meter’s pace.")
    if not hunting.present:
        return _("No hunting seen.")
    where = LEVEL[hunting.level] if hunting.level is not None else _("one speed")
    period = f"{hunting.period_s:.1f}" if hunting.period_s is not None else "–"
    swing = text_of(hunting.amplitude_rpm or 0.0, Quantity.SPEED, resolution=1.0, units=units)
    return _("Hunts at {where}: ±{swing}, every {period} s.").format(
        where=where, swing=swing, period=period
    )


def failures(finding: EngineFinding) -> tuple[str, ...]:
    """What was begun and did not come, in words."""
    came = len(finding.cycles)
    said: list[str] = []
    if finding.failed_falls:
        text = _("Did not fall to idle {n} of {of} times")
        said.append(text.format(n=finding.failed_falls, of=finding.failed_falls + came))
    if finding.failed_recoveries:
        text = _("Did not come back {n} of {of} times")
        said.append(
            text.format(n=finding.failed_recoveries, of=max(came, finding.failed_recoveries))
        )
    return tuple(said)


def pressure_text(point: PressurePoint, units: UnitChoice) -> str:
    """At which gauge pressure the throttle moved, how late: 'Fell at 120 psi, 1.8 s late'."""
    gauge = text_of(
        point.pascal,
        Quantity.PRESSURE,
        resolution=units.from_shop(1.0, Quantity.PRESSURE),
        units=units,
    )
    text = _("Fell at {gauge}") if point.falls else _("Came back at {gauge}")
    if point.lag_s is not None:
        return _("{what}, {lag:.1f} s late").format(what=text.format(gauge=gauge), lag=point.lag_s)
    return text.format(gauge=gauge)


def overspeed_text(plan: RunPlan, units: UnitChoice) -> str:
    """The alarm: where the limit stands and the one thing to do."""
    limit = overspeed_warning(plan.limits.rated)
    if limit is None:
        return _("Overspeed: stop the engine")
    value = text_of(limit, Quantity.SPEED, resolution=1.0, units=units)
    return _("Over {limit}: stop the engine").format(limit=value)


def not_proved(finding: EngineFinding, plan: RunPlan) -> tuple[str, ...]:
    """What this run leaves open, one sentence each."""
    said = list(doubt_lines(finding))
    whole = sum(1 for c in finding.cycles if c.completed)
    if plan.cycles > whole and finding.typed and (finding.high or finding.low):
        said.append(_("Idle-downs: not timed, speeds were typed."))
    elif plan.cycles > whole and not finding.typed:
        said.append(_("Idle-downs: {n} of {of} counted.").format(n=whole, of=plan.cycles))
    if plan.loads and finding.droop is None:
        said.append(_("Droop: needs the speed at no load and at full load."))
    if finding.hunting.present is None and (finding.high or finding.low):
        said.append(hunting_text(finding, UnitChoice()))
    if plan.tank_pressure and not finding.pressures:
        said.append(_("Idle-down by tank pressure: no gauge pressure was typed."))
    return tuple(said)


def doubt_lines(finding: EngineFinding) -> tuple[str, ...]:
    """Why the run says less than it could; too few idle-downs are counted elsewhere."""
    doubts = [doubt for doubt in finding.doubts if doubt is not Doubt.ONE_CYCLE]
    return doubt_sentences(doubts, finding.gaps)


def count_text(resolution: float, units: UnitChoice) -> str:
    """One count of the meter in rpm: '6 rpm', '0.6 rpm'."""
    return str(step_text(round(resolution, 2), Quantity.SPEED, units=units))


def _proved(
    finding: EngineFinding, judged: tuple[Judged, ...], units: UnitChoice
) -> tuple[str, ...]:
    """What the run showed, one sentence each."""
    said = []
    for one in judged:
        decided = one.judgement.verdict in {Verdict.IN_BAND, Verdict.OUT_OF_BAND}
        if decided and not one.cycle:
            value, doubt = figure_text(one, units)
            word = verdict_word(one.judgement.verdict, one.judgement.side).lower()
            said.append(
                _("{name} {value} {doubt}: {word}.").format(
                    name=named(one), value=value, doubt=doubt, word=word
                )
            )
    whole = sum(1 for c in finding.cycles if c.completed)
    if whole:
        said.append(_("Idle-down: fell and came back {n} times.").format(n=whole))
    said += [_("{what}.").format(what=what) for what in failures(finding)]
    if finding.hunting.present:
        said.append(hunting_text(finding, units))
    return tuple(said)


def _brief(
    finding: EngineFinding, judged: tuple[Judged, ...], units: UnitChoice, *, but: Judged | None
) -> list[str]:
    """The other figures, a few words each."""
    said = []
    for one in judged:
        if one is but or one.cycle:
            continue
        value, doubt = figure_text(one, units)
        text = _("{name} {value} {doubt}").format(
            name=NAME[one.gauged].lower(), value=value, doubt=doubt
        )
        said.append(text.strip())
    whole = sum(1 for c in finding.cycles if c.completed)
    if finding.cycles:
        said.append(_("{n} idle-downs").format(n=whole))
    if finding.hunting.present:
        said.append(_("hunts"))
    return said


def _detail(
    finding: EngineFinding, judged: tuple[Judged, ...], units: UnitChoice, *, but: Judged | None
) -> tuple[str, ...]:
    """What stands below the figure that speaks for the run."""
    failed = failures(finding) if but is not None else failures(finding)[1:]
    brief = "; ".join([*failed, *_brief(finding, judged, units, but=but)])
    return tuple(line for line in (brief, *_notes(finding, units)) if line)


def _notes(finding: EngineFinding, units: UnitChoice) -> tuple[str, ...]:
    """Hunting, loads, pressures and the formula, a line each."""
    said = []
    if finding.hunting.present:
        said.append(hunting_text(finding, units))
    for point in finding.loads:
        parts = []
        if point.rpm is not None:
            parts.append(str(text_of(point.rpm, Quantity.SPEED, resolution=1.0, units=units)))
        if point.hertz is not None:
            parts.append(f"{point.hertz:.1f} Hz")
        if point.volts is not None:
            parts.append(str(text_of(point.volts, Quantity.VOLTAGE, resolution=0.1, units=units)))
        if parts:
            said.append(_("{load}: {parts}").format(load=LOAD[point.load], parts=", ".join(parts)))
    if finding.droop is not None:
        said.append(DROOP_FORMULA)
    if finding.pressures:
        said.append("; ".join(pressure_text(p, units) for p in finding.pressures))
    if finding.typed:
        said.append(_("Speeds typed off a tachometer."))
    return tuple(said)
