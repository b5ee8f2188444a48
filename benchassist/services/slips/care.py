"""The slip's last words: what to take care of, and where its bands come from."""

from benchassist.core.band import BandSource
from benchassist.core.entry import Noted
from benchassist.core.visit import Visit
from benchassist.services import wording
from benchassist.services.slips import findings as slip_findings
from benchassist.services.translation import _


def care_text(visit: Visit) -> str:
    """What is still to be done, what was noted, and who has the last word."""
    parts = [
        _("{title} is not done: do not run it before that.").format(title=check.title)
        for check in visit.open_obligations()
    ]
    parts += [e.text for e in visit.entries if isinstance(e, Noted) and not e.check_key]
    parts.append(
        slip_findings.return_text(visit)
        or _("If it happens again, note the minutes, let it cool and call us.")
    )
    parts.append(bands_text(visit))
    parts.append(_("The maker’s manual has the last word."))
    return " ".join(parts)


def bands_text(visit: Visit) -> str:
    """Where the bands come from that readings were judged by."""
    others: dict[str, list[str]] = {}
    for check in visit.procedure.checks:
        for taken in visit.taken(check.key):
            band = taken.band
            if band is not None and band.source is not BandSource.COMMON_PRACTICE:
                others.setdefault(wording.source_text(band), []).append(check.short)
    if not others:
        return _("Bands are common practice unless marked otherwise.")
    named = (f"{', '.join(dict.fromkeys(steps))}: {text}" for text, steps in others.items())
    return _("Bands are common practice, except {others}.").format(others="; ".join(named))
