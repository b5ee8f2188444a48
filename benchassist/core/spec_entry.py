"""What a shop may change in its spec book: figures as they are written, and what is wrong there."""

from dataclasses import dataclass
from enum import StrEnum

from benchassist.core.band import Band
from benchassist.core.quantity import Quantity


class SpecKind(StrEnum):
    """What a figure is. The last three are judgement or a maker's word: a note says whose."""

    BAND = "band"
    WEIGHT = "weight"
    STRENGTH = "strength"
    ACCURACY = "accuracy"


class SpecField(StrEnum):
    """The fields of a figure, as a fault names them."""

    VALUE = "value"
    SOURCE = "source"
    NOTE = "note"
    MEASURED = "measured"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """A figure as a profile states it, every field as text; empty where it states nothing.

    `source` is a word of the profiles and `measured` says where it is measured: bands have them.
    """

    value: str = ""
    source: str = ""
    note: str = ""
    measured: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpecEntry:
    """One figure that may be changed, with its key, as it stands and as it was shipped.

    `sheet`, `name` and `detail` say what it is, from the wide to the narrow. `file` is where it
    stands. `shared`: its source and note hold for the figures beside it too.
    """

    key: str
    kind: SpecKind
    sheet: str
    name: str
    now: Stated
    detail: str = ""
    shipped: Stated | None = None
    quantity: Quantity | None = None
    file: str = ""
    shared: bool = False
    single: bool = False
    """One figure, no limits: a rated speed."""
    check_key: str = ""
    """The check whose readings a band judges; empty for anything else."""
    engine_class: str = ""
    """The class that the band is of; empty: every class that says nothing else."""
    option_key: str = ""
    """The marking that the band is of; empty: none."""
    band: Band | None = None
    """The band as it stands, None where there is none or it cannot be read."""

    @property
    def own(self) -> bool:
        """Whether the shop says something else than what was shipped."""
        return self.now != self.shipped


@dataclass(frozen=True, slots=True, kw_only=True)
class SpecFault:
    """What is wrong with a change, and the field it is in; None where it is somewhere else."""

    message: str
    field: SpecField | None = None
