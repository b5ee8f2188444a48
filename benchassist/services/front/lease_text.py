"""Which bench works on a visit, in words."""

from datetime import datetime

from benchassist.core.lease import Lease
from benchassist.core.slip_number import before_apart
from benchassist.core.visit import VisitHeader
from benchassist.services.translation import _


def slip_text(number: str, *, apart: bool = False) -> str:
    """'slip 0412'; of what was worked apart, 'slip 0412-2, apart from 0412'."""
    if not apart:
        return _("slip {number}").format(number=number)
    return _("slip {number}, apart from {was}").format(number=number, was=before_apart(number))


def apart_note(header: VisitHeader) -> str:
    """What the slip says of a visit that was worked apart; empty for any other."""
    if not header.apart_of:
        return ""
    was = before_apart(header.slip_number)
    if not header.bench:
        return _("Worked apart from {was}: see that slip too.").format(was=was)
    return _("Worked apart from {was} on bench {bench}: see that slip too.").format(
        was=was, bench=header.bench
    )


def hour_text(at: datetime) -> str:
    """The time of day in the shop's own zone: 10:42."""
    return at.astimezone().strftime("%H:%M")


def on_bench_text(lease: Lease) -> str:
    """Where a visit is under work, in a few words."""
    if lease.here:
        return _("in another window")
    return _("on bench {bench}").format(bench=lease.bench)


def held_text(number: str, lease: Lease) -> str:
    """Why a visit cannot be gone on with here, and what to do."""
    since = hour_text(lease.since)
    if lease.here:
        return _(
            "Visit {number} is open in another window of this program since {time}. "
            "Leave it there first."
        ).format(number=number, time=since)
    return _(
        "Visit {number} is on bench {bench} since {time}. "
        "Leave it there first; if that bench is off, wait a minute."
    ).format(number=number, bench=lease.bench, time=since)


def taken_over_text(bench: str) -> str:
    """What the bench shows once another has gone on with its visit."""
    if not bench or bench == "?":
        return _("Another bench has taken this visit over: leave it here (Esc), it goes on there.")
    return _(
        "Bench {bench} has taken this visit over: leave it here (Esc), it goes on there."
    ).format(bench=bench)


def kept_apart_text(number: str, was: str) -> str:
    """What the bench shows once its part of a visit is kept beside what another bench wrote."""
    return _(
        "Another bench went on with visit {was} meanwhile: what is written here is kept beside it, "
        "as {number}."
    ).format(was=was, number=number)
