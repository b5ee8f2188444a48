"""What the table of a run must hold: what its kind needs, nothing of another kind, safe limits."""

from collections.abc import Iterator, Mapping
from dataclasses import fields
from types import MappingProxyType
from typing import Final

from benchassist.core.procedure import CheckKind
from benchassist.core.quantity import Quantity
from benchassist.core.run import RunKind
from benchassist.errors import InputError
from benchassist.specbook.drill_audit import faults_of_drill
from benchassist.specbook.fault import Fault, Where, _
from benchassist.specbook.figure_audit import faults_of_figure
from benchassist.specbook.run_binding import CEILING
from benchassist.specbook.sheet import CheckSheet, OptionSheet, Origin, RunSheet, SpeedSheet
from benchassist.specbook.shelf import Filed, SheetT
from benchassist.units import Limits, read_band, read_quantity

KEYS: Final[Mapping[RunKind, frozenset[str]]] = MappingProxyType(
    {
        RunKind.HEAT: frozenset(
            {"part", "ceiling", "ceiling_source", "ceiling_note", "cycles", "hold"}
        ),
        RunKind.ENGINE: frozenset({"cycles", "loads", "tank_pressure", "speeds"}),
        RunKind.TANK: frozenset(),
        RunKind.DRILL: frozenset({"drill"}),
    }
)
"""What the table of each kind of run may say, beside its kind."""


def faults_of_run(filed: Filed[SheetT], where: Where, check: CheckSheet) -> Iterator[Fault]:
    """Every fault of a run's table, and of a check that should have one or should not."""
    run = check.run
    if check.kind is CheckKind.RUN and run is None:
        yield filed.fault(_("a run needs its table: [check.run]"), *where, "kind")
    if check.kind is not CheckKind.RUN and run is not None:
        yield filed.fault(_("only a check of kind 'run' has a table [check.run]"), *where, "run")
    if check.kind is CheckKind.RUN:
        yield from _faults_of_reading(filed, where, check)
    yield from faults_of_speed_options(filed, where, check.options, check)
    if run is None:
        return
    here = (*where, "run")
    for field in fields(run):
        given = field.name != "kind" and getattr(run, field.name) != field.default
        if given and field.name not in KEYS[run.kind]:
            message = _("a run of kind '{kind}' has no '{key}'")
            yield filed.fault(message.format(kind=run.kind, key=field.name), *here, field.name)
    if run.speeds is not None:
        yield from faults_of_speeds(filed, (*here, "speeds"), run.speeds)
    yield from _faults_of_heat(filed, here, run)
    if run.kind is RunKind.DRILL:
        yield from faults_of_drill(filed, where, check, run)


def faults_of_speed_options(
    filed: Filed[SheetT], where: Where, options: tuple[OptionSheet, ...], check: CheckSheet
) -> Iterator[Fault]:
    """Speeds of an application, which only an engine run is judged against."""
    is_engine = check.run is not None and check.run.kind is RunKind.ENGINE
    for number, option in enumerate(options):
        if option.speeds is None:
            continue
        here = (*where, "options", number, "speeds")
        if not is_engine:
            yield filed.fault(_("only an engine run is judged against speeds"), *here)
            continue
        yield from faults_of_speeds(filed, here, option.speeds)


def faults_of_speeds(filed: Filed[SheetT], where: Where, speeds: SpeedSheet) -> Iterator[Fault]:
    """Bands that cannot be read or cross each other, a source that is missing."""
    read: dict[str, Limits] = {}
    for name, quantity in (
        ("low", Quantity.SPEED),
        ("high", Quantity.SPEED),
        ("fall", Quantity.DURATION),
        ("recover", Quantity.DURATION),
    ):
        text: str = getattr(speeds, name)
        if not text:
            continue
        try:
            read[name] = read_band(text, quantity=quantity)
        except InputError as error:
            yield filed.fault(str(error), *where, name)
    if speeds.rated:
        yield from faults_of_figure(filed, (*where, "rated"), speeds.rated, Quantity.SPEED)
    if "low" in read and "high" in read and not _below(read["low"], read["high"]):
        message = _("the band of the low speed must lie below that of the high speed")
        yield filed.fault(message, *where, "low")
    stated = any((speeds.low, speeds.high, speeds.fall, speeds.recover))
    if stated and speeds.source is None:
        words = ", ".join(Origin)
        message = _("the speeds have no source: add source = one of {words}").format(words=words)
        yield filed.fault(message, *where)
    if speeds.source in {Origin.MAKER, Origin.OWN_PARTS} and not speeds.note:
        message = _("speeds with source '{source}' need a note: manual and page, or how many")
        yield filed.fault(message.format(source=speeds.source), *where, "source")
    if not stated and not speeds.rated:
        yield filed.fault(_("speeds without a figure: leave the table out"), *where)


def _below(low: Limits, high: Limits) -> bool:
    """Whether one band lies below another; a side that is open decides nothing."""
    top, floor = low.high, high.low
    if top is not None and floor is not None:
        return top <= floor
    ends = (low.low if top is None else top, high.high if floor is None else floor)
    return ends[0] is None or ends[1] is None or ends[0] < ends[1]


def _faults_of_reading(filed: Filed[SheetT], where: Where, check: CheckSheet) -> Iterator[Fault]:
    """What belongs to a reading, and so to no run: its kind says what is logged."""
    for name in ("quantity", "band", "sum_of", "typical", "accuracy", "volt_drop"):
        if getattr(check, name):
            message = _("a run has no '{key}': its table says what is logged").format(key=name)
            yield filed.fault(message, *where, name)
    for number, option in enumerate(check.options):
        if option.band:
            message = _("a run is judged against speeds, not against a band")
            yield filed.fault(message, *where, "options", number, "band")


def _faults_of_heat(filed: Filed[SheetT], where: Where, run: RunSheet) -> Iterator[Fault]:
    if run.ceiling:
        yield from faults_of_figure(filed, (*where, "ceiling"), run.ceiling, Quantity.TEMPERATURE)
        yield from _faults_of_ceiling(filed, where, run)
    if run.hold:
        try:
            read_quantity(run.hold, quantity=Quantity.DURATION)
        except InputError as error:
            yield filed.fault(str(error), *where, "hold")
    least = 1 if run.kind is RunKind.HEAT else 0
    if run.cycles is not None and run.cycles < least:
        message = _("cycles must be {least} or more").format(least=least)
        yield filed.fault(message, *where, "cycles")


def _faults_of_ceiling(filed: Filed[SheetT], where: Where, run: RunSheet) -> Iterator[Fault]:
    """Above the usual limit a surface is heated only where the part's maker says so."""
    try:
        ceiling = read_quantity(run.ceiling, quantity=Quantity.TEMPERATURE).value
    except InputError:
        return
    usual = read_quantity(CEILING, quantity=Quantity.TEMPERATURE).value
    by_maker = run.ceiling_source is Origin.MAKER
    if ceiling > usual and not by_maker:
        message = _("a ceiling above {usual} is the maker's to give: ceiling_source, ceiling_note")
        yield filed.fault(message.format(usual=CEILING), *where, "ceiling")
    if by_maker and not run.ceiling_note:
        message = _("a ceiling of the maker's needs ceiling_note: manual and page")
        yield filed.fault(message, *where, "ceiling_source")
