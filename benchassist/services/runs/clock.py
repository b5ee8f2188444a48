"""Moments and lengths of a run as they stand on screen and slip."""

from benchassist.services.translation import _


def clock_text(seconds: float) -> str:
    """Minutes and seconds, with hours past one: '6:12', '1:02:03'. Whole seconds, rounded down."""
    whole = max(0, int(seconds))
    minutes, left = divmod(whole, 60)
    hours, minutes = divmod(minutes, 60)
    if hours:
        return f"{hours}:{minutes:02d}:{left:02d}"
    return f"{minutes}:{left:02d}"


def seconds_text(seconds: float) -> str:
    """A short time as said in a sentence: '8 s', '1 min 20 s'. Whole seconds, rounded down."""
    minutes, left = divmod(max(0, int(seconds)), 60)
    if not minutes:
        return _("{s} s").format(s=left)
    if not left:
        return _("{min} min").format(min=minutes)
    return _("{min} min {s} s").format(min=minutes, s=left)
