"""The bench as it stands, as one value for the window to paint."""

from benchassist.core.entry import LeadsZeroed, Moment, RunEnded, SelfChecked
from benchassist.core.procedure import Caution, Check, CheckKind
from benchassist.core.quantity import Quantity
from benchassist.core.reading import LinkState
from benchassist.services import wording
from benchassist.services.bench.bench_prompt import unit_when_omitted
from benchassist.services.bench.judged import ruler_at, verdict_of
from benchassist.services.bench.key_hint import keys_note, keys_of
from benchassist.services.bench.number import number_of
from benchassist.services.bench.offer import choices_of, fixes_of
from benchassist.services.bench.prompt import Purpose
from benchassist.services.bench.shown import run_of, shown_of
from benchassist.services.bench.slip import head_of, lines_and_place, ribbon_of
from benchassist.services.bench.spoken import spoken_reading, spoken_value
from benchassist.services.bench.stage import Stage
from benchassist.services.bench.view import (
    Ask,
    BenchView,
    Choice,
    Strip,
    Told,
)
from benchassist.services.bench.walk import Walk
from benchassist.services.runs.line import ended_words, heard_text
from benchassist.services.slips.slips import closing_lists
from benchassist.services.translation import _, ngettext
from benchassist.units import find_unit, scaled, text_of


def view_of(bench: Walk) -> BenchView:
    """Everything the bench screen shows now."""
    visit, check = bench.visit, bench.visit.current
    shown = shown_of(bench)
    lines, current = lines_and_place(bench, shown)
    verdict, so_far, reasons = verdict_of(bench, shown)
    fixes = fixes_of(bench, shown)
    did, proved, not_proved = closing_lists(visit, bench.units)
    choices = choices_of(bench)
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
        leads_text=leads_text(bench),
        ribbon=ribbon_of(bench),
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
        ruler=ruler_at(bench, shown),
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
        text_hint=_hint(bench),
        text_error=prompt.error if prompt else "",
        keys=keys_of(bench, fixes),
        keys_note=keys_note(bench),
        strip=_strip(bench),
        banner=_banner(bench),
        closed=visit.closed,
        heard=_heard(bench),
        run=run_of(bench),
    )


def _heard(bench: Walk) -> Told | None:
    match bench.told:
        case LeadsZeroed(zero=zero):
            value = scaled(zero.value, Quantity.RESISTANCE, resolution=zero.resolution)
            return Told(text=_("Leads zeroed: {value}").format(value=spoken_value(str(value), "")))
        case SelfChecked(reading=reading, judgement=judged):
            said = spoken_reading(reading, judged, units=bench.units)
            text = _("Known resistor: {value}").format(value=said)
            return Told(text=text, verdict=judged.verdict, side=judged.side)
        case RunEnded() as ended:
            words = ended_words(bench.visit, ended, bench.units)
            text = heard_text(bench.visit.procedure.check(ended.check_key), words)
            return Told(text=text, verdict=words.verdict, side=words.side)
    return None


def _ask(bench: Walk, choices: tuple[Choice, ...]) -> Ask:
    if bench.prompt is not None:
        return Ask.TEXT
    if bench.run.here and bench.stage is Stage.CHECKS:
        return Ask.RUN
    if bench.asking_option():
        return Ask.OPTION
    return Ask.LOOK if choices else Ask.READING


def _place_text(bench: Walk) -> str:
    procedure = bench.visit.procedure
    steps = len(procedure.checks)
    text = ngettext("{complaint} · {n} step", "{complaint} · {n} steps", steps)
    return text.format(complaint=bench.visit.header.interview.complaint or procedure.title, n=steps)


def meter_text(bench: Walk) -> str:
    """The link in words, beside the meter's letter."""
    return wording.link_text(bench.meter.link_state, bench.meter.age)


def leads_text(bench: Walk) -> str:
    """What is known of the leads and the part's temperature, in one line."""
    channel = bench.meter.channel.name if bench.meter.channel is not None else "typed"
    leads = bench.taker.leads(channel)
    part = bench.taker.measured_temperature()
    warm = ""
    if part is not None:
        shown = text_of(part.celsius, Quantity.TEMPERATURE, resolution=0.1, units=bench.units)
        warm = _("Part {value} · ").format(value=shown)
    if leads is None:
        return warm + _("Leads not zeroed")
    value = scaled(leads.zero.value, Quantity.RESISTANCE, resolution=leads.zero.resolution)
    hours = (bench.clock.now() - leads.at).total_seconds() / 3600.0
    if hours >= bench.settings.zero_lasts_h:
        return warm + _("Leads {value}, zeroed {hours:.0f} h ago: press Z").format(
            value=value, hours=hours
        )
    return warm + _("Leads {value}, taken off").format(value=value)


def _title(bench: Walk) -> str:
    if _opening(bench):
        return _("How warm is the part?")
    match bench.stage:
        case Stage.LEADS:
            return _("Zero the leads")
        case Stage.KNOWN_RESISTOR:
            return _("Known resistor")
        case Stage.CHECKS:
            return bench.visit.current.title


def _step_text(bench: Walk) -> str:
    if bench.visit.closed:
        return _("Closed")
    if bench.stage is not Stage.CHECKS or _opening(bench):
        if bench.moment is Moment.END:
            return _("Before closing")
        begun = any(bench.visit.latest(check.key) for check in bench.visit.procedure.checks)
        return _("Between the steps") if begun else _("Before the first step")
    keys = [c.key for c in bench.visit.procedure.checks]
    return _("Step {n} of {steps}").format(
        n=keys.index(bench.visit.current.key) + 1, steps=len(keys)
    )


def _by_meter(bench: Walk) -> bool:
    if bench.stage is not Stage.CHECKS:
        return True
    return bench.visit.current.kind is CheckKind.MEASURE or bench.run.wanted is not None


def _hint(bench: Walk) -> str:
    prompt, quantity = bench.prompt, bench.visit.current.quantity
    if prompt is None:
        return ""
    if prompt.purpose is not Purpose.READING or quantity is None:
        return prompt.hint
    unit = unit_when_omitted(bench, bench.visit.current)
    if quantity is Quantity.RESISTANCE:
        text = _("3.86k, 0.8, 1.1M or OL; {unit} if no unit is typed. Enter takes it")
    else:
        text = _("{unit} if no unit is typed. Enter takes it")
    return text.format(unit=find_unit(unit, quantity=quantity).symbol)


def _opening(bench: Walk) -> bool:
    """Whether the visit's first question, the temperature, is being asked."""
    prompt = bench.prompt
    asked = prompt is not None and prompt.purpose is Purpose.TEMPERATURE
    return asked and not bench.visit.entries


def _setting_label(bench: Walk) -> str:
    if not _by_meter(bench):
        return _("Use:")
    return _("Meter is on:") if bench.meter.live is not None else _("Set the meter:")


def _setting(bench: Walk) -> str:
    if _opening(bench):
        return ""
    live = bench.meter.live
    if live is not None and live.quantity is bench.wanted and _by_meter(bench):
        return wording.range_text(live)
    if bench.stage is not Stage.CHECKS:
        return _("ohms, lowest range") if bench.stage is Stage.LEADS else _("ohms")
    return bench.visit.current.setting


def _touch_label(bench: Walk) -> str:
    if _by_meter(bench):
        return _("Touch:")
    return _("Look:") if bench.visit.current.kind is CheckKind.LOOK else _("Where:")


def _touch(bench: Walk) -> str:
    if _opening(bench):
        return ""
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


def _cautions(bench: Walk, check: Check) -> tuple[Caution, ...]:
    return check.cautions if bench.stage is Stage.CHECKS and not _opening(bench) else ()


def _sketch(bench: Walk) -> str:
    match bench.stage:
        case Stage.LEADS:
            return "leads"
        case Stage.KNOWN_RESISTOR:
            return "self_check"
        case Stage.CHECKS:
            return bench.visit.current.sketch


def _strip(bench: Walk) -> Strip:
    channel = bench.meter.channel
    if channel is None or bench.run.here:  # a run has its plot
        return Strip()
    rows = channel.strip(bench.clock.monotonic())
    band = bench.visit.band(bench.visit.current) if bench.stage is Stage.CHECKS else None
    return wording.strip_of(
        rows,
        band,
        units=bench.units,
        pulses_per_rev=bench.visit.current.pulses_per_rev,
    )


def _banner(bench: Walk) -> str:
    if bench.pen.barred:
        return bench.message or bench.notice() or bench.pen.barred
    if bench.pen.trouble:
        return _("Not saved yet: {why}. Trying again").format(why=bench.pen.trouble)
    if bench.message:
        return bench.message
    if bench.run.trouble:
        return _("The run is not saved yet: {why}. Trying again").format(why=bench.run.trouble)
    return bench.notice() or bench.meter.trouble
