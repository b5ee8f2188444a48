"""Where a link stands, in words beside the meter's name, and what to do about trouble."""

from benchassist.core.reading import LinkState
from benchassist.services.translation import _

_STATE = {
    LinkState.CLOSED: _("No meter"),
    LinkState.OPENING: _("Opening the port"),
    LinkState.IDENTIFYING: _("Asking the meter"),
    LinkState.LIVE: _("Meter linked"),
    LinkState.STALLED: _("No news from the meter"),
    LinkState.RESYNC: _("Finding its place"),
    LinkState.GARBAGE: _("Not understood"),
    LinkState.LOST: _("Meter lost"),
    LinkState.WAITING: _("Waiting for the meter"),
}


_FRESH = frozenset({LinkState.CLOSED, LinkState.LIVE})
"""Where no news are old."""
MINUTE, HOUR = 60.0, 3600.0


def link_text(state: LinkState, age: float | None = None) -> str:
    """The link in two or three words; how old the last news is where none comes now."""
    if age is None or state in _FRESH:
        return _STATE[state]
    if state is LinkState.STALLED:
        return _("No news for {age}").format(age=age_text(age))
    return _("{state}, last news {age} ago").format(state=_STATE[state], age=age_text(age))


def age_text(seconds: float) -> str:
    """How long something is ago, as coarse as it is long: 4 s, 12 min, 3 h."""
    if seconds < 2 * MINUTE:
        return _("{n:.0f} s").format(n=seconds)
    if seconds < 2 * HOUR:
        return _("{n:.0f} min").format(n=seconds / MINUTE)
    return _("{n:.0f} h").format(n=seconds / HOUR)


def link_trouble(state: LinkState, detail: str = "") -> str:
    """One line that says what is wrong and what to do; empty while nothing is."""
    match state:
        case LinkState.STALLED:
            told = _("The meter has gone quiet: wake it up, check its link key and its lead")
        case LinkState.GARBAGE:
            told = _("What comes in is not this meter’s: check the protocol and the line")
        case LinkState.LOST | LinkState.WAITING:
            return _("Meter lost: push its lead in again. It comes back by itself")
        case _:
            return ""
    return f"{told} ({detail})" if detail else told
