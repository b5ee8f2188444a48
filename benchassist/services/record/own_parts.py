"""From readings marked known-good to the values a band is learned from, beside another band."""

from collections.abc import Iterable
from dataclasses import replace

from benchassist.core.band import Band
from benchassist.core.own_band import Coverage, OwnBand, Sides, own_band
from benchassist.core.own_mark import MarkedReading
from benchassist.core.own_part import own_part
from benchassist.core.quantity import Quantity


def learned_band(
    marks: Iterable[MarkedReading],
    quantity: Quantity,
    *,
    beside: Band | None = None,
    coverage: Coverage | None = None,
) -> OwnBand:
    """The band that marked readings make of a quantity.

    `beside` is the band it will stand beside: it lends the sides that have a limit, the
    temperature, the copper law and the probe points. Marks are of one check, and of engine classes
    and a marking that one band holds for: who gathers them sees to that.
    """
    copper = beside is not None and beside.copper
    celsius = beside.reference_celsius if beside is not None else 20.0
    parts = (
        own_part(
            mark.taken,
            part=mark.name,
            quantity=quantity,
            copper=copper,
            reference_celsius=celsius,
            set_aside=None if mark.good else mark.reason,
            struck=mark.struck,
            tag=mark.machine_tag,
        )
        for mark in marks
    )
    return own_band(
        parts,
        quantity=quantity,
        coverage=replace(coverage or Coverage(), sides=sides_beside(beside)),
        copper=copper,
        reference_celsius=celsius,
        probe_points=beside.probe_points if beside is not None else "",
    )


def sides_beside(beside: Band | None) -> Sides:
    """Which limits a learned band has: those of the band it stands beside, both without one."""
    if beside is None or (beside.lower is not None and beside.high is not None):
        return Sides.BOTH
    return Sides.LOW if beside.lower is not None else Sides.HIGH
