"""The room of one cause: what speaks for and against it, largest first, and what it takes."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.paint.stroke import line, pen
from benchassist.services.findings.view import CauseSheet, FindingsAction, FindingsView, Mark
from benchassist.services.translation import _
from benchassist.ui.bench_layout import Place
from benchassist.ui.bench_part import Heading
from benchassist.ui.caution import CautionPanel, caution_panel_height
from benchassist.ui.crowd import Crowd
from benchassist.ui.findings_mark import paint_mark
from benchassist.ui.findings_room import GAP, Act, FindingsRoom, paint_heading, stretch_of
from benchassist.ui.findings_text import Piece, paint_column
from benchassist.ui.lettering import RIGHT, Style, paragraph, row
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Part, Target
from benchassist.ui.scroll_list import paint_ground

HEAD, ROW = 30.0, 62.0
BAR = 130.0
"""Width of the bars that show how much each piece of evidence weighs."""


@dataclass(frozen=True, slots=True)
class MarkShown:
    """A mark with its sentence; `cursor`: Right opens it."""

    mark: Mark
    cursor: bool = False


class MarkTarget(Target[MarkShown]):
    """One piece of evidence: its mark, what it says, how much it weighs."""

    def words(self) -> str:
        """For or against, where from, the sentence."""
        mark = self.value.mark
        side = _("for") if mark.speaks_for else _("against")
        other = _("contradicted") if mark.contradicted else ""
        chosen = _("chosen") if self.value.cursor else ""
        return ". ".join(t for t in (side, mark.text, mark.sentence, other, chosen) if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Mark, sentence on up to two lines, a bar to its side of the middle."""
        mark, high = self.value.mark, room.height()
        paint_ground(painter, room, palette, cursor=self.value.cursor)
        paint_mark(painter, QPointF(28, high / 2), mark, palette)
        words = QRectF(56, 4, room.width() - 56 - BAR - 18, high - 8)
        style = Style(px=19, weight=500, color=palette.ink)
        paragraph(painter, words, mark.sentence, style, least=13, upright=0.5)
        middle = room.width() - BAR / 2.0 - 4.0
        wide = max(4.0, mark.weight * (BAR / 2.0 - 4.0))
        left = middle if mark.speaks_for else middle - wide
        bar = QRectF(left, high / 2 - 8, wide, 16)
        if mark.speaks_for:
            painter.fillRect(bar, QColor(palette.ink))
        else:
            painter.setPen(pen(palette.ink, 2.2))
            painter.setBrush(QColor(palette.bench))
            painter.drawRect(bar.adjusted(1.1, 1.1, -1.1, -1.1))
        line(painter, (middle, high / 2 - 15), (middle, high / 2 + 15), pen(palette.ink, 3.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class MarksShown:
    """All that bears on a cause; the cursor's row is in view."""

    marks: tuple[Mark, ...] = ()
    against_label: str = ""
    for_label: str = ""
    cursor: int = -1


class Marks(Crowd[MarksShown, MarkShown]):
    """The evidence of a cause, one row each."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(MarksShown(), parent)

    def words(self) -> str:
        """How much there is; the rows say the rest."""
        return _("What speaks for it and against it")

    def items(self) -> Sequence[MarkShown]:
        """The rows in view."""
        shown = self.value
        room = self.height() / self.look.s - HEAD
        stretch = stretch_of([ROW] * len(shown.marks), max(0, shown.cursor), room)
        return [
            MarkShown(mark, i == shown.cursor)
            for i, mark in enumerate(shown.marks)
            if stretch.first <= i < stretch.first + stretch.count
        ]

    def make(self, item: MarkShown) -> MarkTarget:
        """A row."""
        return MarkTarget(item)

    def token(self, item: MarkShown) -> str:
        """Its evidence."""
        return item.mark.evidence

    def places(self, items: Sequence[MarkShown], room: QRectF) -> list[QRectF | None]:
        """One below the other."""
        return [QRectF(0, HEAD + i * ROW, room.width(), ROW) for i in range(len(items))]

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Heading, and which side is which."""
        shown = self.value
        title = _("Evidence, the largest first")
        hidden = len(shown.marks) - len(self.items())
        if hidden > 0:
            title = _("Evidence, the largest first; {n} more").format(n=hidden)
        paint_heading(painter, room, title, palette)
        middle = room.width() - BAR / 2.0 - 4.0
        style = Style(px=15, weight=700, color=palette.ink)
        ended = Style(px=15, weight=700, color=palette.ink, align=RIGHT)
        row(painter, QRectF(middle - 90, 0, 82, 22), shown.against_label, ended)
        row(painter, QRectF(middle + 8, 0, 62, 22), shown.for_label, style, least=12)
        if not shown.marks:
            quiet = Style(px=20, weight=400, color=palette.ink)
            below = room.adjusted(0, HEAD + 10, 0, 0)
            paragraph(painter, below, _("Nothing bears on it yet."), quiet)


class CauseNotes(Part[CauseSheet | None]):
    """What may be said of it, the quickest test, what mending it takes, whose weights these are."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(None, parent)

    def _said(self) -> tuple[str, ...]:
        sheet = self.value
        if sheet is None:
            return ()
        return (
            sheet.claim_text,
            sheet.test_text,
            sheet.fix_text,
            sheet.share_text,
            sheet.prior_text,
        )

    def words(self) -> str:
        """All of it."""
        return " ".join(text for text in self._said() if text)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """What may be said first and largest; whose weights these are last."""
        paint_panel(painter, room, palette)
        head = Style(px=16, weight=700, color=palette.dim)
        strong = Style(px=22, weight=700, color=palette.ink)
        said = Style(px=19, weight=500, color=palette.ink)
        quiet = Style(px=17, weight=400, color=palette.dim)
        pieces: list[Piece] = []
        for name, text, style in zip(
            (_("What may be said"), _("What settles it"), _("What mends it"), _("Its share"), ""),
            self._said() or ("",) * 5,
            (strong, said, said, quiet, quiet),
            strict=True,
        ):
            if text and name:
                pieces.append(Piece(text=name, style=head, above=16.0, least=14))
            pieces.append(Piece(text=text, style=style, above=2.0))
        paint_column(painter, room.adjusted(18, 14, -18, -14), tuple(pieces))


class CauseRoom(FindingsRoom):
    """A cause that is open."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.marks = Marks(self)
        self.notes = CauseNotes(self)
        self.cautions = CautionPanel(self)
        self.parts = (self.marks, self.notes, self.cautions)
        self._view: FindingsView | None = None
        self.marks.chosen.connect(self._chosen)

    def heading(self, view: FindingsView) -> Heading:
        """The cause and how it stands."""
        sheet = view.cause
        return Heading(sheet.name, sheet.strength_text) if sheet is not None else Heading()

    def put_view(self, view: FindingsView, cursor: int) -> None:
        """The cause that is open."""
        self._view = view
        sheet = view.cause
        self.marks.put(
            MarksShown(
                marks=sheet.marks if sheet is not None else (),
                against_label=view.against_label,
                for_label=view.for_label,
                cursor=cursor,
            )
        )
        self.notes.put(sheet)
        self.cautions.put(sheet.cautions if sheet is not None else ())
        self.place()

    def length(self, view: FindingsView) -> int:
        """Its marks."""
        return len(view.cause.marks) if view.cause is not None else 0

    def opened(self, view: FindingsView, cursor: int) -> Act | None:
        """The step a mark comes from, else the answer to it."""
        if view.cause is None or not 0 <= cursor < len(view.cause.marks):
            return None
        return act_of(view.cause.marks[cursor])

    def _chosen(self, evidence: str) -> None:
        sheet = self._view.cause if self._view is not None else None
        mark = next((m for m in sheet.marks if m.evidence == evidence), None) if sheet else None
        if mark is not None:
            self.acted.emit(*act_of(mark))

    def place(self) -> None:
        """Evidence left, notes right, cautions below both."""
        wide, high = self.units
        cautions = self.cautions.value
        foot = 0.0
        if cautions:
            foot = min(0.4 * high, 1.25 * caution_panel_height(cautions, wide))
        self.put_at(self.cautions, Place(0, high - foot, wide, foot) if cautions else None)
        body = high - (foot + GAP if foot else 0.0)
        left = 0.58 * (wide - GAP)
        self.put_at(self.marks, Place(0, 0, left, body))
        self.put_at(self.notes, Place(left + GAP, 0, wide - left - GAP, body))


def act_of(mark: Mark) -> Act:
    """Where a mark leads: to its step on the bench, else to the answer to it."""
    if mark.step:
        return FindingsAction.GO_TO_STEP, mark.step
    return FindingsAction.ANSWER, mark.evidence
