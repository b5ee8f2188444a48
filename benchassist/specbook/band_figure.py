"""The bands that a shop may change, of engine classes and of the library of checks."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import chain
from typing import Final

from benchassist.core.procedure import CheckKind
from benchassist.core.quantity import Quantity
from benchassist.core.spec_entry import SpecKind, Stated
from benchassist.specbook.fault import Where, _
from benchassist.specbook.figure import Figure
from benchassist.specbook.fitting import at_reference, fitted
from benchassist.specbook.sheet import (
    BandSheet,
    CheckSheet,
    ClassCheckSheet,
    EngineSheet,
    OptionSheet,
    SpeedSheet,
)
from benchassist.specbook.shelf import Shelf

MEASURED: Final = frozenset({CheckKind.MEASURE, CheckKind.GAUGE})


def bands_of_classes(shelf: Shelf, translate: Callable[[str], str]) -> Iterator[Figure]:
    """Bands of the engine classes, and the checks to which a class could give one."""
    own = (check for filed in shelf.procedures.values() for check in filed.sheet.check)
    known = {check.key: check for check in chain(own, shelf.library().values())}
    for filed in sorted(shelf.engines.values(), key=lambda f: f.sheet.order):
        engine = filed.sheet
        for check in fitted(known.values(), engine).values():
            for figure in _of_class(known[check.key], engine):
                yield replace(
                    figure,
                    drawer="engines",
                    sheet_key=engine.key,
                    engine_class=engine.key,
                    band=at_reference(figure.band, engine) if figure.band else None,
                    sheet=f"{engine.key}: {translate(engine.name)}",
                    name=translate(check.title),
                    detail=translate(figure.detail) if figure.detail else "",
                )


def _of_class(check: CheckSheet, engine: EngineSheet) -> Iterator[Figure]:
    """What a class says of a check, or could say: not where options or a sum judge for all."""
    said = engine.checks.get(check.key, ClassCheckSheet())
    where: Where = ("checks", check.key)
    key = f"engines/{engine.key}/{check.key}"
    points = said.probe_points or check.probe_points
    if said.options:
        yield from _of_options(said.options, key, where, points, check)
    elif said.band or (_is_measured(check) and not check.band):
        band = _band(said, key, where, points=check.probe_points, check=check)
        yield replace(band, says_where=True)


def _is_measured(check: CheckSheet) -> bool:
    """Whether a check could have one band."""
    return (
        check.quantity is not None
        and check.kind in MEASURED
        and not (check.options or check.sum_of)
    )


def bands_of_checks(shelf: Shelf, translate: Callable[[str], str]) -> Iterator[Figure]:
    """Bands of the library, which hold for every class that says nothing else."""
    for filed in shelf.checks.values():
        check = filed.sheet
        key = f"checks/{check.key}"
        figures = [*_of_options(check.options, key, (), check.probe_points, check)]
        if check.band:
            figures.append(_band(check, key, (), points="", check=check))
        if check.run is not None and check.run.speeds is not None:
            figures += _of_speeds(check.run.speeds, key, ("run", "speeds"), "")
        for figure in figures:
            yield replace(
                figure,
                drawer="checks",
                sheet_key=check.key,
                sheet=_("All classes"),
                name=translate(check.title),
                detail=translate(figure.detail) if figure.detail else "",
            )


def _of_options(
    options: tuple[OptionSheet, ...], key: str, where: Where, points: str, check: CheckSheet
) -> Iterator[Figure]:
    for number, option in enumerate(options):
        here = (*where, "options", number)
        if option.speeds is not None:
            yield from _of_speeds(
                option.speeds, f"{key}/{option.key}", (*here, "speeds"), option.text
            )
        elif check.quantity is not None:
            yield replace(
                _band(option, f"{key}/{option.key}", here, points=points, check=check),
                detail=option.text,
            )


def _band(sheet: BandSheet, key: str, where: Where, *, points: str, check: CheckSheet) -> Figure:
    return Figure(
        key=key,
        kind=SpecKind.BAND,
        drawer="",
        sheet_key="",
        where=where,
        field="band",
        noted=where,
        inherited=points,
        quantity=check.quantity,
        check_key=check.key if check.kind in MEASURED else "",
        option_key=sheet.key if isinstance(sheet, OptionSheet) else "",
        band=replace(sheet, probe_points=sheet.probe_points or points),
        sheet="",
        name="",
        stated=Stated(
            value=sheet.band,
            source=str(sheet.source or ""),
            note=sheet.note,
            measured=sheet.probe_points or points,
        ),
    )


def _of_speeds(speeds: SpeedSheet, key: str, where: Where, text: str) -> Iterator[Figure]:
    for field, words in (
        ("low", _("low idle")),
        ("high", _("high idle")),
        ("fall", _("time to fall")),
        ("recover", _("time to recover")),
        ("rated", _("rated")),
    ):
        value: str = getattr(speeds, field)
        if value:
            yield Figure(
                key=f"{key}/{field}",
                kind=SpecKind.BAND,
                drawer="",
                sheet_key="",
                where=where,
                field=field,
                noted=where,
                quantity=Quantity.DURATION if field in {"fall", "recover"} else Quantity.SPEED,
                sheet="",
                name="",
                detail=", ".join(word for word in (text, words) if word),
                stated=Stated(value=value, source=str(speeds.source or ""), note=speeds.note),
                shared=True,
            )
