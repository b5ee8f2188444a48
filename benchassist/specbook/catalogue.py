"""Every figure of a shelf that a shop may change, by its key."""

from collections.abc import Callable, Iterator
from itertools import chain

from benchassist.core.spec_entry import SpecKind, Stated
from benchassist.specbook.band_figure import bands_of_checks, bands_of_classes
from benchassist.specbook.cause_figure import figures_of_causes
from benchassist.specbook.fault import _
from benchassist.specbook.figure import Figure
from benchassist.specbook.sheet import MeterSheet
from benchassist.specbook.shelf import Shelf


def figures_of(shelf: Shelf, translate: Callable[[str], str]) -> dict[str, Figure]:
    """Every figure by its key: those of the engine classes, then checks, causes, meters."""
    found = chain(
        bands_of_classes(shelf, translate),
        bands_of_checks(shelf, translate),
        figures_of_causes(shelf, translate),
        _of_meters(shelf, translate),
    )
    return {figure.key: figure for figure in found}


def _of_meters(shelf: Shelf, translate: Callable[[str], str]) -> Iterator[Figure]:
    for filed in sorted(shelf.meters.values(), key=lambda f: f.sheet.order):
        yield from _of_meter(filed.sheet, translate)


def _of_meter(meter: MeterSheet, translate: Callable[[str], str]) -> Iterator[Figure]:
    for quantity, rows in meter.ranges.items():
        for number, one in enumerate(rows):
            where = ("ranges", quantity.value, number)
            yield Figure(
                key=f"meters/{meter.key}/{quantity.value}/{one.full_scale}",
                kind=SpecKind.ACCURACY,
                drawer="meters",
                sheet_key=meter.key,
                where=where,
                field="accuracy",
                noted=where,
                quantity=quantity,
                sheet=translate(meter.name),
                name=_("{range} range").format(range=one.full_scale),
                detail=quantity.value,
                stated=Stated(value=one.accuracy, note=one.note),
            )
