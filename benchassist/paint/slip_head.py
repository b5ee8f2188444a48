"""The top of a printed slip: what machine, whose, and what was said of it."""

from collections.abc import Iterator
from dataclasses import dataclass

from PySide6.QtCore import QRectF

from benchassist.core.slip import Slip
from benchassist.paint.lettering import RIGHT, Style, fit, wrap
from benchassist.paint.palette import Palette
from benchassist.paint.slip_mark import Block, BoxMark, Mark, TagCodeMark, TextMark, paragraph

TAG_CODE = 132.0
# The quiet zone of the coarsest code, four modules of 21.
_QUIET = 27.0


@dataclass(frozen=True, slots=True)
class Spacing:
    """How far apart things stand, in units."""

    row: float
    pair: float
    section: float
    leading: float


def heading(slip: Slip, width: float, palette: Palette) -> Block:
    """Title, shop, customer and machine at the left; tag and its code at the right."""
    marks: list[Mark] = []
    right = width
    if slip.tag_payload:
        marks.append(
            TagCodeMark(
                rect=QRectF(width - TAG_CODE, 0.0, TAG_CODE, TAG_CODE), payload=slip.tag_payload
            )
        )
        right -= TAG_CODE + _QUIET
    tag_width = 0.0
    if slip.tag:
        style = Style(px=23, weight=800, color=palette.ink, align=RIGHT)
        text, style = fit(slip.tag, 0.3 * width, style)
        hint_style = Style(px=17, color=palette.ink, align=RIGHT)
        hint = wrap(slip.tag_hint, 190.0, hint_style)
        baseline = TAG_CODE - 8.0 - 23.0 * len(hint)
        marks.append(TextMark(x=right, baseline=baseline, text=text, style=style))
        tag_width = style.width(text)
        for row, shown in enumerate(hint, start=1):
            mark = TextMark(x=right, baseline=baseline + 24.0 * row, text=shown, style=hint_style)
            marks.append(mark)
            tag_width = max(tag_width, mark.rect.width())
    room = right - tag_width - 24.0
    y = 30.0
    title = Style(px=34, weight=800, color=palette.ink)
    shown, title = fit(slip.title, room, title)
    marks.append(TextMark(x=0.0, baseline=y, text=shown, style=title))
    if slip.draft_text:
        draft = Style(px=18, weight=700, color=palette.ink)
        left = title.width(shown) + 30.0
        words, draft = fit(slip.draft_text, room - left - 24.0, draft)
        frame = QRectF(left - 12.0, y - 27.0, draft.width(words) + 24.0, 34.0)
        marks.append(BoxMark(rect=frame))
        marks.append(TextMark(x=left, baseline=y - 4.0, text=words, style=draft))
    plain = Style(px=19, color=palette.ink)
    machine = " · ".join(text for text in (slip.unit_text, slip.engine_text) if text)
    subtitle = slip.subtitle
    if slip.date_text and slip.date_text not in subtitle:
        subtitle = " · ".join(text for text in (subtitle, slip.date_text) if text)
    for text, style, before in (
        (subtitle, plain, 35.0),
        (slip.customer, Style(px=24, weight=800, color=palette.ink), 40.0),
        (machine, plain, 30.0),
    ):
        if not text:
            continue
        y += before
        rows, y = paragraph(text, style, x=0.0, baseline=y, width=room, leading=25.0)
        marks += rows
    return Block(max(TAG_CODE + 8.0 if slip.tag_payload else 0.0, y + 8.0), tuple(marks))


def said(slip: Slip, spacing: Spacing, width: float, palette: Palette) -> Iterator[Block]:
    """What the customer said and the visit in short, framed."""
    bold, plain = Style(px=21, weight=800, color=palette.ink), Style(px=21, color=palette.ink)
    marks: list[Mark] = []
    top = spacing.section * 0.6
    y = top
    for label, text in ((slip.said_label, slip.said), (slip.in_short_label, slip.in_short)):
        if not text:
            continue
        rows, y = paragraph(
            text,
            plain,
            x=20.0,
            baseline=y + spacing.leading + 3.0,
            width=width - 40.0,
            leading=spacing.leading + 1.0,
            lead=(label, bold),
        )
        marks += rows
    if marks:
        bottom = y + 0.62 * spacing.leading
        frame = BoxMark(rect=QRectF(1.0, top, width - 2.0, bottom - top), width=2.4)
        yield Block(bottom, (frame, *marks))
