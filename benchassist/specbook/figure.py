"""One figure of a shelf that a shop may change, and where in its sheet it stands."""

from dataclasses import dataclass

from benchassist.core.quantity import Quantity
from benchassist.core.spec_entry import SpecKind, Stated
from benchassist.specbook.fault import Where
from benchassist.specbook.sheet import BandSheet


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A figure and where it stands: `field` of the table at `where` in a sheet of a drawer.

    Its source and note stand in the table at `noted`. `inherited` is where it is measured unless
    its own table says otherwise; a band of a class must say it itself: `says_where`. `number`: it
    may be written as a number.
    """

    key: str
    kind: SpecKind
    drawer: str
    sheet_key: str
    where: Where
    field: str
    stated: Stated
    sheet: str
    name: str
    detail: str = ""
    noted: Where = ()
    inherited: str = ""
    says_where: bool = False
    quantity: Quantity | None = None
    number: bool = False
    shared: bool = False
    check_key: str = ""
    """The check whose readings a band judges; empty for anything else."""
    engine_class: str = ""
    """The class that a band is of; empty: every class that says nothing else."""
    option_key: str = ""
    band: BandSheet | None = None
    """The band as written, at its reference temperature; None where nothing is."""
