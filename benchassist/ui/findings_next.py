"""The card of the test to make next: read from two metres, dark in both palettes."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from benchassist.paint.palette import LIGHT, Palette
from benchassist.services.findings.view import TestCard
from benchassist.services.translation import _
from benchassist.ui.cap import cap_width, main_cap, paint_cap, paint_triangle
from benchassist.ui.findings_text import Piece, column_height, paint_column
from benchassist.ui.lettering import RIGHT, Style, row, runs
from benchassist.ui.panel import paint_main, paint_panel
from benchassist.ui.part import Target

INSET = 18.0
TOP = 12.0
FOOT = 56.0
"""The yellow key with its words, at the foot."""
MINUTES = 46.0
"""The row of the label and the minutes at the top."""
LABEL_ROW = 20.0
MINUTES_WIDE = 130.0
"""About what the minutes take of that row."""
WIDE = 500.0
"""A card from this width on has larger letters."""
MOST_OTHERS = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class TestShown:
    """The test, or why there is none; `others` come after it."""

    __test__ = False

    test: TestCard | None = None
    empty_text: str = ""
    others: tuple[TestCard, ...] = ()
    press: str = "Enter"


class TestTarget(Target[TestShown]):
    """The next test: read from two metres, dark in both palettes; a press starts it."""

    __test__ = False

    def words(self) -> str:
        """What to do, its minutes, what each outcome would do, its cautions."""
        test = self.value.test
        if test is None:
            return self.value.empty_text
        outcomes = (f"{one.text} {one.effect}" for one in test.outcomes)
        minutes = f"{test.minutes} {test.minutes_unit}".strip()
        parts = (test.label, test.title, minutes, test.step_text, *outcomes, test.why)
        return ". ".join(t.rstrip(".") for t in (*parts, *test.cautions, test.start_text) if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Label, title, minutes, outcomes, and the key."""
        test = self.value.test
        if test is None:
            self._paint_none(painter, room, palette)
            return
        paint_main(painter, room, palette)
        inner = room.adjusted(INSET, TOP, -INSET, -8)
        self._paint_start(painter, inner, test, palette)
        head = QRectF(inner.left(), inner.top(), inner.width(), MINUTES)
        taken = self._paint_minutes(painter, head, test, palette)
        beside = inner.width() - taken - 12
        high = head_height(test, beside)
        place = QRectF(inner.left(), inner.top(), beside, high)
        self._paint_label(painter, place, test, palette)
        body = inner.adjusted(0, high + 2, 0, -FOOT)
        pieces = _pieces(test, palette, wide=inner.width() > WIDE)
        full = (*pieces, *self._more(test, palette))
        whole = column_height(full, body.width()) <= body.height()
        paint_column(painter, body, full if whole else pieces)

    def _paint_label(
        self, painter: QPainter, room: QRectF, test: TestCard, palette: Palette
    ) -> None:
        """What this is, its step, and how many cautions there are to read."""
        quiet = Style(px=16, weight=400, color=palette.bar_dim)
        lines = label_lines(test, room.width())
        caution = caution_count(test)
        high = room.height() / (len(lines) + bool(caution))
        for i, text in enumerate(lines):
            place = QRectF(room.left(), room.top() + i * high, room.width(), high)
            row(painter, place, text, quiet, least=12)
        if caution:
            y = room.bottom() - high
            sign = QRectF(room.left(), y + 1, 20, high - 2)
            paint_triangle(painter, sign, palette.bar_text, palette.bar)
            strong = Style(px=16, weight=600, color=palette.bar_text)
            place = QRectF(room.left() + 26, y, room.width() - 26, high)
            row(painter, place, caution, strong, least=12)

    def _more(self, test: TestCard, palette: Palette) -> tuple[Piece, ...]:
        """Where there is room: the cautions in full, and the tests that come after."""
        caution = Style(px=17, weight=600, color=palette.bar_text)
        quiet = Style(px=17, weight=400, color=palette.bar_dim)
        return (
            *(
                Piece(lead=_("Caution:"), text=text, style=caution, above=8.0)
                for text in test.cautions
            ),
            *(
                Piece(
                    lead=f"{one.label}:",
                    text=f"{one.title}, {one.minutes} {one.minutes_unit}",
                    style=quiet,
                    above=8.0 if i == 0 else 2.0,
                )
                for i, one in enumerate(self.value.others[:MOST_OTHERS])
            ),
        )

    def _paint_minutes(
        self, painter: QPainter, room: QRectF, test: TestCard, palette: Palette
    ) -> float:
        """At the right, read from two metres; returns its width."""
        if not test.minutes:
            return 0.0
        large = Style(px=50, weight=800, color=palette.bar_text)
        small = Style(px=22, weight=500, color=palette.bar_text)
        parts = ((test.minutes, large), (f" {test.minutes_unit}", small))
        return runs(painter, room, parts, align=RIGHT, least=18)

    def _paint_start(
        self, painter: QPainter, inner: QRectF, test: TestCard, palette: Palette
    ) -> None:
        wide = cap_width(self.value.press, 36)
        cap = QRectF(inner.left(), inner.bottom() - 44, wide, 36)
        paint_cap(painter, cap, self.value.press, main_cap(palette))
        words = QRectF(cap.right() + 12, cap.top() - 4, inner.right() - cap.right() - 12, 40)
        row(painter, words, test.start_text, Style(px=20, weight=700, color=palette.bar_text))

    def _paint_none(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        paint_panel(painter, room, palette)
        style = Style(px=24, weight=700, color=palette.ink)
        inner = room.adjusted(INSET, 14, -INSET, -14)
        paint_column(painter, inner, (Piece(text=self.value.empty_text, style=style, least=17),))


def _pieces(test: TestCard, palette: Palette, *, wide: bool) -> tuple[Piece, ...]:
    quiet = Style(px=16, weight=400, color=palette.bar_dim)
    strong = Style(px=38 if wide else 30, weight=800, color=palette.bar_text)
    said = Style(px=22 if wide else 19, weight=400, color=palette.bar_text)
    outcomes = tuple(
        Piece(lead=one.text, text=one.effect, style=said, above=3.0) for one in test.outcomes
    )
    return (
        Piece(text=test.title, style=strong, least=24, floor=22),
        *outcomes,
        Piece(text=test.why, style=quiet, above=5.0, least=14, spare=1),
    )


def label_lines(test: TestCard, width: float) -> tuple[str, ...]:
    """What this is and its step: on one row where that can be read, else on two."""
    both = tuple(t for t in (test.label, test.step_text) if t)
    one = " · ".join(both)
    fits = Style(px=14, weight=400, color="#000000").width(one) <= width
    return (one,) if fits else both


def head_height(test: TestCard, width: float) -> float:
    """The rows beside the minutes, `width` being what those leave."""
    rows = len(label_lines(test, width)) + bool(caution_count(test))
    return max(MINUTES, LABEL_ROW * rows)


def test_height(test: TestCard | None, width: float) -> float:
    """The least height in which a card that wide can be read."""
    if test is None:
        return 0.0
    pieces = tuple(
        piece.smaller(40, piece.least)
        for piece in _pieces(test, LIGHT, wide=False)
        if not piece.spare
    )
    inner = width - 2 * INSET
    return (
        TOP + head_height(test, inner - MINUTES_WIDE) + 2 + column_height(pieces, inner) + FOOT + 10
    )


def caution_count(test: TestCard) -> str:
    """The cautions stand at the step in full; here is said how many there are to read."""
    count = len(test.cautions)
    if not count:
        return ""
    return _("one caution") if count == 1 else _("{n} cautions").format(n=count)
