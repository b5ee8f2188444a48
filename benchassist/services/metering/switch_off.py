"""A meter that may switch itself off in the middle of something long."""

from typing import Final

from benchassist.services.translation import _

LONG_S: Final = 300.0
"""Hand-held meters switch themselves off after five minutes or more (common practice)."""
BENCH_INSTRUMENTS: Final = frozenset({"scpi"})
"""Families of instruments that run from the mains and have no such timer."""


def switch_off_warning(protocol: str, seconds: float | None) -> str:
    """What to be told before reading a meter of this family for so long; empty for nothing.

    `seconds` is None where nobody knows how long it will take.
    """
    is_short = seconds is not None and seconds < LONG_S
    if is_short or not protocol or protocol in BENCH_INSTRUMENTS:
        return ""
    return _("A hand-held may switch itself off: its booklet says how to keep it on")
