"""What the counter and its forms show, as values: the window paints them and decides nothing."""

from dataclasses import dataclass
from enum import StrEnum

from benchassist.core.band import Side, Verdict
from benchassist.core.ruler import Ruler


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipCard:
    """An open visit. `done` of `steps` are answered; `place_text` says so: 'step 5 of 6'.

    `elsewhere`: another bench, or another window, has it on.
    """

    visit_id: str
    slip_text: str
    customer: str
    unit_text: str
    said: str
    done: int
    steps: int
    place_text: str
    elsewhere: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LastLine:
    """One reading of a machine's last visit."""

    name: str
    value: str = ""
    ruler: Ruler | None = None
    verdict: Verdict | None = None
    side: Side | None = None
    verdict_text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineCard:
    """A machine that was found. `open_visit_id` is its visit still open, empty if none is.

    `whole`: it has what its last visit came to, and what was fitted.
    """

    machine_id: str
    customer: str
    tag_text: str
    unit_text: str
    visits_text: str = ""
    parts_text: str = ""
    last_title: str = ""
    last_lines: tuple[LastLine, ...] = ()
    open_visit_id: str = ""
    open_visit_text: str = ""
    whole: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class CounterView:
    """What the counter shows for a search. Machines come best first.

    `close`: none has the words as they were typed, so that none is to be taken for the one meant.
    `nothing_text` says why no machine shows, where that is no sign that there is none.
    `home_text` says where the shop is kept, where that is not this computer.
    """

    query: str = ""
    slips: tuple[SlipCard, ...] = ()
    machines: tuple[MachineCard, ...] = ()
    found_text: str = ""
    close: bool = False
    nothing_text: str = ""
    closed_text: str = ""
    home_text: str = ""
    meter_text: str = ""
    meter_live: bool = False
    banner: str = ""


class FieldKind(StrEnum):
    """How a field of a form is answered."""

    WORDS = "words"
    MINUTES = "minutes"
    CHOICE = "choice"


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldChoice:
    """One answer; its number key is its place in the list, from 1."""

    key: str
    text: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field of the new-machine form, or one question of the interview.

    `value` is what stands in it at first: words, minutes as text, or the key of a choice.
    `open_ended` may be left empty.
    """

    key: str
    label: str
    hint: str = ""
    kind: FieldKind = FieldKind.WORDS
    value: str = ""
    choices: tuple[FieldChoice, ...] = ()
    open_ended: bool = True


COMPLAINT = "complaint"
"""Key of the interview's first question; its answer decides the others."""
