"""What may be heard: a short sound, and the sentence a voice says after it."""

from dataclasses import dataclass
from enum import StrEnum


class Cue(StrEnum):
    """A sound of its own for everything that must be told apart without looking."""

    IN_BAND = "in_band"
    OUT_LOW = "out_low"
    OUT_HIGH = "out_high"
    TOO_CLOSE = "too_close"
    CANNOT_TELL = "cannot_tell"
    TAKEN = "taken"
    """Taken where there is no band to hold it against; also a display that matched."""
    LOOKED = "looked"
    ALARM = "alarm"
    """A break has just opened in a run, or an engine is too fast."""
    LINK_LOST = "link_lost"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Heard:
    """A cue, and what a voice says of it; nothing where the text is empty."""

    cue: Cue
    text: str = ""
