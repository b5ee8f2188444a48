"""The bench as it stands, as one value for the window to paint."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchassist.core.advice import Advice
from benchassist.core.band import Verdict
from benchassist.core.entry import Moment, Taken
from benchassist.core.procedure import Caution, Check, CheckKind
from benchassist.core.prospect import Reach
from benchassist.core.quantity import Quantity
from benchassist.core.reading import LinkState, Reading
from benchassist.core.ruler import Ruler
from benchassist.core.slip import Ink, Line
from benchassist.core.visit import Standing
from benchassist.services import wording
from benchassist.services.bench_key_hint import keys_of
from benchassist.services.bench_number import number_of
from benchassist.services.bench_prompt import typed_so_far
from benchassist.services.bench_view import (
    Ask,
    BenchView,
    Choice,
    Fix,
    RibbonItem,
    SlipHead,
    Strip,
)
from benchassist.services.slip_line import line_ruler, lines_of, taken_line
from benchassist.services.slips import closing_lists
from benchassist.services.stage import Stage
from benchassist.services.translation import _, ngettext
from benchassist.units import scaled

if TYPE_CHECKING:
    from benchassist.services.bench import Bench


def view_of(bench: Bench) -> BenchView:
    """Everything the bench screen shows now."""
    visit, check = bench.visit, bench.visit.current
    shown = _shown(bench)
    lines, current = _lines(bench, shown)
    verdict, so_far, reasons = _verdict(bench, shown)
    fixes = _fixes(bench, shown)
    did, proved, not_proved = closing_lists(visit, bench.units)
    choices = _choices(bench)
    prompt = bench.prompt
    return BenchView(
        head=head_of(bench),
        lines=tuple(lines),
        current_line=current,
        did=did,
        proved=proved,
        not_proved=not_proved,
        place_text=_place_text(bench),
        meter_text=meter_text(bench),
        meter_live=bench.meter.link_state is LinkState.LIVE,
        leads_text=_leads_text(bench),
        ribbon=_ribbon(bench),
        title=_title(bench),
        step_text=_step_text(bench),
        setting_label=_setting_label(bench),
        setting=_setting(bench),
        touch_label=_touch_label(bench),
        touch=_touch(bench),
        cautions=tuple(caution.text for caution in _cautions(bench, check)),
        caution_shorts=tuple(caution.short for caution in _cautions(bench, check)),
        sketch=_sketch(bench),
        number=number_of(bench, shown),
        ask=_ask(bench, choices),
        ruler=line_ruler(shown, bench.units) if shown is not None else None,
        verdict=verdict,
        side=shown.judgement.side if shown is not None else None,
        verdict_text=wording.verdict_word(verdict, shown.judgement.side if shown else None)
        if verdict is not None
        else "",
        so_far_text=_("so far") if so_far else "",
        reasons=reasons,
        fixes=fixes,
        question=check.option_question if bench.asking_option() else "",
        choices=choices,
        text_label=prompt.label if prompt else "",
        text_hint=prompt.hint if prompt else "",
        text_error=prompt.error if prompt else "",
        keys=keys_of(bench, fixes),
        keys_note=_("Pedal takes too") if bench.settings.pedal_key else "",
        strip=_strip(bench),
        banner=_banner(bench),
        closed=visit.closed,
    )


def _shown(bench: Bench) -> Taken | None:
    """The reading the number block and the ruler show: what stands, is typed, or is live."""
    if bench.stage is not Stage.CHECKS or bench.asking_option():
        return None
    typed = typed_so_far(bench)
    if typed is not None:
        return bench.taker.judged(typed)
    if isinstance(bench.waiting, Taken):
        return bench.waiting
    if isinstance(bench.flash, Taken):
        return bench.flash
    candidate = bench.taker.candidate()
    if candidate is not None and candidate.taken is not None and bench.taker.wants_reading():
        return candidate.taken
    latest = bench.visit.latest(bench.visit.current.key)
    if isinstance(latest, Taken):
        return latest
    return candidate.taken if candidate is not None else None


def _stands(shown: Taken | None) -> bool:
    """Whether what is shown has been taken (it carries a real stamp)."""
    return shown is not None and bool(shown.stamp.id)


def _lines(bench: Bench, shown: Taken | None) -> tuple[list[Line], int]:
    visit, check = bench.visit, bench.visit.current
    pencil = bench.pen.pencilled
    lines = lines_of(visit, bench.units, pencil)
    number = 1 + [c.key for c in visit.procedure.checks].index(check.key)
    at = max(i for i, line in enumerate(lines) if line.number == number)
    if shown is not None and not _stands(shown):
        live = taken_line(number, check, shown, bench.units, ink=Ink.PENCIL, so_far=True)
        if visit.standing(check.key) is Standing.TO_DO:
            lines[at] = live
        elif bench.taker.wants_reading():
            lines.insert(at + 1, live)
            at += 1
    return lines, at


def _verdict(bench: Bench, shown: Taken | None) -> tuple[Verdict | None, bool, tuple[str, ...]]:
    check = bench.visit.current
    if shown is not None:
        reasons = wording.reasons(shown.judgement, shown.band, shown.reading, units=bench.units)
        return shown.judgement.verdict, not _stands(shown), reasons
    if bench.stage is Stage.CHECKS and bench.visit.standing(check.key) is Standing.LOOKED:
        return Verdict.BY_EYE, False, ()
    if bench.stage is Stage.CHECKS and not bench.asking_option():
        return None, False, _foreseen(bench)
    return None, False, ()


def _foreseen(bench: Bench) -> tuple[str, ...]:
    """What the meter will not be able to say here, before the probes touch."""
    foresight = bench.taker.foresight()
    if foresight is None or not foresight.cannot_decide:
        return ()
    return wording.foresight_lines(
        foresight, bench.visit.band(bench.visit.current), units=bench.units
    )


def _fixes(bench: Bench, shown: Taken | None) -> tuple[Fix, ...]:
    """Tiles under 'Meter can't tell', computed from the meter's own ranges."""
    bench.fixes = ()
    if shown is None or shown.judgement.verdict not in {Verdict.CANNOT_TELL, Verdict.TOO_CLOSE}:
        return ()
    bench.fixes = bench.taker.advice(shown)[:2]
    return tuple(
        Fix(
            press=str(i),
            title=wording.advice_title(advice, units=bench.units),
            text=wording.advice_text(advice, units=bench.units),
            best=advice.best,
            ruler=_prospect_ruler(advice, shown),
        )
        for i, advice in enumerate(bench.fixes, start=1)
    )


def _prospect_ruler(advice: Advice, shown: Taken) -> Ruler | None:
    """How wide the doubt would be then, in the middle of the band; no value is promised."""
    band = shown.band
    if band is None or band.lower is None or band.high is None or advice.expanded is None:
        return None
    decides = advice.reach in {Reach.CALLS_IT, Reach.CALLS_MOST, Reach.CALLS_SOME}
    return Ruler(
        low=band.lower,
        high=band.high,
        value=(band.lower + band.high) / 2.0,
        doubt=advice.expanded,
        verdict=Verdict.IN_BAND if decides else Verdict.CANNOT_TELL,
    )


def _choices(bench: Bench) -> tuple[Choice, ...]:
    check, visit = bench.visit.current, bench.visit
    if bench.stage is not Stage.CHECKS:
        return ()
    if bench.asking_option():
        return tuple(
            Choice(key=o.key, press=str(i), text=o.text) for i, o in enumerate(check.options, 1)
        )
    if check.kind is not CheckKind.LOOK:
        return ()
    latest = visit.latest(check.key)
    chosen = getattr(latest, "answer_key", "")
    return tuple(
        Choice(key=a.key, press=str(i), text=a.text, chosen=a.key == chosen)
        for i, a in enumerate(check.answers, 1)
    )


def _ask(bench: Bench, choices: tuple[Choice, ...]) -> Ask:
    if bench.prompt is not None:
        return Ask.TEXT
    if bench.asking_option():
        return Ask.OPTION
    return Ask.LOOK if choices else Ask.READING


def head_of(bench: Bench) -> SlipHead:
    """The top of the slip."""
    header = bench.visit.header
    machine = header.machine
    day = wording.day_text(header.opened_at)
    return SlipHead(
        title=_("Job slip {number}").format(number=header.slip_number),
        date_text=_("{day} · visit {n}").format(day=day, n=header.visit_of_machine),
        customer=machine.customer or machine.unit or machine.tag,
        unit_text=_("{unit} · tag {tag}").format(unit=machine.unit, tag=machine.tag)
        if machine.unit
        else _("tag {tag}").format(tag=machine.tag),
        engine_text=machine.engine,
        said=f"“{header.interview.words}”" if header.interview.words else "",
    )


def _place_text(bench: Bench) -> str:
    procedure = bench.visit.procedure
    steps = len(procedure.checks)
    text = ngettext("{complaint} · {n} step", "{complaint} · {n} steps", steps)
    return text.format(complaint=bench.visit.header.interview.complaint or procedure.title, n=steps)


def meter_text(bench: Bench) -> str:
    """The link in words, beside the meter's letter."""
    return wording.link_text(bench.meter.link_state, bench.meter.age)


def _leads_text(bench: Bench) -> str:
    channel = bench.meter.channel.name if bench.meter.channel is not None else "typed"
    leads = bench.visit.leads(channel)
    if leads is None:
        return _("Leads not zeroed")
    value = scaled(leads.zero.value, Quantity.RESISTANCE, resolution=leads.zero.resolution)
    return _("Leads {value}, taken off").format(value=value)


def _ribbon(bench: Bench) -> tuple[RibbonItem, ...]:
    visit, items = bench.visit, []
    for number, check in enumerate(visit.procedure.checks, start=1):
        latest = visit.latest(check.key)
        standing = visit.standing(check.key)
        verdict = latest.judgement.verdict if isinstance(latest, Taken) else None
        if standing is Standing.LOOKED:
            verdict = Verdict.BY_EYE
        ink = {
            Standing.TO_DO: Ink.TO_DO,
            Standing.SKIPPED: Ink.SKIPPED,
            Standing.TAKEN: Ink.INK,
            Standing.LOOKED: Ink.INK,
        }[standing]
        if latest is not None and latest.stamp.id in bench.pen.pencilled:
            ink = Ink.PENCIL
        items.append(
            RibbonItem(
                key=check.key,
                number=number,
                short=check.short,
                current=check.key == visit.current.key,
                ink=ink,
                verdict=verdict if ink is Ink.INK else None,
                side=latest.judgement.side if isinstance(latest, Taken) else None,
            )
        )
    return tuple(items)


def _title(bench: Bench) -> str:
    match bench.stage:
        case Stage.LEADS:
            return _("Zero the leads")
        case Stage.KNOWN_RESISTOR:
            return _("Known resistor")
        case Stage.CHECKS:
            return bench.visit.current.title


def _step_text(bench: Bench) -> str:
    if bench.visit.closed:
        return _("Closed")
    if bench.stage is not Stage.CHECKS:
        at_end = bench.moment is Moment.END
        return _("Before closing") if at_end else _("Before the first step")
    keys = [c.key for c in bench.visit.procedure.checks]
    return _("Step {n} of {steps}").format(
        n=keys.index(bench.visit.current.key) + 1, steps=len(keys)
    )


def _by_meter(bench: Bench) -> bool:
    return bench.stage is not Stage.CHECKS or bench.visit.current.kind is CheckKind.MEASURE


def _setting_label(bench: Bench) -> str:
    if not _by_meter(bench):
        return _("Use:")
    return _("Meter is on:") if bench.meter.live is not None else _("Set the meter:")


def _setting(bench: Bench) -> str:
    live = bench.meter.live
    if live is not None and live.quantity is bench.wanted and _by_meter(bench):
        return wording.range_text(live)
    if bench.stage is not Stage.CHECKS:
        return _("ohms, lowest range") if bench.stage is Stage.LEADS else _("ohms")
    return bench.visit.current.setting


def _touch_label(bench: Bench) -> str:
    if _by_meter(bench):
        return _("Touch:")
    return _("Look:") if bench.visit.current.kind is CheckKind.LOOK else _("Where:")


def _touch(bench: Bench) -> str:
    match bench.stage:
        case Stage.LEADS:
            return _("the two probe tips together, and hold")
        case Stage.KNOWN_RESISTOR:
            value = scaled(bench.settings.known_resistor, Quantity.RESISTANCE)
            return _("the two ends of the known {value}").format(value=value)
        case Stage.CHECKS:
            if bench.taker.needs_other_way():
                return _("swap the two probes: the other way round")
            return bench.visit.current.touch


def _cautions(bench: Bench, check: Check) -> tuple[Caution, ...]:
    return check.cautions if bench.stage is Stage.CHECKS else ()


def _sketch(bench: Bench) -> str:
    match bench.stage:
        case Stage.LEADS:
            return "leads"
        case Stage.KNOWN_RESISTOR:
            return "self_check"
        case Stage.CHECKS:
            return bench.visit.current.sketch


def _strip(bench: Bench) -> Strip:
    channel = bench.meter.channel
    if channel is None:
        return Strip()
    rows = channel.strip(bench.clock.monotonic())
    band = bench.visit.band(bench.visit.current) if bench.stage is Stage.CHECKS else None
    return wording.strip_of(
        rows,
        band,
        units=bench.units,
        pulses_per_rev=bench.visit.current.pulses_per_rev,
    )


def _banner(bench: Bench) -> str:
    if bench.pen.trouble:
        return _("Not saved yet: {why}. Trying again").format(why=bench.pen.trouble)
    if bench.message:
        return bench.message
    return wording.link_trouble(bench.meter.link_state, bench.meter.detail)


def live_reading(bench: Bench) -> Reading | None:
    """The live reading in the step's own quantity."""
    return bench.meter.live if bench.stage is not Stage.CHECKS else bench.taker.live()
