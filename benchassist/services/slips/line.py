"""One check as a line of the slip: the same words, order and figures on screen and in print."""

from benchassist.core.band import Verdict
from benchassist.core.entry import Looked, RunEnded, Taken
from benchassist.core.procedure import Check
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Source
from benchassist.core.ruler import Ruler
from benchassist.core.slip import Ink, Line
from benchassist.core.visit import Standing, Visit
from benchassist.services import wording
from benchassist.services.bench.rulers import ruler_of
from benchassist.services.bench.taking import VOLT_DROP
from benchassist.services.runs.line import ended_words, run_line
from benchassist.services.translation import _
from benchassist.units import UnitChoice


def lines_of(visit: Visit, units: UnitChoice, pencil: frozenset[str] = frozenset()) -> list[Line]:
    """Every check in order; what was redone comes before what stands, struck.

    `pencil` holds the ids of entries that are not on disk yet.
    """
    lines: list[Line] = []
    for number, check in enumerate(visit.procedure.checks, start=1):
        lines.extend(
            _struck(number, check, entry, units)
            for entry in visit.entries
            if isinstance(entry, Taken) and entry.check_key == check.key and visit.is_struck(entry)
        )
        lines.extend(
            run_line(number, check, ended_words(visit, entry, units), ink=Ink.STRUCK)
            for entry in visit.entries
            if isinstance(entry, RunEnded)
            and entry.check_key == check.key
            and visit.is_struck(entry)
        )
        lines.append(standing_line(number, check, visit, units, pencil))
    return lines


def standing_line(
    number: int, check: Check, visit: Visit, units: UnitChoice, pencil: frozenset[str]
) -> Line:
    """What stands for a check now."""
    notes = visit.notes(check.key)
    match visit.standing(check.key):
        case Standing.TO_DO:
            return Line(number=number, name=check.title, notes=notes)
        case Standing.SKIPPED:
            return Line(
                number=number,
                name=check.title,
                ink=Ink.SKIPPED,
                words=_("skipped"),
                notes=notes,
            )
        case _:
            return _answered(number, check, visit, units, pencil)


def _answered(
    number: int, check: Check, visit: Visit, units: UnitChoice, pencil: frozenset[str]
) -> Line:
    latest, notes = visit.latest(check.key), visit.notes(check.key)
    ink = Ink.PENCIL if latest is not None and latest.stamp.id in pencil else Ink.INK
    match latest:
        case Taken():
            return taken_line(number, check, latest, units, ink=ink, notes=notes, visit=visit)
        case Looked():
            return _looked(number, check, latest, ink, notes)
        case RunEnded():
            words = ended_words(visit, latest, units)
            return run_line(number, check, words, ink=ink, notes=notes)
        case None:
            return Line(number=number, name=check.title, notes=notes)


def _looked(number: int, check: Check, looked: Looked, ink: Ink, notes: tuple[str, ...]) -> Line:
    answer = next((a.text for a in check.answers if a.key == looked.answer_key), "")
    return Line(
        number=number,
        name=check.title,
        ink=ink,
        words=answer,
        verdict=Verdict.BY_EYE,
        verdict_text=wording.verdict_word(Verdict.BY_EYE),
        notes=notes,
    )


def _struck(number: int, check: Check, taken: Taken, units: UnitChoice) -> Line:
    return taken_line(number, check, taken, units, ink=Ink.STRUCK)


def taken_line(
    number: int,
    check: Check,
    taken: Taken,
    units: UnitChoice,
    *,
    ink: Ink,
    notes: tuple[str, ...] = (),
    visit: Visit | None = None,
    so_far: bool = False,
) -> Line:
    """A taken reading, or one about to be, as a line."""
    value, doubt = value_text(taken, units)
    judgement = taken.judgement
    extra: list[str] = []
    if visit is not None and check.polarities == 2:
        ways = [value_text(t, units)[0] for t in visit.taken(check.key)]
        if len(ways) == 2:
            extra.append(_("both ways round: {one} and {other}").format(one=ways[0], other=ways[1]))
    if taken.method == VOLT_DROP:
        extra.append(_("by volt drop"))
    word = wording.verdict_word(judgement.verdict, judgement.side)
    return Line(
        number=number,
        name=check.title,
        ink=ink,
        value=value,
        doubt=doubt,
        ruler=line_ruler(taken, units),
        verdict=judgement.verdict,
        side=judgement.side,
        verdict_text=_("{word} so far").format(word=word) if so_far else word,
        typed=taken.reading.source is Source.TYPED,
        notes=(*extra, *notes),
    )


def line_ruler(taken: Taken, units: UnitChoice, *, before: Taken | None = None) -> Ruler | None:
    """The ruler of a taken reading; None where there is no band to draw."""
    if taken.band is None:
        return None
    return ruler_of(
        taken.judgement,
        taken.band,
        reading=taken.reading,
        units=units,
        before=before.judgement.value if before is not None else None,
        zero=taken.conditions.lead_zero,
        so_far=not taken.stamp.id,
    )


def value_text(taken: Taken, units: UnitChoice) -> tuple[str, str]:
    """The value with its unit, and the doubt as '±0.06'; words for an overload."""
    judgement, reading = taken.judgement, taken.reading
    quantity = Quantity.RESISTANCE if taken.method == VOLT_DROP else reading.quantity
    if judgement.value is None or quantity is None:
        opened = judgement.verdict in {Verdict.OUT_OF_BAND, Verdict.IN_BAND}
        return (_("Open") if opened else _("Above range")), ""
    return wording.value_and_doubt(
        judgement.value, judgement.expanded_uncertainty, quantity, reading=reading, units=units
    )
