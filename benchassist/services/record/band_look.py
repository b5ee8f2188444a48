"""A learned band that is asked for, what it is learned from, and what is known of it now."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from benchassist.core.band import Band
from benchassist.core.entry import PartMarked
from benchassist.core.own_band import Coverage, OwnBand
from benchassist.core.own_mark import MarkedReading
from benchassist.core.quantity import Quantity
from benchassist.services.errand import Errand
from benchassist.services.record.own_parts import learned_band

Marks = tuple[MarkedReading, ...]
Said = Mapping[str, PartMarked]
"""What was last said here of readings, by their ids: on disk, or on its way there."""


@dataclass(frozen=True, slots=True)
class Look:
    """A band as far as it is known; None for none yet. `coming`: it is being found out."""

    band: OwnBand | None = None
    coming: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Which band: of a check on engine classes that share one, beside the band in force."""

    check_key: str
    quantity: Quantity
    classes: frozenset[str]
    option_key: str
    beside: Band | None
    coverage: Coverage

    def among(self, marks: Iterable[MarkedReading], said: Said) -> Marks:
        """Those of a check's marks that it is learned from, as they were last said here."""
        return tuple(
            _as_said(mark, said)
            for mark in marks
            if mark.engine_class in self.classes and mark.option_key == self.option_key
        )

    def band_of(self, mine: Marks) -> OwnBand:
        """What these make."""
        return learned_band(mine, self.quantity, beside=self.beside, coverage=self.coverage)


@dataclass(frozen=True, slots=True)
class Learned:
    """All marks of a check as the store has them, those a band is learned from, and the band."""

    marks: Marks
    mine: Marks
    band: OwnBand


@dataclass(frozen=True, slots=True)
class Lesson:
    """A band that is being learned beside the window."""

    asked: Asked
    errand: Errand[Learned]


def _as_said(mark: MarkedReading, all_said: Said) -> MarkedReading:
    """A mark with what was said here of its reading since."""
    said = all_said.get(mark.taken.stamp.id)
    if said is None or said.stamp.at < mark.marked_at:
        return mark
    return replace(mark, good=said.good, reason=said.reason, marked_at=said.stamp.at)
