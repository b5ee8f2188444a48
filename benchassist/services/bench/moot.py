"""A step that what is known has made moot: said on the bench, never skipped by itself."""

from benchassist.core.procedure import Check
from benchassist.core.visit import Visit
from benchassist.errors import InputError
from benchassist.services.findings.case import case_of
from benchassist.services.findings.next_test import is_moot
from benchassist.services.translation import _


def moot_text(visit: Visit, check: Check) -> str:
    """The offer to pass over a step, empty where it can still tell something."""
    try:
        case = case_of(visit)
    except InputError:  # its frozen figures cannot be: the findings say so
        return ""
    if case is None or case.ranking.named is None or not is_moot(case, check):
        return ""
    return _("May be passed over: whatever it shows, the causes stay as they are.")
