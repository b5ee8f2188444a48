"""Where the parts of the bench stand, in design units (window height 768); pure and testable.

The order is message, ribbon, title, instructions, caution, drawing beside number, panel, verdict,
fixes. Nothing moves when a reading comes or goes within a step: a message halves the ribbon, and
only "Meter can't tell" squeezes the drawing to fit its two tiles.
"""

from dataclasses import dataclass

BODY = 664.0
"""Height of a page between the top bar and the key strip."""
MARGIN = 24.0
FOOT = 12.0
"""What stays free below the last part."""
RIBBON_TOP, RIBBON, RIBBON_LOW = 16.0, 44.0, 22.0
MESSAGE_TOP, MESSAGE = 4.0, 32.0
TITLE_TOP, TITLE = 64.0, 50.0
LINES_TOP, LINES = 114.0, 70.0
WORK_TOP, WORK = 194.0, 224.0
CAUTION = 44.0
SKETCH_WIDTH, SKETCH_GAP = 288.0, 32.0
PANEL, PANEL_LOW, PANEL_MOST = 154.0, 110.0, 240.0
PANEL_LEAST = 96.0
VERDICT, VERDICT_LOW = 52.0, 44.0
FIXES, FIXES_LOW = 84.0, 76.0


@dataclass(frozen=True, slots=True)
class Place:
    """A rectangle in design units."""

    x: float
    y: float
    width: float
    height: float

    @property
    def bottom(self) -> float:
        """The y just below it."""
        return self.y + self.height


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """What the present view needs room for.

    `caution`: the step has cautions, said in a row. `panel` is the height its panel asks for
    (ruler, strip, or cautions in full), 0 where it has none. `answers`: a question takes the
    number's place. `verdict`: there is one, or reasons; without them the panel takes their room.
    """

    message: bool = False
    caution: bool = False
    fixes: int = 0
    answers: int = 0
    sketch: bool = True
    panel: float = PANEL
    verdict: bool = True
    big: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchPlaces:
    """Places of the parts; None for a part that is not shown."""

    message: Place | None = None
    ribbon: Place | None = None
    title: Place
    lines: Place
    caution: Place | None = None
    sketch: Place | None = None
    number: Place | None = None
    answers: Place | None = None
    panel: Place | None = None
    verdict: Place
    fixes: Place | None = None


def bench_places(width: float, need: Need, height: float = BODY) -> BenchPlaces:
    """Places on a bench of that many design units, origin at its top left.

    A taller page, as on a squarer screen, gives its height to drawing and number.
    """
    height = max(height, BODY)
    return _big(width, need, height) if need.big else _usual(width, need, height)


def _usual(width: float, need: Need, height: float) -> BenchPlaces:
    x, wide = MARGIN, width - 2 * MARGIN
    tight = bool(need.fixes) and not need.answers
    top, bottom = WORK_TOP, height - FOOT
    caution = None
    if need.caution:
        caution = Place(x, top - 4, wide, CAUTION)
        top = caution.bottom + (5 if tight else 10)
    fixes = None
    if tight:
        high = FIXES_LOW if caution else FIXES
        fixes = Place(x, bottom - high, wide, high)
        bottom = fixes.y - 4
    high = VERDICT_LOW if fixes and caution else VERDICT
    verdict = Place(x, bottom - high, wide, high)
    bottom = verdict.y - 8
    panel = None
    if need.panel:
        spare = 0.0 if need.verdict else verdict.bottom - bottom
        high = PANEL_LOW if tight else min(PANEL_MOST, max(PANEL, need.panel - spare))
        if need.answers:
            high = max(PANEL_LEAST, min(high, bottom - 16 - top - answers_height(need.answers)))
        panel = Place(x, bottom - high, wide, high + spare)
        bottom = panel.y - (10 if tight else 16)
    most = bottom - top if need.answers else min(bottom - top, WORK + height - BODY)
    sketch = Place(x, top, SKETCH_WIDTH, min(most, WORK + height - BODY)) if need.sketch else None
    left = x + SKETCH_WIDTH + SKETCH_GAP if sketch else x
    work = Place(left, top, x + wide - left, most)
    ribbon = Place(x, RIBBON_TOP, wide, RIBBON)
    message = None
    if need.message:
        message = Place(x, MESSAGE_TOP, wide, MESSAGE)
        ribbon = Place(x, RIBBON_TOP + RIBBON - RIBBON_LOW, wide, RIBBON_LOW)
    return BenchPlaces(
        message=message,
        ribbon=ribbon,
        title=Place(x, TITLE_TOP, wide, TITLE),
        lines=Place(x, LINES_TOP, wide, LINES),
        caution=caution,
        sketch=sketch,
        number=None if need.answers else work,
        answers=work if need.answers else None,
        panel=panel,
        verdict=verdict,
        fixes=fixes,
    )


def answers_height(answers: int) -> float:
    """The least height for a question of two lines and its answers, 44 high, in two columns."""
    return 76.0 + 52.0 * ((answers + 1) // 2)


def _big(width: float, need: Need, height: float) -> BenchPlaces:
    """For reading from three metres: no drawing, no slip, no ruler; everything twice the size."""
    x, wide = MARGIN, width - 2 * MARGIN
    message = Place(x, MESSAGE_TOP, wide, 44) if need.message else None
    down = message.bottom if message else 6.0
    title = Place(x, down + 4, wide, 80)
    lines = Place(x, title.bottom, wide, 114)
    caution = Place(x, lines.bottom + 4, wide, 70) if need.caution else None
    top = (caution.bottom if caution else lines.bottom) + 8
    bottom = height - FOOT + 4
    fixes = None
    if need.fixes:
        fixes = Place(x, bottom - 92, wide, 92)
        bottom = fixes.y - 8
    verdict = Place(x, bottom - 80, wide, 80)
    block = Place(x, top, wide, verdict.y - 8 - top)
    return BenchPlaces(
        message=message,
        title=title,
        lines=lines,
        caution=caution,
        number=None if need.answers else block,
        answers=block if need.answers else None,
        verdict=verdict,
        fixes=fixes,
    )
