"""What stands for a taken reading: its part known-good, set aside, or nothing said; who may say."""

from dataclasses import dataclass
from enum import StrEnum

from benchassist.core.entry import PartMarked, Taken
from benchassist.core.own_part import tells_nothing
from benchassist.core.procedure import Check
from benchassist.core.visit import Visit
from benchassist.services.translation import _


class Said(StrEnum):
    """What a person last said of the part behind a reading."""

    NOTHING = "nothing"
    GOOD = "good"
    ASIDE = "aside"


@dataclass(frozen=True, slots=True, kw_only=True)
class Marking:
    """What stands for a reading. `refusal`: why it cannot be marked, empty where it can."""

    said: Said = Said.NOTHING
    reason: str = ""
    refusal: str = ""

    @property
    def text(self) -> str:
        """What stands, in words; empty where nothing was said."""
        match self.said:
            case Said.GOOD:
                return _("Known good")
            case Said.ASIDE:
                return _("Set aside: {reason}").format(reason=self.reason)
            case Said.NOTHING:
                return ""


def marking_of(visit: Visit, entry_id: str) -> Marking:
    """What stands for a taken reading of a visit: the latest mark counts."""
    refusal = refusal_of(visit, entry_id)
    for entry in reversed(visit.entries):
        if isinstance(entry, PartMarked) and entry.entry_id == entry_id:
            said = Said.GOOD if entry.good else Said.ASIDE
            return Marking(said=said, reason=entry.reason, refusal=refusal)
    return Marking(refusal=refusal)


def taken_in(visit: Visit, entry_id: str) -> Taken | None:
    """The taken reading of that id, None where the visit has none."""
    return next((e for e in visit.entries if isinstance(e, Taken) and e.stamp.id == entry_id), None)


def refusal_of(visit: Visit, entry_id: str) -> str:
    """Why a part cannot be marked by a reading, in one line; empty where it can."""
    taken = taken_in(visit, entry_id)
    if taken is None:
        return _("only a reading that was taken can mark its part as known good")
    if visit.is_struck(taken):
        return _("this reading was redone: mark the one that stands")
    return _refusal(visit.procedure.check(taken.check_key), taken)


def _refusal(check: Check, taken: Taken) -> str:
    if check.quantity is None or check.polarities == 2:
        return _("a step of no band, or read both ways round, teaches none")
    if taken.reading.overload or taken.judgement.value is None:
        return _("above range is no number: no band can be learned from it")
    if tells_nothing(taken, check.quantity):
        return _("the meter could not tell here: use a range that can, then mark that reading")
    return ""
