"""A server that is lost, and what was brought back to it, in a line each."""

from datetime import datetime, timedelta
from typing import Final

from benchassist.core.away import Away, Delivered
from benchassist.services.front.lease_text import hour_text
from benchassist.services.translation import _, ngettext

TOLD_FOR: Final = timedelta(seconds=60)
"""How long it is said that everything was delivered; where numbers changed, for an hour."""
CHANGES_TOLD_FOR: Final = timedelta(hours=1)


def kept_text(readings: int, runs: int, entries: int) -> str:
    """'7 readings and 1 run'; where there are none, whether anything was written."""
    parts = []
    if readings:
        parts.append(ngettext("{n} reading", "{n} readings", readings).format(n=readings))
    if runs:
        parts.append(ngettext("{n} run", "{n} runs", runs).format(n=runs))
    if parts:
        return _(" and ").join(parts)
    return ngettext("{n} entry", "{n} entries", entries).format(n=entries) if entries else ""


def away_text(away: Away) -> str:
    """'Server lost since 10:42: 7 readings kept on this computer, delivered when it is back'."""
    kept = kept_text(away.readings, away.runs, away.entries)
    if away.outdated:
        return _("{head}. Kept till then: {kept}").format(
            head=_outdated(), kept=kept or _("what is taken")
        )
    kept = kept or _("what is taken is")
    return _("{head}: {kept} kept on this computer, delivered when it is back").format(
        head=_head(away), kept=kept
    )


def _head(away: Away) -> str:
    since = hour_text(away.since)
    if away.said:
        return _("Server refuses this bench since {time} ({said})").format(
            time=since, said=away.said
        )
    return _("Server lost since {time}").format(time=since)


def _outdated() -> str:
    return _("Another bench has a newer program: close and update this one")


def counter_away_text(away: Away) -> str:
    """The same at the counter, where most of the shop is missing."""
    if away.outdated:
        text = _("{head}. Only what is on this computer shows").format(head=_outdated())
    else:
        text = _("{head}: only what is on this computer shows").format(head=_head(away))
    if kept := kept_text(away.readings, away.runs, away.entries):
        text += ". " + _("Kept for it: {kept}").format(kept=kept)
    return text


def delivered_text(delivered: Delivered, now: datetime) -> str:
    """What was brought back, with every visit that has another number now; empty after a while."""
    told = [
        *(
            _("visit {was} was gone on with elsewhere: this bench's part is {number}").format(
                was=was, number=number
            )
            for was, number in delivered.apart
        ),
        *(
            _("visit {was} is {number} now: its number was taken").format(was=was, number=number)
            for was, number in delivered.renumbered
        ),
        *(
            _("tag {tag} is on more than one machine: change one in its file (F9)").format(tag=tag)
            for tag in delivered.tags
        ),
    ]
    if now - delivered.at > (CHANGES_TOLD_FOR if told else TOLD_FOR):
        return ""
    kept = kept_text(delivered.readings, delivered.runs, delivered.entries)
    head = _("Server back, delivered: {kept}").format(kept=kept) if kept else _("Server back")
    return "; ".join([head, *told])
