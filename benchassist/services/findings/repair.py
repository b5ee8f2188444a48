"""The repair and its verification: parts, service, before and after, set-up, acceptance run.

A repaired machine is let go after a clean run under load of three times the time it took to quit,
and two restarts after a soak (common practice). What is missing is said, never forced.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from benchassist.core.entry import Did, PartFitted, Proved, Service, Serviced, Taken
from benchassist.core.procedure import Check, CheckKind
from benchassist.core.quantity import Quantity
from benchassist.core.visit import Visit
from benchassist.services.findings.cards import ProofRow, RepairCard
from benchassist.services.findings.fluid import fluid_text
from benchassist.services.findings.money import money_text
from benchassist.services.runs.line import ended_words
from benchassist.services.settings import Settings
from benchassist.services.slips.line import value_text
from benchassist.services.slips.run import before_and_after as runs_before_and_after
from benchassist.services.translation import _
from benchassist.services.wording import verdict_word
from benchassist.units import UnitChoice

QUIT_TIME: Final = "minutes_to_quit"
"""The interview's question for the time to die, kept in seconds."""
TIMES: Final = 3.0
SOAKS: Final = 2
SET_UP: Final = frozenset({Quantity.LENGTH, Quantity.SPEED})
"""What is set: gaps, lash, speeds."""

SERVICE: Final[Mapping[Service, str]] = MappingProxyType(
    {
        Service.ENGINE_OIL: _("Engine oil"),
        Service.PUMP_OIL: _("Pump oil"),
        Service.AIR_FILTER: _("Air filter"),
        Service.FUEL_FILTER: _("Fuel filter"),
        Service.CARBURETTOR: _("Carburettor cleaned"),
        Service.LINKAGE: _("Linkage lubricated"),
        Service.OTHER: _("Other work"),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Acceptance:
    """How far the acceptance run has come since the last work. Times in seconds.

    `needed` is None where no time to quit was reported. `came_back`: the fault showed again after
    the last work. `repaired`: there was work at all.
    """

    repaired: bool
    needed: float | None
    longest: float = 0.0
    soaks: int = 0
    came_back: bool = False

    @property
    def done(self) -> bool:
        """Whether everything asked for is there."""
        ran = self.longest > 0.0 if self.needed is None else self.longest >= self.needed
        return self.repaired and ran and self.soaks >= SOAKS and not self.came_back


def reported_time(visit: Visit) -> float | None:
    """Seconds until it quits, as the customer reported; None where they did not."""
    answers = dict(visit.header.interview.answers)
    try:
        seconds = float(answers.get(QUIT_TIME, ""))
    except ValueError:
        return None
    return seconds if seconds > 0.0 else None


def acceptance_of(visit: Visit) -> Acceptance:
    """The runs of the repaired machine; a fault undoes the clean ones before it."""
    work = [e.stamp.seq for e in visit.entries if isinstance(e, PartFitted | Did)]
    since = work[-1] if work else 0
    runs = [e for e in visit.entries if isinstance(e, Proved) and e.stamp.seq > since]
    faults = [n for n, run in enumerate(runs) if run.fault or run.soak_restart is False]
    clean = runs[faults[-1] + 1 :] if faults else runs
    time = reported_time(visit)
    return Acceptance(
        repaired=bool(work),
        needed=TIMES * time if time is not None else None,
        longest=max((run.seconds for run in clean), default=0.0),
        soaks=sum(1 for run in clean if run.soak_restart),
        came_back=bool(faults) and not clean,
    )


def repair_card(visit: Visit, settings: Settings) -> RepairCard:
    """Everything done and what the acceptance run still lacks."""
    units = settings.units
    found = acceptance_of(visit)
    return RepairCard(
        fitted=tuple(fitted_text(e, settings) for e in visit.entries if isinstance(e, PartFitted)),
        serviced=tuple(service_text(e, units) for e in visit.entries if isinstance(e, Serviced)),
        pairs=tuple(_pairs(visit, units)),
        set_up=tuple(_set_up(visit, units)),
        proof_title=_("Acceptance run: three times the time to quit, two soak restarts"),
        proof=tuple(_proof(found)),
        missing=tuple(missing_texts(visit, found)),
    )


# --- in words -------------------------------------------------------------------------------------


def fitted_text(fitted: PartFitted, settings: Settings | None = None) -> str:
    """'Coil, no. 12-A, lot 24-07, $74.00; old part kept'; without settings no cost is told."""
    parts = [fitted.name or _(fitted.part)]
    parts += [_("no. {number}").format(number=fitted.number)] if fitted.number else []
    parts += [_("lot {lot}").format(lot=fitted.lot)] if fitted.lot else []
    if fitted.cost is not None and settings is not None:
        parts.append(money_text(fitted.cost, settings, fitted.currency))
    kept = _("old part kept, labelled") if fitted.old_kept else _("old part not kept")
    return _("{part}; {kept}").format(part=", ".join(parts), kept=kept)


def service_text(serviced: Serviced, units: UnitChoice) -> str:
    """'Engine oil: SAE 30, 0.6 L'."""
    parts = [t for t in (serviced.grade, serviced.text) if t]
    if serviced.quantity is not None:
        parts.append(fluid_text(serviced.quantity, units))
    name = SERVICE[serviced.service]
    return _("{name}: {what}").format(name=name, what=", ".join(parts)) if parts else name


def _pairs(visit: Visit, units: UnitChoice) -> Iterator[str]:
    """Readings and runs before the work and after it."""
    text = _("{name}: {before} before, {after} after")
    for check in visit.procedure.checks:
        both = visit.before_and_after(check.key)
        if both is not None:
            before, after = (value_text(taken, units)[0] for taken in both)
            yield text.format(name=check.title, before=before, after=after)
        runs = runs_before_and_after(visit, check.key)
        if runs is not None:
            before, after = (ended_words(visit, ended, units).words for ended in runs)
            yield text.format(name=check.title, before=before, after=after)


def _set_up(visit: Visit, units: UnitChoice) -> Iterator[str]:
    """Gaps, lash and speeds as they stand."""
    for check in visit.procedure.checks:
        latest = visit.latest(check.key)
        if isinstance(latest, Taken) and _is_set(check):
            value = " ".join(t for t in value_text(latest, units) if t)
            word = verdict_word(latest.judgement.verdict, latest.judgement.side)
            yield _("{name}: {value}, {word}").format(name=check.title, value=value, word=word)


def _is_set(check: Check) -> bool:
    return check.kind is CheckKind.GAUGE or check.quantity in SET_UP


def _proof(found: Acceptance) -> Iterator[ProofRow]:
    if found.needed is not None:
        yield ProofRow(
            name=_("Clean run under load"),
            have=minutes_text(found.longest),
            need=minutes_text(found.needed),
            share=min(1.0, found.longest / found.needed),
            done=found.longest >= found.needed,
        )
    else:
        yield ProofRow(
            name=_("Clean run under load"),
            have=minutes_text(found.longest),
            need=_("no time to quit reported"),
            share=1.0 if found.longest > 0.0 else 0.0,
            done=found.longest > 0.0,
        )
    yield ProofRow(
        name=_("Restarts after a soak"),
        have=str(found.soaks),
        need=str(SOAKS),
        share=min(1.0, found.soaks / SOAKS),
        done=found.soaks >= SOAKS,
    )


def missing_texts(visit: Visit, found: Acceptance) -> Iterator[str]:
    """What the acceptance run lacks, one sentence each."""
    if not found.repaired:
        yield _("No part fitted and no work recorded yet.")
        return
    if found.came_back:
        yield _("The fault came back after the work.")
    if found.needed is None:
        if not found.longest:
            yield _("No clean run yet; no time to quit was reported to hold it against.")
    elif found.longest < found.needed:
        yield _("Longest clean run {have} of {need}.").format(
            have=minutes_text(found.longest), need=minutes_text(found.needed)
        )
    if found.soaks < SOAKS:
        yield _("Soak restarts: {n} of {needed}.").format(n=found.soaks, needed=SOAKS)
    for check in visit.procedure.checks:
        if visit.awaits_after(check.key):
            yield _("{name}: not measured again after the work.").format(name=check.title)


def minutes_text(seconds: float) -> str:
    """Whole minutes."""
    return _("{n:.0f} min").format(n=seconds / 60.0)
