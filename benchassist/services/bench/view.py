"""What the bench screen shows, as one value: the window paints it and decides nothing.

`services/bench` makes a new one at every tick; two equal views need no repaint.
Texts are final, translated and already in the shop's units.
"""

from dataclasses import dataclass, field
from enum import StrEnum

from benchassist.core.band import Side, Verdict
from benchassist.core.ruler import Ruler
from benchassist.core.slip import Ink, Line
from benchassist.services.runs.view import RunView


class NumberState(StrEnum):
    """How the number block stands (ui states picture)."""

    NO_METER = "no_meter"
    WAITING = "waiting"
    MOVING = "moving"
    STEADYING = "steadying"
    HELD = "held"
    """Steady and not taken: cannot tell, or barred; the jaws meet hatched."""
    WRITING = "writing"
    """Handed to the writer, not yet on disk: still pencil."""
    TAKEN = "taken"
    STALE = "stale"
    OVERLOAD = "overload"
    TYPING = "typing"
    TYPED = "typed"


class Ask(StrEnum):
    """What the bench asks for now; the drawing and number make room for it."""

    READING = "reading"
    OPTION = "option"
    LOOK = "look"
    TEXT = "text"
    """One line of text: a typed reading, a note, a temperature, work done."""
    RUN = "run"
    """A run is prepared, made or looked at: `BenchView.run` says what shows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RibbonItem:
    """One step on the ribbon."""

    key: str
    number: int
    short: str
    current: bool = False
    ink: Ink = Ink.TO_DO
    verdict: Verdict | None = None
    side: Side | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """The number block. `digits` is empty where no number may be shown."""

    state: NumberState
    digits: str = ""
    unit: str = ""
    words: str = ""
    """Shown in place of digits: 'Above range'."""
    jaws: float = 0.0
    """0 open to 1 met."""
    jaw_word: str = ""
    jaw_hint: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One answer or marking to press a number key for."""

    key: str
    press: str
    text: str
    chosen: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Fix:
    """A way to settle what the meter cannot tell, on a tile."""

    press: str
    title: str
    text: str
    best: bool = False
    ruler: Ruler | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyHint:
    """A key on the strip at the bottom. `press` as printed on the key; `main` is the yellow one."""

    press: str
    text: str
    action: str
    main: bool = False
    pedal: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """Readings of this check in the last minute: seconds before now (negative) and values.

    `limits` are in the same scaled unit as the values; None where open.
    """

    seconds: tuple[float, ...] = ()
    values: tuple[float | None, ...] = ()
    low: float | None = None
    high: float | None = None
    unit: str = ""
    summary: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What came to be on disk and stands on no step's line: a lead zero, the known resistor."""

    text: str
    verdict: Verdict | None = None
    side: Side | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipHead:
    """The top of the slip panel."""

    title: str
    date_text: str
    customer: str
    unit_text: str
    engine_text: str
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchView:
    """Everything the bench screen shows."""

    head: SlipHead
    lines: tuple[Line, ...]
    current_line: int
    did: tuple[str, ...]
    proved: tuple[str, ...]
    not_proved: tuple[str, ...]
    place_text: str
    """Top bar: 'Quits hot, 9 steps'."""
    meter_text: str
    meter_live: bool
    leads_text: str
    ribbon: tuple[RibbonItem, ...]
    title: str
    step_text: str
    setting_label: str
    setting: str
    touch_label: str
    touch: str
    cautions: tuple[str, ...]
    """In full, to be read before the probes touch."""
    caution_shorts: tuple[str, ...] = ()
    """The same hazards in a few words each, for while the work is done."""
    sketch: str
    number: Number
    ask: Ask = Ask.READING
    ruler: Ruler | None = None
    verdict: Verdict | None = None
    side: Side | None = None
    verdict_text: str = ""
    so_far_text: str = ""
    reasons: tuple[str, ...] = ()
    fixes: tuple[Fix, ...] = ()
    question: str = ""
    choices: tuple[Choice, ...] = ()
    text_label: str = ""
    text_hint: str = ""
    text_error: str = ""
    keys: tuple[KeyHint, ...] = ()
    keys_note: str = ""
    strip: Strip = field(default_factory=Strip)
    banner: str = ""
    closed: bool = False
    heard: Told | None = None
    """For one tick only: what to tell by ear of it."""
    run: RunView | None = None
    """There on a RUN check, whatever else is asked."""
