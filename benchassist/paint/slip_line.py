"""One line of a slip, laid out for the screen's narrow paper or for a printed row.

The same words in the same order; only where they stand differs.
"""

from dataclasses import dataclass

from PySide6.QtCore import QRectF

from benchassist.core.slip import Ink, Line
from benchassist.paint.lettering import RIGHT, SMALLEST, Style, balance, fit, wrap
from benchassist.paint.palette import Palette
from benchassist.paint.slip_mark import (
    Block,
    GlyphMark,
    Mark,
    PencilMark,
    RuleMark,
    RulerMark,
    TextMark,
)


@dataclass(frozen=True, slots=True)
class Voice:
    """The colours and marks a line speaks in, by how it stands on the slip."""

    name: str
    value: str
    small: str
    word: str
    struck: bool


def voice_of(line: Line, palette: Palette) -> Voice:
    """Pencil until it is on disk, then ink; struck when redone; faint while still to do."""
    match line.ink:
        case Ink.PENCIL:
            return Voice(palette.pencil, palette.pencil, palette.pencil, palette.pencil, False)
        case Ink.STRUCK:
            return Voice(palette.faint, palette.faint, palette.faint, palette.faint, True)
        case Ink.TO_DO | Ink.SKIPPED:
            return Voice(palette.dim, palette.dim, palette.dim, palette.dim, False)
        case _:
            return Voice(palette.ink, palette.ink, palette.dim, palette.text(line.verdict), False)


def value_marks(
    line: Line,
    voice: Voice,
    *,
    right: float,
    baseline: float,
    width: float,
    sizes: tuple[int, int, int],
) -> tuple[tuple[TextMark, ...], float]:
    """The value with its doubt, or the words in its place, ending at `right`; and where it begins.

    `sizes` are those of value, doubt and words. Words too long for `width` run over two lines.
    """
    value_px, doubt_px, words_px = sizes
    if not line.value:
        style = Style(
            px=words_px,
            weight=700 if line.ink is Ink.INK else 500,
            color=voice.value,
            align=RIGHT,
            struck=voice.struck,
        )
        if not line.words:
            return (), right
        if style.width(line.words) > width:
            style = style.sized(min(words_px, max(SMALLEST, words_px - 2)))
        rows = balance(line.words, width, style)
        marks = tuple(
            TextMark(x=right, baseline=baseline + row * (style.px + 3.0), text=text, style=style)
            for row, text in enumerate(rows)
        )
        return marks, right - max(style.width(row) for row in rows)
    doubt = Style(px=doubt_px, color=voice.small, align=RIGHT, struck=voice.struck)
    marks_list: list[TextMark] = []
    at = right
    if line.doubt:
        marks_list.append(TextMark(x=right, baseline=baseline, text=line.doubt, style=doubt))
        at -= doubt.width(line.doubt) + 6.0
    style = Style(px=value_px, weight=800, color=voice.value, align=RIGHT, struck=voice.struck)
    shown, fitted = fit(line.value, max(40.0, width - (right - at)), style)
    marks_list.append(
        TextMark(x=at, baseline=baseline, text=shown, style=fitted, dotted=line.typed)
    )
    return tuple(marks_list), at - fitted.width(shown)


def screen_line(line: Line, width: float, palette: Palette) -> Block:
    """A line on the slip beside the bench: 49 high once it holds something, 31 before.

    x runs from 0 at the number to `width`; a pencil stands left of that in the margin.
    """
    voice = voice_of(line, palette)
    marks: list[Mark] = []
    number = Style(px=17, color=voice.name if line.ink is Ink.STRUCK else palette.dim)
    marks.append(TextMark(x=0.0, baseline=21.0, text=str(line.number), style=number))
    name_x = 20.0 if line.number < 10 else 29.0
    value, value_left = value_marks(
        line, voice, right=width, baseline=21.0, width=0.58 * width, sizes=(19, 16, 17)
    )
    name = Style(px=17, color=voice.name, struck=voice.struck)
    rows = balance(line.name, value_left - name_x - 10.0, name)
    if len(rows) > 1:
        rows = balance(line.name, value_left - name_x - 10.0, name.sized(16))
        name = name.sized(16)
    marks += [
        TextMark(x=name_x, baseline=21.0 + 19.0 * row, text=text, style=name)
        for row, text in enumerate(rows)
    ]
    marks += value
    y = 31.0 + 19.0 * max(0, len(rows) - 1, len(value) - 1 if not line.value else 0)
    if line.ink in {Ink.INK, Ink.PENCIL} and (line.ruler is not None or line.verdict_text):
        marks += _second_row(line, voice, name_x, width, y)
        y += 18.0
    for note in line.notes:
        style = Style(px=SMALLEST, color=voice.small, struck=False)
        for text in wrap(note, width - name_x, style):
            marks.append(TextMark(x=name_x, baseline=y + 11.0, text=text, style=style))
            y += 18.0
    if line.ink is Ink.PENCIL:
        marks.append(PencilMark(rect=QRectF(-22.0, 9.0, 20.0, 20.0)))
        rule = RuleMark(left=0.0, right=width, y=y, color=palette.ink, width=2.0, dashed=True)
    else:
        rule = RuleMark(left=0.0, right=width, y=y, color=palette.rule)
    return Block(y, (*marks, rule))


def _second_row(line: Line, voice: Voice, left: float, right: float, y: float) -> list[Mark]:
    """The ruler at the left, the verdict's sign and word at the right."""
    marks: list[Mark] = []
    word = Style(px=SMALLEST, weight=700, color=voice.word, align=RIGHT)
    room = right - left - (176.0 + 10.0 if line.ruler is not None else 0.0) - 46.0
    ruler_width = 176.0
    if line.ruler is not None and word.width(line.verdict_text) > room:
        ruler_width = max(96.0, 176.0 - (word.width(line.verdict_text) - room))
        room += 176.0 - ruler_width
    shown, fitted = fit(line.verdict_text, room, word)
    marks.append(TextMark(x=right, baseline=y + 12.0, text=shown, style=fitted))
    if line.verdict is not None:
        edge = right - fitted.width(shown) - 9.0
        marks.append(
            GlyphMark(
                rect=QRectF(edge - 37.0, y - 1.0, 37.0, 15.5), verdict=line.verdict, side=line.side
            )
        )
    if line.ruler is not None:
        marks.append(RulerMark(rect=QRectF(left, y - 4.0, ruler_width, 22.0), ruler=line.ruler))
    return marks
