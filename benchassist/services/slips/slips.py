"""A visit as a slip: what was found, done, proved and not proved, every text and figure frozen.

"Proved" says only what a verdict stands behind; what could not be told, was passed over or was
not looked for at all is said under "Not proved", even where that is uncomfortable.
"""

from collections.abc import Iterable

from benchassist.core.accuracy import LeadZero
from benchassist.core.band import Verdict
from benchassist.core.entry import (
    Did,
    Looked,
    Moment,
    RunEnded,
    SelfChecked,
    Taken,
    TemperatureSet,
)
from benchassist.core.procedure import Check, CheckKind, Leaning
from benchassist.core.quantity import Quantity
from benchassist.core.slip import Pair, Slip
from benchassist.core.visit import Standing, Visit
from benchassist.services import wording
from benchassist.services.front.lease_text import apart_note
from benchassist.services.needs import RunStore
from benchassist.services.runs.line import ended_words
from benchassist.services.slips import findings as slip_findings
from benchassist.services.slips import run as slip_run
from benchassist.services.slips.care import care_text
from benchassist.services.slips.line import line_ruler, lines_of, value_text
from benchassist.services.slips.photo import Pictures, slip_photos
from benchassist.services.translation import _
from benchassist.units import UnitChoice

SHOP = UnitChoice()
UNDECIDED = frozenset({Verdict.TOO_CLOSE, Verdict.CANNOT_TELL})


def slip_of(
    visit: Visit,
    units: UnitChoice,
    runs: RunStore | None = None,
    pictures: Pictures | None = None,
) -> Slip:
    """The slip of a visit as it stands; pictures of its runs where their samples can be read.

    `pictures` gives its photos; without it there are none.
    """
    header, machine = visit.header, visit.header.machine
    _did, proved, not_proved = closing_lists(visit, units)
    by = _("done by {name}").format(name=header.done_by) if header.done_by else ""
    day = wording.day_text(header.opened_at)
    return Slip(
        title=_("Job slip {number}").format(number=header.slip_number),
        subtitle=" · ".join(t for t in (header.shop, day, by) if t),
        date_text=day,
        customer=machine.customer or machine.unit or machine.tag,
        unit_text=machine.unit,
        engine_text=" · ".join(
            t for t in (machine.engine, _("visit {n}").format(n=header.visit_of_machine)) if t
        ),
        tag=machine.tag,
        tag_payload=machine.tag,
        tag_hint=_("Scan at the counter for this machine’s file"),
        said_label=_("You said:"),
        said=_said(visit),
        in_short_label=_("In short:"),
        in_short=in_short(visit, units),
        found_title=_("Found"),
        found_hint=_(
            "bar = band it should sit in · tick = what we read · lozenge = the meter’s doubt"
        ),
        lines=tuple(lines_of(visit, units)),
        did_title=_("Did"),
        did_hint=_("dashed tick = before · solid tick = after"),
        pairs=tuple(_pairs(visit, units)),
        proved_title=_("Proved"),
        proved=proved,
        not_proved_title=_("Not proved"),
        not_proved=not_proved,
        care_label=_("Take care:"),
        care=care_text(visit),
        conditions=tuple(conditions_text(visit, units)),
        draft_text="" if visit.closed else _("Not closed yet"),
        plots=tuple(slip_run.run_plots(visit, units, runs)),
        photos=slip_photos(visit, pictures),
    )


def _said(visit: Visit) -> str:
    interview = visit.header.interview
    if interview.words:
        return f"“{interview.words}”"
    return interview.complaint


def in_short(visit: Visit, units: UnitChoice = SHOP) -> str:
    """One honest sentence: what was measured and what came of it, no cause."""
    taken = [t for c in visit.procedure.checks if isinstance(t := visit.latest(c.key), Taken)]
    runs = slip_run.runs_in_short(visit, units)
    claims = slip_findings.in_short(visit, slip_findings.case_or_none(visit), units)
    if not taken:
        return "; ".join([*claims, *runs]) + "." if claims or runs else _("nothing measured yet.")
    out = [t for t in taken if t.judgement.verdict is Verdict.OUT_OF_BAND]
    within = sum(1 for t in taken if t.judgement.verdict is Verdict.IN_BAND)
    undecided = sum(1 for t in taken if t.judgement.verdict in UNDECIDED)
    parts = [_("{n} measured").format(n=len(taken)), _("{n} in band").format(n=within)]
    if out:
        names = ", ".join(visit.procedure.check(t.check_key).title for t in out)
        parts.append(_("out of band: {names}").format(names=names))
    if undecided:
        parts.append(_("{n} undecided").format(n=undecided))
    return "; ".join([*claims, *parts, *runs]) + "."


def closing_lists(
    visit: Visit, units: UnitChoice
) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    """Did, proved and not proved, as sentences."""
    case = slip_findings.case_or_none(visit)
    did = tuple(e.text for e in visit.entries if isinstance(e, Did))
    did += tuple(pair.name for pair in slip_findings.did_pairs(visit, units))
    proved = (*slip_findings.proved_lines(visit, case, units), *_proved(visit, units))
    not_proved = (*slip_findings.not_proved_lines(visit, case, units), *_not_proved(visit, units))
    return did, proved, not_proved or (_("Nothing left open."),)


def _proved(visit: Visit, units: UnitChoice) -> Iterable[str]:
    within: list[str] = []
    for check in visit.procedure.checks:
        latest, ways = visit.latest(check.key), _ways(visit, check)
        for taken in ways:
            if taken.judgement.verdict is Verdict.OUT_OF_BAND:
                value, doubt = value_text(taken, units)
                yield (
                    _("{title}: out of band, {value} {doubt}")
                    .format(title=check.title, value=value, doubt=doubt)
                    .strip()
                    + "."
                )
        whole = ways and len(ways) >= check.polarities
        if whole and all(taken.judgement.verdict is Verdict.IN_BAND for taken in ways):
            # What was measured before the work says nothing of what is fitted now.
            within += [] if visit.awaits_after(check.key) else [check.short]
        elif isinstance(latest, Looked) and _leaning(check, latest) is Leaning.SUSPECT:
            yield _("{title}: {answer}, seen by eye.").format(
                title=check.title, answer=_answer(check, latest)
            )
        elif isinstance(latest, RunEnded):
            yield from ended_words(visit, latest, units).proved
    if within:
        yield _("In band as measured: {names}.").format(names=", ".join(within))
    known = visit.self_check(Moment.START)
    if known is not None and known.judgement.verdict is Verdict.IN_BAND:
        yield (
            _("The meter read a known resistor right between the steps.")
            if visit.is_amid(known)
            else _("The meter read a known resistor right at the start.")
        )
    known = visit.self_check(Moment.END)
    if known is not None and known.judgement.verdict is Verdict.IN_BAND:
        yield _("The meter read a known resistor right at the end.")


def _ways(visit: Visit, check: Check) -> tuple[Taken, ...]:
    """What was last taken at a check: one reading, or one for each way round the probes were."""
    latest = visit.latest(check.key)
    if not isinstance(latest, Taken):
        return ()
    if check.polarities == 1:
        return (latest,)
    done = [e.stamp.seq for e in visit.entries if isinstance(e, Did) and e.check_key == check.key]
    since = max((seq for seq in done if seq < latest.stamp.seq), default=0)
    return tuple(t for t in visit.taken(check.key) if t.stamp.seq > since)


def _answer(check: Check, looked: Looked) -> str:
    return next((a.text for a in check.answers if a.key == looked.answer_key), "")


def _leaning(check: Check, looked: Looked) -> Leaning:
    found = (a.leaning for a in check.answers if a.key == looked.answer_key)
    return next(found, Leaning.NEUTRAL)


def _not_proved(visit: Visit, units: UnitChoice) -> Iterable[str]:
    checks = visit.procedure.checks
    yield from _left_open(visit)
    ended = slip_run.standing_runs(visit)
    for run in ended:
        yield from ended_words(visit, run, units).not_proved
    left = [c.short for c in checks if visit.standing(c.key) in {Standing.TO_DO, Standing.SKIPPED}]
    if left:
        yield _("Not taken: {names}.").format(names=", ".join(left))
    for check in visit.open_obligations():
        yield _("Still open: {title}.").format(title=check.title)
    measured = [c for c in checks if c.kind is CheckKind.MEASURE and _ways(visit, c)]
    if measured:
        hot = [c.short for c in measured if any(map(slip_run.is_hot, _ways(visit, c)))]
        hot += [visit.procedure.check(e.check_key).short for e in ended if slip_run.was_hot(e)]
        yield slip_run.hot_text(hot)
        yield _(
            "Resistance in band does not clear a coil: it can still break down at high voltage."
        )
    known = {e.judgement.verdict for m in Moment if (e := visit.self_check(m)) is not None}
    if Verdict.OUT_OF_BAND in known:
        yield _("The meter did not read a known resistor right: treat its figures with care.")
    if measured and not known:
        yield _("The meter was not checked on a known resistor.")
    if known & UNDECIDED:
        yield _("A known resistor was touched and the meter could not tell whether it agrees.")


def _left_open(visit: Visit) -> Iterable[str]:
    """Step by step: what a reading left undecided, unjudged or half done."""
    for check in visit.procedure.checks:
        ways = _ways(visit, check)
        found = dict.fromkeys(t.judgement.verdict for t in ways)
        for verdict in (v for v in found if v in UNDECIDED):
            word = wording.verdict_word(verdict)
            yield f"{check.title}: {word[:1].lower()}{word[1:]}."
        if Verdict.RECORDED in found:
            yield _("{title}: recorded, no band to judge it by.").format(title=check.title)
        if 0 < len(ways) < check.polarities:
            yield _("{title}: read one way round only.").format(title=check.title)
        if visit.awaits_after(check.key):
            yield _("{title}: not measured again after the work.").format(title=check.title)


def _pairs(visit: Visit, units: UnitChoice) -> Iterable[Pair]:
    for entry in visit.entries:
        if not isinstance(entry, Did):
            continue
        runs = slip_run.run_pair(visit, entry, units)
        if runs is not None:
            yield runs
            continue
        both = visit.before_and_after(entry.check_key) if entry.check_key else None
        if both is None:
            yield Pair(name=entry.text, words=_("not measured before and after"))
            continue
        before, after = both
        judgement = after.judgement
        yield Pair(
            name=entry.text,
            before=value_text(before, units)[0],
            after=value_text(after, units)[0],
            ruler=line_ruler(after, units, before=before),
            verdict=judgement.verdict,
            side=judgement.side,
            verdict_text=wording.verdict_word(judgement.verdict, judgement.side),
        )
    yield from slip_findings.did_pairs(visit, units)


def conditions_text(visit: Visit, units: UnitChoice) -> Iterable[str]:
    """Meter, accuracy, leads, temperature and self-checks: what the figures stand on."""
    if note := apart_note(visit.header):
        yield note
    taken = [e for e in visit.entries if isinstance(e, Taken) and not visit.is_struck(e)]
    meters: dict[str, list[str]] = {}
    for t in taken:
        statement = wording.accuracy_text(t.conditions.accuracy, t.reading.quantity)
        if t.accuracy_note and t.accuracy_note != statement:
            statement = f"{statement} ({t.accuracy_note})"
        name = t.meter or _("Typed by hand")
        if t.link_note:
            name = f"{name} ({t.link_note})"
        meters.setdefault(name, []).append(statement)
    for name, statements in meters.items():
        yield f"{name}: {'; '.join(dict.fromkeys(statements))}."
    yield from _leads(visit, [t for t in taken if t.reading.quantity is Quantity.RESISTANCE])
    told = [e.temperature for e in visit.entries if isinstance(e, TemperatureSet)]
    yield from (wording.temperature_text(one, units) for one in dict.fromkeys(told))
    used = [t.conditions.part_temperature for t in taken if t.conditions.copper_reference]
    for assumed in dict.fromkeys(one for one in used if one is not None and one not in told):
        text = wording.temperature_text(assumed, units)
        yield _("Temperature not stated for a winding, assumed. {text}").format(text=text)
    for entry in visit.entries:
        if isinstance(entry, SelfChecked):
            yield wording.self_check_text(entry, units, amid=visit.is_amid(entry))
    yield _("Doubt is ±U with k = {k:g}.").format(k=visit.header.k)


def _leads(visit: Visit, ohms: list[Taken]) -> Iterable[str]:
    """What was done about the leads; where it was not the same throughout, for which steps."""
    steps: dict[LeadZero | None, list[str]] = {}
    for taken in ohms:
        short = visit.procedure.check(taken.check_key).short
        steps.setdefault(taken.conditions.lead_zero, []).append(short)
    for zero, shorts in steps.items():
        text = wording.leads_text(zero)
        names = ", ".join(dict.fromkeys(shorts))
        yield text if len(steps) == 1 else _("{names}: {text}").format(names=names, text=text)
