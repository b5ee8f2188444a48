"""A run as a line of the slip, and what it says in the slip's closing lists."""

from benchassist.core.entry import RunEnded
from benchassist.core.procedure import Check
from benchassist.core.run import RunPlan
from benchassist.core.run_finding import (
    DrillFinding,
    EngineFinding,
    Finding,
    HeatFinding,
    TankFinding,
)
from benchassist.core.run_log import plan_of
from benchassist.core.slip import Ink, Line
from benchassist.core.visit import Visit
from benchassist.services.runs.drill_text import drill_words
from benchassist.services.runs.engine_text import engine_words
from benchassist.services.runs.heat_text import heat_words
from benchassist.services.runs.tank_text import tank_words
from benchassist.services.runs.words import RunWords
from benchassist.services.translation import _
from benchassist.units import UnitChoice


def finding_of(ended: RunEnded) -> Finding | None:
    """The one finding an ended run carries."""
    return ended.heat or ended.engine or ended.tank or ended.drill


def words_of(
    check: Check,
    finding: Finding,
    plan: RunPlan,
    units: UnitChoice,
    *,
    k: float = 2.0,
    so_far: bool = False,
) -> RunWords:
    """A finding in words, in the shop's units."""
    match finding:
        case HeatFinding():
            return heat_words(check, finding, plan, units, so_far=so_far)
        case EngineFinding():
            return engine_words(finding, plan, units, k=k)
        case TankFinding():
            return tank_words(finding, plan, units)
        case DrillFinding():
            return drill_words(finding, plan, units)


def ended_words(visit: Visit, ended: RunEnded, units: UnitChoice) -> RunWords:
    """An ended run of a visit in words; the plan is the one it was started with."""
    check = visit.procedure.check(ended.check_key)
    finding, plan = finding_of(ended), plan_of(visit, ended)
    if finding is None or plan is None:
        return RunWords(words=_("nothing was found out"))
    return words_of(check, finding, plan, units, k=visit.header.k)


def heard_text(check: Check, words: RunWords) -> str:
    """What a run came to, as one line for a voice or under its picture."""
    return words.title or _("{name}: {words}").format(name=check.title, words=words.words)


def run_line(
    number: int,
    check: Check,
    words: RunWords,
    *,
    ink: Ink,
    notes: tuple[str, ...] = (),
    so_far: bool = False,
) -> Line:
    """A run's words as a line of the slip."""
    word = words.verdict_text
    return Line(
        number=number,
        name=check.title,
        ink=ink,
        words=words.words,
        doubt=words.doubt,
        ruler=words.ruler,
        verdict=words.verdict,
        side=words.side,
        verdict_text=_("{word} so far").format(word=word) if so_far and words.verdict else word,
        notes=(*words.detail, *notes),
    )
