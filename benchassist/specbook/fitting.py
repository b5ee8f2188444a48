"""A procedure fitted to an engine class: which checks stay, and what the class says of them."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Final, TypeVar

from benchassist.specbook.sheet import (
    BandSheet,
    CheckSheet,
    ClassCheckSheet,
    EngineSheet,
    OptionSheet,
    ProcedureSheet,
)

BandSheetT = TypeVar("BandSheetT", bound=BandSheet)

VOLT_DROP: Final = "volt_drop"
"""The caution that every check with a volt drop carries, whatever its profile says."""


def picked(procedure: ProcedureSheet, library: Mapping[str, CheckSheet]) -> tuple[CheckSheet, ...]:
    """The checks of a procedure in order, its own before the library's.

    A name that stands for no check is passed over: the audit tells it.
    """
    if not procedure.checks:
        return procedure.check
    own = {check.key: check for check in procedure.check}
    found = (own.get(key, library.get(key)) for key in procedure.checks)
    return tuple(check for check in found if check is not None)


def fitted(checks: Iterable[CheckSheet], engine: EngineSheet) -> dict[str, CheckSheet]:
    """The checks that apply to the class, by key and in order, with the class's words and bands."""
    return {
        check.key: _fitted(check, engine)
        for check in checks
        if check.key not in engine.omit and (not check.optional or check.key in engine.add)
    }


def summands(
    check: CheckSheet, checks: Mapping[str, CheckSheet], engine: EngineSheet
) -> tuple[CheckSheet, CheckSheet] | None:
    """The two checks whose bands add up to this one's.

    None where they say nothing of it: electronics sit in the path, or the first has no band.
    """
    if len(check.sum_of) != 2 or engine.electronics:
        return None
    first, second = (checks.get(key) for key in check.sum_of)
    return (first, second) if first and second and first.band else None


def _fitted(check: CheckSheet, engine: EngineSheet) -> CheckSheet:
    of_class = engine.checks.get(check.key, ClassCheckSheet())
    if of_class.band:
        check = replace(
            check,
            band=of_class.band,
            source=of_class.source,
            note=of_class.note,
            copper=of_class.copper,
            reference_celsius=at_reference(of_class, engine).reference_celsius,
            options=(),
        )
    elif of_class.options:
        check = replace(
            check,
            band="",
            options=tuple(at_reference(option, engine) for option in of_class.options),
            option_group=of_class.option_group,
            option_question=of_class.option_question,
        )
    volt_drop = check.volt_drop if of_class.volt_drop is None else of_class.volt_drop
    cautions = (*of_class.cautions, *check.cautions, *((VOLT_DROP,) if volt_drop else ()))
    return replace(
        check,
        title=of_class.title or check.title,
        short=of_class.short or check.short,
        setting=of_class.setting or check.setting,
        touch=of_class.touch or check.touch,
        why=of_class.why or check.why,
        probe_points=of_class.probe_points or check.probe_points,
        options=_narrowed(check.options, engine.choices.get(check.option_group)),
        cautions=tuple(dict.fromkeys(cautions)),
        polarities=of_class.polarities or check.polarities,
        volt_drop=volt_drop,
        pulses_per_rev=of_class.pulses_per_rev or check.pulses_per_rev or engine.pulses_per_rev,
    )


def at_reference(sheet: BandSheetT, engine: EngineSheet) -> BandSheetT:
    """A band of a class at the temperature it holds for: its own, else that of the class."""
    if sheet.reference_celsius is not None:
        return sheet
    return replace(sheet, reference_celsius=engine.reference_celsius)


def _narrowed(
    options: tuple[OptionSheet, ...], choices: tuple[str, ...] | None
) -> tuple[OptionSheet, ...]:
    return options if choices is None else tuple(o for o in options if o.key in choices)
