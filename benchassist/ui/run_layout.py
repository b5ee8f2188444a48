"""Where the parts of a run stand on the bench, in design units; pure and testable.

From the top: ribbon, title, the one thing to do now, cautions in a row, figures, plot beside what
happened, the table of an engine, verdict with the main key. Nothing moves while a run is on.
"""

from dataclasses import dataclass

from benchassist.ui.bench_layout import (
    BODY,
    FOOT,
    MARGIN,
    MESSAGE,
    MESSAGE_TOP,
    RIBBON,
    RIBBON_LOW,
    RIBBON_TOP,
    TITLE,
    TITLE_TOP,
    Place,
)

GUIDE_TOP, GUIDE, GUIDE_TWICE = 114.0, 34.0, 60.0
CAUTION, CAUTION_TWICE = 36.0, 58.0
FIGURES, FIGURES_LOW = 116.0, 92.0
EVENTS = 228.0
TABLE_HEAD, TABLE_ROW = 28.0, 32.0
VERDICT = 52.0
NOTES, NOTES_TWICE = 22.0, 40.0
MAIN = 270.0
GAP = 8.0
TALLY = 200.0
CHOICE = 52.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RunNeed:
    """What the present view needs room for.

    `caution` is the height of their row in a few words, `cautions` that in which they can be
    read in full, `notes` that of the small lines; 0 where there is none.
    `rows` are the table's, `choices` the answers to a question.
    """

    message: bool = False
    guide: bool = True
    caution: float = 0.0
    cautions: float = 0.0
    figures: int = 2
    plot: bool = True
    events: bool = True
    rows: int = 0
    tally: bool = False
    choices: int = 0
    main: bool = False
    notes: float = 0.0
    drill: bool = False
    entry: float = 0.0
    """Height of a line of text that stands where the verdict was."""
    ready: bool = False
    """Nothing runs yet: the notes are read, and take the plot's room."""
    big: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RunPlaces:
    """Places of the parts; None for a part that is not shown."""

    message: Place | None = None
    ribbon: Place | None = None
    title: Place
    guide: Place | None = None
    caution: Place | None = None
    cautions: Place | None = None
    figures: Place | None = None
    tally: Place | None = None
    plot: Place | None = None
    events: Place | None = None
    answers: Place | None = None
    table: Place | None = None
    verdict: Place
    notes: Place | None = None
    main: Place | None = None


def run_places(width: float, need: RunNeed, height: float = BODY) -> RunPlaces:
    """Places on a bench of that many design units, origin at its top left."""
    height = max(height, BODY)
    x, wide = MARGIN, width - 2 * MARGIN
    message, ribbon, title, top = _head(x, wide, need)
    guide = None
    if need.guide:
        high = 56.0 if need.big else GUIDE_TWICE if need.drill else GUIDE
        guide = Place(x, top, wide, high)
        top = guide.bottom + 4.0
    caution = None
    if need.caution:
        caution = Place(x, top, wide, max(need.caution, 52.0 if need.big else 0.0))
        top = caution.bottom + 6.0
    notes, verdict, main, bottom = _foot(x, wide, need, height)
    table = None
    if need.rows:
        high = TABLE_HEAD + TABLE_ROW * need.rows
        table = Place(x, bottom - high, wide, high)
        bottom = table.y - GAP
    figures, tally = None, None
    if need.figures:
        high = _figures_height(need, bottom - top)
        left = wide - (TALLY + 16.0 if need.tally else 0.0)
        figures = Place(x, top, left, high)
        tally = Place(x + wide - TALLY, top, TALLY, high) if need.tally else None
        top = figures.bottom + GAP
    middle = Place(x, top, wide, bottom - top)
    plot, events, answers, cautions = _middle(middle, need)
    if need.ready and need.notes and not need.choices:
        top = (cautions.bottom if cautions else top) + 2 * GAP
        notes = Place(x, top, wide, bottom - top)
    return RunPlaces(
        message=message,
        ribbon=ribbon,
        title=title,
        guide=guide,
        caution=caution,
        cautions=cautions,
        figures=figures,
        tally=tally,
        plot=plot,
        events=events,
        answers=answers,
        table=table,
        verdict=verdict,
        notes=notes,
        main=main,
    )


def _head(x: float, wide: float, need: RunNeed) -> tuple[Place | None, Place | None, Place, float]:
    """Message, ribbon, title, and where the rest begins."""
    message = Place(x, MESSAGE_TOP, wide, MESSAGE) if need.message else None
    if need.big:
        title = Place(x, (message.bottom if message else 6.0) + 4.0, wide, 80.0)
        return message, None, title, title.bottom
    ribbon = Place(x, RIBBON_TOP, wide, RIBBON)
    if message is not None:
        ribbon = Place(x, RIBBON_TOP + RIBBON - RIBBON_LOW, wide, RIBBON_LOW)
    return message, ribbon, Place(x, TITLE_TOP, wide, TITLE), GUIDE_TOP


def _foot(
    x: float, wide: float, need: RunNeed, height: float
) -> tuple[Place | None, Place, Place | None, float]:
    """Notes, verdict, main key, and where what is above them ends."""
    bottom = height - FOOT
    main = None
    left = wide
    if need.entry:
        verdict = Place(x, height - need.entry - 4.0, wide, need.entry)
        return None, verdict, None, verdict.y - GAP
    if need.main:
        high = VERDICT + max(NOTES, need.notes) + 2.0
        main = Place(x + wide - MAIN, bottom - high, MAIN, high)
        left = wide - MAIN - 16.0
    notes = None
    if need.notes and not need.ready:
        notes = Place(x, bottom - need.notes, left, need.notes)
        bottom = notes.y
    verdict = Place(x, bottom - VERDICT, left, VERDICT)
    return notes, verdict, main, min(verdict.y, main.y if main else verdict.y) - GAP


def _figures_height(need: RunNeed, room: float) -> float:
    if need.ready and not need.big:
        return FIGURES_LOW
    if need.drill:
        return min(190.0, 0.42 * room)
    if need.big:
        return max(FIGURES, 0.5 * room)
    tight = need.rows > 1 or need.cautions > 0.0
    spare = max(0.0, room - 300.0)
    return (FIGURES_LOW if tight else FIGURES) + 0.25 * spare


def _middle(
    room: Place, need: RunNeed
) -> tuple[Place | None, Place | None, Place | None, Place | None]:
    """Plot, events, answers, cautions in full: what there is shares the room."""
    cautions = answers = plot = events = None
    if need.cautions:
        high = min(need.cautions, room.height * (0.6 if need.choices else 1.0))
        cautions = Place(room.x, room.y, room.width, high)
        room = Place(room.x, cautions.bottom + GAP, room.width, room.height - high - GAP)
    side = need.events and room.width > 2.4 * EVENTS
    if need.choices:
        wide = room.width - (EVENTS + 16.0 if side else 0.0)
        answers = Place(room.x, room.y, wide, room.height)
    elif need.plot and room.height > 60.0:
        wide = room.width - (EVENTS + 16.0 if side else 0.0)
        plot = Place(room.x, room.y, wide, room.height)
    if side and room.height > 60.0:
        events = Place(room.x + room.width - EVENTS, room.y, EVENTS, room.height)
    return plot, events, answers, cautions
