"""The series check of a visit: coil and cap (and lead) as taken against the whole path.

Pieces are brought back to the temperature they were read at; `core.path` brings the windings to the
path's. The doubt of a temperature counts only where a winding has to be brought to another one.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor, log10
from types import MappingProxyType
from typing import Final

from benchassist.core.accuracy import Part
from benchassist.core.copper import correction
from benchassist.core.entry import Did, PartFitted, Taken
from benchassist.core.estimate import root_sum_of_squares
from benchassist.core.path import Closure, PathCheck, Piece, check_path
from benchassist.core.procedure import Check
from benchassist.core.quantity import Quantity
from benchassist.core.visit import Visit
from benchassist.services.bench.condition_text import leads_text
from benchassist.services.findings.cards import SeriesCard, SeriesPart
from benchassist.services.translation import _
from benchassist.units import UnitChoice, difference_text, display_unit, text_of

COIL: Final = "coil_secondary"
PATH: Final = "path"
PIECES: Final = (COIL, "cap", "ht_lead")
"""Checks that lie in series, in order; the lead counts where it was measured by itself."""
NEEDED: Final = (COIL, "cap")

NAME: Final[Mapping[str, str]] = MappingProxyType(
    {COIL: _("coil"), "cap": _("cap"), "ht_lead": _("lead"), PATH: _("path")}
)
_TITLE: Final[Mapping[Closure, str]] = MappingProxyType(
    {
        Closure.CLOSES: _("Adds up."),
        Closure.HIDDEN_JOINT: _("The path has more."),
        Closure.PARALLEL_PATH: _("The path has less."),
        Closure.UNDECIDED: _("Cannot tell."),
        Closure.VOID: _("Void."),
        Closure.OTHER_TEMPERATURE: _("Not at one temperature."),
    }
)
FAINT: Final = 1e-3
"""Of the doubt: a smaller difference is told as none."""

STEPS: Final = 4
"""About so many ticks on the axis."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """The readings that go in, and what `core.path` makes of them."""

    taken: Mapping[str, Taken]
    check: PathCheck
    pieces: tuple[Piece, ...]
    path: Piece


def series_of(visit: Visit) -> Series | None:
    """The series check of a visit; None where a reading it needs is missing or above range."""
    if not _measures(visit):
        return None
    taken = _taken(visit)
    if _missing(visit, taken) or _stale(visit, taken):
        return None
    path = _piece(PATH, taken[PATH], taken[PATH])
    pieces = tuple(_piece(key, taken[key], taken[PATH]) for key in PIECES if key in taken)
    electronics = visit.procedure.electronics is not False
    found = check_path(pieces, path, electronics=electronics, k=visit.header.k)
    return Series(taken=taken, check=found, pieces=pieces, path=path)


def series_card(visit: Visit, units: UnitChoice) -> SeriesCard | None:
    """The card; None where the visit's procedure measures no path."""
    if not _measures(visit):
        return None
    label, title = _("Series check"), _("Coil + cap = path")
    if visit.procedure.electronics is not False:
        return SeriesCard(
            label=label,
            title=title,
            closure=Closure.VOID,
            head=_TITLE[Closure.VOID],
            sentence=_void_text(visit),
        )
    series = series_of(visit)
    if series is None:
        taken = _taken(visit)
        missing = _missing(visit, taken)
        sentence = _missing_text(visit, missing) if missing else _stale_text(visit, taken)
        return SeriesCard(label=label, title=title, closure=None, head="", sentence=sentence)
    return _drawn(visit, series, units, label=label, title=title)


def series_sentence(visit: Visit, units: UnitChoice) -> str:
    """One line for the slip; empty where the check says nothing, or is void."""
    series = series_of(visit)
    if series is None or series.check.closure is Closure.VOID:
        return ""
    head = _TITLE[series.check.closure]
    return _("Coil + cap = path: {head} {text}").format(
        head=head[:1].lower() + head[1:], text=_sentence(series, units)
    )


# --- what goes in ---------------------------------------------------------------------------------


def _measures(visit: Visit) -> bool:
    """Whether the visit's procedure has all the steps it needs."""
    return {PATH, *NEEDED} <= {check.key for check in visit.procedure.checks}


def _taken(visit: Visit) -> dict[str, Taken]:
    """What stands at each of the checks, with a value."""
    keys = {check.key for check in visit.procedure.checks}
    latest = {key: visit.latest(key) for key in (*PIECES, PATH) if key in keys}
    return {
        key: one
        for key, one in latest.items()
        if isinstance(one, Taken)
        and one.judgement.value is not None
        and one.judgement.expanded_uncertainty is not None
    }


def _missing(visit: Visit, taken: Mapping[str, Taken]) -> list[Check]:
    return [visit.procedure.check(key) for key in (*NEEDED, PATH) if key not in taken]


def _stale(visit: Visit, taken: Mapping[str, Taken]) -> list[Check]:
    """Readings made before the part was worked on; the path with any of its pieces."""
    work = {key: _last_work(visit, key) for key in taken}
    work[PATH] = max(work.values())
    return [visit.procedure.check(key) for key in taken if taken[key].stamp.seq < work[key]]


def _last_work(visit: Visit, key: str) -> int:
    """When work was last done at a check or its part renewed; 0 where it never was."""
    part = visit.procedure.check(key).part
    done = (
        entry.stamp.seq
        for entry in visit.entries
        if isinstance(entry, Did | PartFitted)
        and (entry.check_key == key or (isinstance(entry, PartFitted) and entry.part == part))
    )
    return max(done, default=0)


def _piece(key: str, taken: Taken, path: Taken) -> Piece:
    """A reading as a piece, at the temperature it was read at."""
    own, of_path = _celsius(taken), _celsius(path)
    value = taken.judgement.value or 0.0
    contributions = taken.judgement.contributions
    if own == of_path:
        contributions = tuple(c for c in contributions if c.name is not Part.TEMPERATURE)
    reference = taken.conditions.copper_reference
    factor = 1.0
    if reference is not None and own is not None:
        factor = correction(own, reference)[0]
    return Piece(
        name=key,
        ohm=value / factor,
        uncertainty=root_sum_of_squares(contributions) / factor,
        copper=key == COIL,
        celsius=own,
    )


def _celsius(taken: Taken) -> float | None:
    temperature = taken.conditions.part_temperature
    return temperature.celsius if temperature is not None else None


# --- in words -------------------------------------------------------------------------------------


def _drawn(
    visit: Visit, series: Series, units: UnitChoice, *, label: str, title: str
) -> SeriesCard:
    unit = display_unit(series.path.ohm, Quantity.RESISTANCE, units=units)
    factor = float(unit.factor)
    top = 1.1 * max(series.path.ohm, series.check.total) / factor
    found = series.check
    doubt = found.expanded_uncertainty / factor
    return SeriesCard(
        label=label,
        title=title,
        closure=found.closure,
        head=_TITLE[found.closure],
        sentence=_sentence(series, units),
        conditions=conditions_text(series, units),
        parts=tuple(_part(piece, factor) for piece in series.pieces),
        path=series.path.ohm / factor,
        doubt=doubt,
        path_text=_("path {value:.2f} ±{doubt:.2f}").format(
            value=series.path.ohm / factor,
            doubt=visit.header.k * series.path.uncertainty / factor,
        ),
        unit=unit.symbol,
        top=top,
        ticks=_ticks(top),
    )


def _part(piece: Piece, factor: float) -> SeriesPart:
    value = piece.ohm / factor
    return SeriesPart(name=NAME[piece.name], value=value, text=f"{NAME[piece.name]} {value:.2f}")


def _ticks(top: float) -> tuple[float, ...]:
    """Round steps from zero, about `STEPS` of them."""
    if not top > 0.0:
        return (0.0,)
    raw = top / STEPS
    power = 10.0 ** floor(log10(raw))
    step = next(n * power for n in (1.0, 2.0, 5.0, 10.0) if n * power >= raw * (1.0 - 1e-9))
    return tuple(n * step for n in range(ceil(top / step)) if n * step <= top)


def _sentence(series: Series, units: UnitChoice) -> str:
    found = series.check
    if found.closure is Closure.OTHER_TEMPERATURE:
        return _("The coil or the path was read at a temperature nobody stated.")
    # Sums of the same digits differ by what a float leaves over.
    nothing = abs(found.residual) < FAINT * found.expanded_uncertainty
    sums = _("{total} and {path} are {apart} apart; the doubt is {doubt}.").format(
        total=text_of(found.total, Quantity.RESISTANCE, resolution=10.0, units=units),
        path=text_of(series.path.ohm, Quantity.RESISTANCE, resolution=10.0, units=units),
        apart=_ohms(0.0 if nothing else abs(found.residual), units),
        doubt=_ohms(found.expanded_uncertainty, units),
    )
    means = {
        Closure.CLOSES: _("No joint adds to it at a meter’s few volts."),
        Closure.HIDDEN_JOINT: _("A joint nobody measured: the cap on its lead, or the lead."),
        Closure.PARALLEL_PATH: _("A second path, fingers, or a probe in the wrong place."),
        Closure.UNDECIDED: _("The limit is {limit}: the doubt reaches over it.").format(
            limit=_ohms(found.limit, units)
        ),
    }
    return f"{sums} {means.get(found.closure, '')}".strip()


def _ohms(ohm: float, units: UnitChoice) -> str:
    return str(difference_text(ohm, Quantity.RESISTANCE, units=units))


def conditions_text(series: Series, units: UnitChoice) -> str:
    """What the readings have in common and what not: temperature, leads, meter."""
    return " ".join(_conditions(series, units))


def _conditions(series: Series, units: UnitChoice) -> Iterator[str]:
    taken = series.taken
    warm = {key: _celsius(one) for key, one in taken.items()}
    if len(set(warm.values())) == 1:
        yield _("All at {t}.").format(t=_warmth(next(iter(warm.values())), units))
    else:
        each = ", ".join(f"{NAME[key]} {_warmth(t, units)}" for key, t in warm.items())
        yield _("{each}; the coil is brought to the path’s.").format(each=each)
    zeros = {one.conditions.lead_zero for one in taken.values()}
    yield leads_text(next(iter(zeros))) if len(zeros) == 1 else _("Leads not the same throughout.")
    if len({one.meter for one in taken.values()}) > 1:
        yield _("Read by more than one meter.")


def _warmth(celsius: float | None, units: UnitChoice) -> str:
    if celsius is None:
        return _("a temperature not stated")
    return str(text_of(celsius, Quantity.TEMPERATURE, resolution=1.0, units=units))


def _void_text(visit: Visit) -> str:
    if visit.procedure.electronics is None or visit.procedure.engine_class == "unknown":
        return _("Nobody knows whether electronics sit in the path: ohms may not add up.")
    return _("Electronics sit in the path: ohms do not add up.")


def _missing_text(visit: Visit, missing: Sequence[Check]) -> str:
    return _("Needs a value of: {names}.").format(names=_named(visit, missing))


def _stale_text(visit: Visit, taken: Mapping[str, Taken]) -> str:
    names = _named(visit, _stale(visit, taken))
    return _("Worked on since it was read: {names}. Measure again.").format(names=names)


def _named(visit: Visit, checks: Sequence[Check]) -> str:
    numbers = {check.key: n for n, check in enumerate(visit.procedure.checks, start=1)}
    return ", ".join(f"{check.short} ({numbers[check.key]})" for check in checks)
