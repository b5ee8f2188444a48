"""What a visit writes down of its findings and its repair; as `core/entry.py`, never edited."""

from dataclasses import dataclass
from enum import StrEnum

from benchassist.core.stake import Stake
from benchassist.core.stamp import Stamp
from benchassist.core.swap import Trial


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceSet:
    """A person says how a piece of evidence turned out, whatever was measured, and why.

    `outcome` None sets it aside. The last one on a piece of evidence holds; `lifted` ends it.
    """

    stamp: Stamp
    evidence: str
    outcome: str | None = None
    reason: str = ""
    lifted: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapTried:
    """A run with the old or the new part in; `bundled` names what else was changed with it.

    `share` is how often a cycle shows the fault, as it was stated then; None where it was not.
    """

    stamp: Stamp
    part: str
    trial: Trial
    bundled: tuple[str, ...] = ()
    share: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PartFitted:
    """A part fitted. `cost` in the currency named; `old_kept`: the old part is kept, labelled."""

    stamp: Stamp
    part: str
    name: str
    number: str = ""
    lot: str = ""
    cost: float | None = None
    currency: str = ""
    old_kept: bool = False
    check_key: str = ""


class Service(StrEnum):
    """Work done whatever was found."""

    ENGINE_OIL = "engine_oil"
    PUMP_OIL = "pump_oil"
    AIR_FILTER = "air_filter"
    FUEL_FILTER = "fuel_filter"
    CARBURETTOR = "carburettor"
    LINKAGE = "linkage"
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class Serviced:
    """A piece of service. `grade` is SAE or ISO VG for oil, `quantity` cubic metres filled."""

    stamp: Stamp
    service: Service
    grade: str = ""
    quantity: float | None = None
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Decided:
    """Replace or keep, with the figures it stood on, and whose choice it was."""

    stamp: Stamp
    part: str
    replaced: bool
    by_customer: bool
    stake: Stake | None = None
    chance: float | None = None
    """The chance of a comeback that was shown beside the break-even."""
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proved:
    """A run of the repaired machine: clean seconds under load, whether it restarted from a soak."""

    stamp: Stamp
    seconds: float
    fault: bool = False
    soak_restart: bool | None = None
