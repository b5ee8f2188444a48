"""The rows of a printed slip: a check found, a pair of before and after."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF

from benchassist.core.band import Side, Verdict
from benchassist.core.slip import Ink, Line, Pair
from benchassist.paint.lettering import RIGHT, Style, balance, wrap
from benchassist.paint.palette import Palette
from benchassist.paint.slip_line import value_marks, voice_of
from benchassist.paint.slip_mark import (
    ArrowMark,
    Block,
    GlyphMark,
    Mark,
    RuleMark,
    RulerMark,
    TextMark,
)

NAME_X = 33.0
NAME_PX = 19
_RULER_WIDTH = 300.0
_GLYPH_WIDTH, _GLYPH_HEIGHT = 46.0, 19.0
_GAP = 14.0
_ARROW = 24.0
_LEAST_PX = 10


@dataclass(frozen=True, slots=True)
class Columns:
    """Where the columns of a printed row lie, from the sheet's width between its margins."""

    width: float

    @property
    def verdict(self) -> float:
        """Left edge of the verdict's word."""
        return self.width - 146.0

    @property
    def value(self) -> float:
        """Right edge of the values."""
        return self.verdict - _GLYPH_WIDTH - 44.0

    @property
    def ruler(self) -> float:
        """Left edge of the rulers."""
        return self.value - 260.0 - _RULER_WIDTH

    @property
    def ruler_end(self) -> float:
        """Right edge of the rulers."""
        return self.ruler + _RULER_WIDTH


def found_row(line: Line, columns: Columns, palette: Palette, *, height: float) -> Block:
    """One check: number, name, ruler, value, verdict; notes below in small. At least `height`."""
    voice = voice_of(line, palette)
    middle = height / 2.0
    baseline = middle + 6.5
    number = Style(px=NAME_PX, color=palette.ink)
    marks: list[Mark] = [TextMark(x=0.0, baseline=baseline, text=str(line.number), style=number)]
    ruler = line.ruler if line.ink is not Ink.STRUCK else None
    value_room = columns.value - (columns.ruler_end + _GAP if ruler else columns.ruler)
    value, value_left = value_marks(
        line,
        voice,
        right=columns.value,
        baseline=baseline,
        width=value_room,
        sizes=(20, 17, 20),
    )
    marks += value
    name_end = columns.ruler if ruler is not None else min(value_left, columns.ruler_end)
    style = Style(px=NAME_PX, weight=600, color=voice.name, struck=voice.struck)
    names, name_extra = _wrapped(
        line.name, style, left=NAME_X, right=name_end - _GAP, baseline=baseline
    )
    marks += names
    word = Style(px=NAME_PX, weight=700, color=voice.word, struck=voice.struck)
    words, word_extra = _verdict_marks(
        line.verdict, line.side, line.verdict_text, columns, middle=middle, style=word
    )
    marks += words
    if ruler is not None:
        rect = QRectF(columns.ruler, middle - 14.0, _RULER_WIDTH, 28.0)
        marks.append(RulerMark(rect=rect, ruler=ruler))
    value_extra = 0.0 if line.value else 23.0 * max(0, len(value) - 1)
    y = height + max(name_extra, word_extra, value_extra)
    small = Style(px=16, color=palette.ink)
    for note in line.notes:
        for text in wrap(note, columns.value - NAME_X, small):
            marks.append(TextMark(x=NAME_X, baseline=y + 9.0, text=text, style=small))
            y += 20.0
    rule = RuleMark(left=0.0, right=columns.width, y=y, color=palette.rule)
    return Block(y, (*marks, rule))


def pair_row(pair: Pair, columns: Columns, palette: Palette, *, height: float) -> Block:
    """One piece of work: what, then before and after with their ruler, or words in its place."""
    middle = height / 2.0
    baseline = middle + 6.5
    marks: list[Mark] = []
    figures, left = _before_and_after(pair, columns, palette, baseline)
    marks += figures
    plain = Style(px=18, color=palette.ink)
    words_inline = bool(pair.words) and pair.ruler is None
    end = columns.ruler if pair.ruler is not None or words_inline else min(left, columns.value)
    name = Style(px=NAME_PX, weight=600, color=palette.ink)
    names, extra = _wrapped(pair.name, name, left=0.0, right=end - _GAP, baseline=baseline)
    marks += names
    if pair.ruler is not None:
        tall = 44.0 if pair.ruler.before is not None else 28.0
        lift = 6.0 if pair.ruler.before is not None else 0.0
        rect = QRectF(columns.ruler, middle - tall / 2.0 - lift, _RULER_WIDTH, tall)
        marks.append(RulerMark(rect=rect, ruler=pair.ruler))
    elif words_inline:
        words, words_extra = _wrapped(
            pair.words, plain, left=columns.ruler, right=left - _GAP, baseline=baseline
        )
        marks += words
        extra = max(extra, words_extra)
    bold = Style(px=NAME_PX, weight=700, color=palette.ink)
    verdict, verdict_extra = _verdict_marks(
        pair.verdict, pair.side, pair.verdict_text, columns, middle=middle, style=bold
    )
    marks += verdict
    y = height + max(extra, verdict_extra)
    if pair.words and not words_inline:
        for text in wrap(pair.words, columns.value, plain.sized(16)):
            marks.append(TextMark(x=0.0, baseline=y + 9.0, text=text, style=plain.sized(16)))
            y += 20.0
    rule = RuleMark(left=0.0, right=columns.width, y=y, color=palette.rule)
    return Block(y, (*marks, rule))


def _wrapped(
    text: str, style: Style, *, left: float, right: float, baseline: float
) -> tuple[list[TextMark], float]:
    """A text in one line if it can be shrunk to fit, else in several; and what height they add."""
    width = right - left
    for px in range(style.px, style.px - 3, -1):
        if style.sized(px).width(text) <= width:
            mark = TextMark(x=left, baseline=baseline, text=text, style=style.sized(px))
            return [mark], 0.0
    small = style.sized(style.px - 2)
    leading = small.px + 4.0
    rows = balance(text, width, small)
    marks = [
        TextMark(x=left, baseline=baseline + row * leading, text=shown, style=small)
        for row, shown in enumerate(rows)
    ]
    return marks, leading * (len(rows) - 1)


def _verdict_marks(
    verdict: Verdict | None,
    side: Side | None,
    text: str,
    columns: Columns,
    *,
    middle: float,
    style: Style,
) -> tuple[list[Mark], float]:
    """The sign and the word of a verdict; and what height a long word adds."""
    marks: list[Mark] = []
    if verdict is not None and not style.struck:
        left = columns.verdict - _GLYPH_WIDTH - 8.0
        rect = QRectF(left, middle - _GLYPH_HEIGHT / 2.0, _GLYPH_WIDTH, _GLYPH_HEIGHT)
        marks.append(GlyphMark(rect=rect, verdict=verdict, side=side))
    if not text:
        return marks, 0.0
    words, extra = _wrapped(
        text, style, left=columns.verdict, right=columns.width, baseline=middle + 6.5
    )
    return [*marks, *words], extra


def _before_and_after(
    pair: Pair, columns: Columns, palette: Palette, baseline: float
) -> tuple[list[Mark], float]:
    """`before → after` ending at the value column, and where it begins."""
    if not pair.after:
        return [], columns.value
    start = columns.ruler_end + _GAP if pair.ruler is not None else 0.6 * columns.ruler
    room = columns.value - start
    light = Style(px=20, color=palette.ink, align=RIGHT)
    bold = Style(px=20, weight=800, color=palette.ink, align=RIGHT)
    fixed = _ARROW + 16.0 if pair.before else 0.0
    while bold.px > _LEAST_PX and bold.width(pair.after) + light.width(pair.before) + fixed > room:
        light, bold = light.sized(light.px - 1), bold.sized(bold.px - 1)
    marks: list[Mark] = [TextMark(x=columns.value, baseline=baseline, text=pair.after, style=bold)]
    x = columns.value - bold.width(pair.after)
    if pair.before:
        marks.append(ArrowMark(left=x - 8.0 - _ARROW, right=x - 8.0, y=baseline - 0.33 * bold.px))
        x -= _ARROW + 16.0
        marks.append(TextMark(x=x, baseline=baseline, text=pair.before, style=light))
        x -= light.width(pair.before)
    return marks, x
