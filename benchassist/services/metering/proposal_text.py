"""Listening and what it brought, in words. A proposal never sounds like a claim."""

from datetime import datetime

from benchassist.core.link import ListeningEnd, ListeningOn, Proposal, Surety
from benchassist.services.bench.condition_text import day_text
from benchassist.services.metering.meter_memory import KnownMeter
from benchassist.services.translation import _, ngettext


def listening_text(port: str, on: ListeningOn | None = None) -> str:
    """Where a search stands."""
    if on is None:
        return _("Listening on {port}").format(port=port)
    return _("Listening on {port}: {line}, line {number} of {of}").format(
        port=port, line=on.line, number=on.number, of=on.of
    )


def asking_text(on: ListeningOn) -> str:
    """A meter is spoken to, because nothing came by itself."""
    return _("Asking on {port}: {line}").format(port=on.port, line=on.line)


def ended_text(end: ListeningEnd) -> str:
    """What came of it and what to do now."""
    if end.detail:
        return end.detail
    if end.proposals:
        return _("Choose what fits your meter, link it, then match the display")
    if end.heard:
        return _(
            "Something comes on {port} that fits no family here: choose family and line by hand"
        ).format(port=end.port)
    return _(
        "Nothing comes on {port}: turn the meter on, its data output with it, and listen again"
    ).format(port=end.port)


def proposal_text(proposal: Proposal) -> str:
    """What is proposed: family, line and port."""
    return _("{family} at {line} on {port}").format(
        family=proposal.protocol, line=proposal.line, port=proposal.port
    )


def sure_text(proposal: Proposal) -> str:
    """How sure it is, and by what."""
    if proposal.identity:
        text = _("Likely: it answers as {name}").format(name=proposal.identity)
    else:
        fits = ngettext("{n} block fits", "{n} blocks fit", proposal.frames)
        counted = fits.format(n=proposal.frames)
        likely = proposal.surety is Surety.LIKELY
        text = (_("Likely: {counted}") if likely else _("Possible: {counted}")).format(
            counted=counted
        )
    if (proposal.dtr, proposal.rts) == (None, None):
        return text
    return _("{text}; its lead is fed by RTS").format(text=text)


def remembered_text(known: KnownMeter, *, heard: bool) -> str:
    """When a meter was used like this before."""
    text = ", ".join(part for part in (_("Used before"), match_text(known)) if part)
    return _("{text}; heard now").format(text=text) if heard else text


def match_text(known: KnownMeter) -> str:
    """When its display was matched; empty where it is not known to have been."""
    if not known.matched_at:
        return ""
    day = day_text(datetime.fromisoformat(known.matched_at))
    return _("display matched {day}").format(day=day)
