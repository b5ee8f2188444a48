"""What a finding of a run comes to in words, the same on the bench, the slip and the findings."""

from dataclasses import dataclass

from benchassist.core.band import Side, Verdict
from benchassist.core.ruler import Ruler


@dataclass(frozen=True, slots=True, kw_only=True)
class RunWords:
    """A finding as a line of the slip, final and in the shop's units.

    `words` stands where a reading has its value ('3610 rpm', '2 breaks'), `doubt` beside it
    ('±20'), `detail` as the small notes below, most telling first. `verdict` None: nothing was
    found out. `proved` and `not_proved` are sentences of the slip's closing lists.
    """

    words: str
    title: str = ""
    """The verdict as a sentence without its point, where it has one: heard, and under a plot."""
    doubt: str = ""
    detail: tuple[str, ...] = ()
    ruler: Ruler | None = None
    verdict: Verdict | None = None
    side: Side | None = None
    verdict_text: str = ""
    proved: tuple[str, ...] = ()
    not_proved: tuple[str, ...] = ()
