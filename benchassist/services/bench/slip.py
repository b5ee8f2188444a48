"""The slip beside the bench: its head, its lines with the live one in pencil, and the ribbon."""

from benchassist.core.band import Verdict
from benchassist.core.entry import RunEnded, Taken
from benchassist.core.slip import Ink, Line
from benchassist.core.visit import Standing
from benchassist.services import wording
from benchassist.services.bench.shown import stands
from benchassist.services.bench.view import RibbonItem, SlipHead
from benchassist.services.bench.walk import Walk
from benchassist.services.runs.line import ended_words, run_line
from benchassist.services.slips.line import lines_of, taken_line
from benchassist.services.translation import _


def head_of(bench: Walk) -> SlipHead:
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


def ribbon_of(bench: Walk) -> tuple[RibbonItem, ...]:
    """Every step with what was found there."""
    visit, items = bench.visit, []
    for number, check in enumerate(visit.procedure.checks, start=1):
        latest = visit.latest(check.key)
        standing = visit.standing(check.key)
        verdict = latest.judgement.verdict if isinstance(latest, Taken) else None
        side = latest.judgement.side if isinstance(latest, Taken) else None
        if standing is Standing.LOOKED:
            verdict = Verdict.BY_EYE
        if isinstance(latest, RunEnded):
            words = ended_words(visit, latest, bench.units)
            verdict, side = words.verdict, words.side
        ink = {
            Standing.TO_DO: Ink.TO_DO,
            Standing.SKIPPED: Ink.SKIPPED,
            Standing.TAKEN: Ink.INK,
            Standing.LOOKED: Ink.INK,
            Standing.RUN: Ink.INK,
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
                side=side,
            )
        )
    return tuple(items)


def lines_and_place(bench: Walk, shown: Taken | None) -> tuple[list[Line], int]:
    """The slip's lines, what is live among them in pencil, and which one the bench is on."""
    visit, check = bench.visit, bench.visit.current
    pencil = bench.pen.pencilled
    lines = lines_of(visit, bench.units, pencil)
    number = 1 + [c.key for c in visit.procedure.checks].index(check.key)
    at = max(i for i, line in enumerate(lines) if line.number == number)
    running = bench.run.words_so_far()
    if running is not None:
        live = run_line(number, check, running, ink=Ink.PENCIL, so_far=True)
        if visit.standing(check.key) is Standing.TO_DO:
            lines[at] = live
        else:
            lines.insert(at + 1, live)
            at += 1
    if shown is not None and not stands(shown):
        live = taken_line(number, check, shown, bench.units, ink=Ink.PENCIL, so_far=True)
        if visit.standing(check.key) is Standing.TO_DO:
            lines[at] = live
        elif bench.taker.wants_reading():
            lines.insert(at + 1, live)
            at += 1
    return lines, at
