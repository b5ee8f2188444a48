"""The room of a swap test: what to run next, every run so far, what they prove and what not."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.core.swap import SwapResult
from benchassist.paint.palette import Palette
from benchassist.paint.stroke import ROUND, line, pen
from benchassist.services.findings.view import FindingsAction, FindingsView, SwapCard, SwapRow
from benchassist.services.translation import _
from benchassist.ui.bench_layout import Place
from benchassist.ui.bench_part import Heading
from benchassist.ui.findings_room import GAP, FindingsRoom, paint_heading
from benchassist.ui.findings_text import Piece, paint_column
from benchassist.ui.key_map import split_action
from benchassist.ui.lettering import CENTRE, Style, columns_of, paragraph, row
from benchassist.ui.panel import paint_main, paint_panel
from benchassist.ui.part import Part
from benchassist.ui.tile import Button, ButtonTile

NEXT, RUNS, TILES = 76.0, 158.0, 72.0
LEAST_RUN = 118.0
"""Width a run needs; earlier ones that have none are counted."""


class NextRun(Part[str]):
    """What to run next, read from the machine."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("", parent)

    def words(self) -> str:
        """The line."""
        return self.value

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Large, on the dark ground of what is to be done now."""
        paint_main(painter, room, palette)
        style = Style(px=32, weight=800, color=palette.bar_text)
        paragraph(painter, room.adjusted(20, 6, -20, -6), self.value, style, least=18, upright=0.5)


@dataclass(frozen=True, slots=True)
class RunsShown:
    """The runs in their order, and which part the ones to come want in."""

    rows: tuple[SwapRow, ...] = ()
    ahead: tuple[str, ...] = ()


def ahead_of(card: SwapCard) -> tuple[str, ...]:
    """The runs that still make a proof: old, new, old again."""
    old, new = _("Old part"), _("New part")
    match card.result:
        case SwapResult.OPEN:
            seen = any(one.fault for one in card.rows)
            return (new, old) if seen else (old, new, old)
        case SwapResult.LIKELY | SwapResult.NOT_REPEATED:
            return (old,)
        case SwapResult.NOT_SEEN:
            return (old, new, old)
        case _:
            return ()


class SwapRuns(Part[RunsShown]):
    """A line that goes on through every clean run and breaks where the fault showed."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(RunsShown(), parent)

    def words(self) -> str:
        """Every run in words, then those to come."""
        shown = self.value
        made = (f"{one.part_text}: {one.result_text}, {one.cycles_text}" for one in shown.rows)
        ahead = (f"{part}: {_('to come')}" for part in shown.ahead)
        return ". ".join((*made, *ahead))

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """A column a run: the part above, the line, what came of it below."""
        shown = self.value
        title = _("Runs, in their order")
        most = max(1, int(room.width() / LEAST_RUN) - len(shown.ahead))
        hidden = len(shown.rows) - most
        if hidden > 0:
            title = _("Runs, in their order; {n} before these").format(n=hidden)
        y = paint_heading(painter, room, title, palette)
        below = QRectF(0, y, room.width(), room.height() - y)
        rows = shown.rows[-most:]
        columns = columns_of(below, max(4, len(rows) + len(shown.ahead)), 0.0)
        for one, column in zip(rows, columns, strict=False):
            _paint_run(painter, column, one, palette)
        for part, column in zip(shown.ahead, columns[len(rows) :], strict=False):
            _paint_ahead(painter, column, part, palette)


def _paint_ahead(painter: QPainter, room: QRectF, part: str, palette: Palette) -> None:
    """A run to come: dots in place of the line."""
    inner = room.adjusted(6, 4, -8, 0)
    style = Style(px=18, weight=500, color=palette.faint, align=CENTRE)
    row(painter, QRectF(inner.left(), inner.top(), inner.width(), 24), part, style)
    middle = inner.top() + 48.0
    dots = pen(palette.faint, 4.0, cap=ROUND, dash=(0.1, 10.0))
    line(painter, (room.left() + 6, middle), (room.right() - 4, middle), dots)
    to_come = Style(px=16, weight=400, color=palette.faint, align=CENTRE)
    below = QRectF(inner.left(), middle + 14, inner.width(), 26)
    row(painter, below, _("to come"), to_come)


def _paint_run(painter: QPainter, room: QRectF, one: SwapRow, palette: Palette) -> None:
    if one.fault:
        painter.fillRect(room.adjusted(0, 0, -3, 0), QColor(palette.well))
    inner = room.adjusted(6, 4, -8, 0)
    part = Style(px=18, weight=700, color=palette.ink, align=CENTRE)
    row(painter, QRectF(inner.left(), inner.top(), inner.width(), 24), one.part_text, part)
    middle, stroke = inner.top() + 48.0, pen(palette.ink, 5.0)
    left, right = room.left(), room.right()
    if one.fault:
        c = room.center().x()
        line(painter, (left, middle), (c - 14, middle), stroke)
        line(painter, (c + 14, middle), (right, middle), stroke)
        line(painter, (c - 12, middle + 1), (c + 8, middle - 17), pen(palette.out_text, 5.0))
    else:
        line(painter, (left, middle), (right, middle), stroke)
    colour = palette.out_text if one.fault else palette.ink
    result = Style(px=19, weight=800, color=colour, align=CENTRE)
    below = QRectF(inner.left(), middle + 14, inner.width(), 26)
    row(painter, below, one.result_text, result, least=13)
    cycles = Style(px=16, weight=400, color=palette.dim, align=CENTRE)
    row(painter, below.translated(0, 24), one.cycles_text, cycles, least=12)


class SwapProof(Part[SwapCard | None]):
    """What the runs prove, and what they do not."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(None, parent)

    def words(self) -> str:
        """All of it."""
        card = self.value
        if card is None:
            return ""
        parts = (card.head, card.proves, card.not_separated, card.odds, card.cycles_needed)
        return ". ".join(t.rstrip(".") for t in parts if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Proved left, open right."""
        card = self.value
        if card is None:
            return
        left, right = columns_of(room, 2, GAP)
        for column in (left, right):
            paint_panel(painter, column, palette)
        quiet = Style(px=16, weight=700, color=palette.dim)
        strong = Style(px=26, weight=800, color=palette.ink)
        said = Style(px=19, weight=400, color=palette.ink)
        proved = card.result in {SwapResult.PROVED, SwapResult.NOT_THIS_PART}
        paint_column(
            painter,
            left.adjusted(18, 12, -18, -12),
            (
                Piece(text=_("Proved") if proved else _("So far"), style=quiet),
                Piece(text=card.head, style=strong, above=2.0, least=18),
                Piece(text=card.proves, style=said, above=4.0),
            ),
        )
        open_text = "" if card.not_separated or card.odds or card.cycles_needed else _open(card)
        paint_column(
            painter,
            right.adjusted(18, 12, -18, -12),
            (
                Piece(text=_("Not proved"), style=quiet),
                Piece(text=open_text, style=said, above=4.0),
                Piece(text=card.not_separated, style=said, above=4.0),
                Piece(text=card.odds, style=said, above=6.0),
                Piece(text=card.cycles_needed, style=said, above=6.0),
            ),
        )


def _open(card: SwapCard) -> str:
    """What is open where the card names nothing."""
    if card.result is SwapResult.PROVED:
        return _("Nothing left open")
    return _("That this part is the cause.")


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialKey:
    """One way a run can turn out: its key, what to press it for, what it asks of the desk."""

    press: str
    text: str
    note: str
    action: FindingsAction


def trials(view: FindingsView) -> tuple[TrialKey, ...]:
    """The four ways, in the order of a swap test; their keys are the strip's where it has them."""
    old, new = _("old part in"), _("new part in")
    printed = {split_action(hint.action)[0]: hint.press for hint in view.keys}
    ways = (
        ("1", _("Fault"), old, FindingsAction.OLD_FAULT),
        ("2", _("Clean"), new, FindingsAction.NEW_CLEAN),
        ("3", _("Fault"), new, FindingsAction.NEW_FAULT),
        ("4", _("Clean"), old, FindingsAction.OLD_CLEAN),
    )
    return tuple(
        TrialKey(press=printed.get(action, press), text=text, note=note, action=action)
        for press, text, note, action in ways
    )


class SwapRoom(FindingsRoom):
    """Old part, new part, old part again."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.next = NextRun(self)
        self.runs = SwapRuns(self)
        self.proof = SwapProof(self)
        self.tiles = tuple(ButtonTile(Button(), self) for _way in range(4))
        self._ways: tuple[TrialKey, ...] = ()
        for i, tile in enumerate(self.tiles):
            tile.clicked.connect(lambda _=False, i=i: self.acted.emit(self._ways[i].action, ""))
        self.parts = (self.next, self.runs, self.proof, *self.tiles)

    def heading(self, view: FindingsView) -> Heading:
        """Which part."""
        card = view.swap
        return Heading(card.label, card.title) if card is not None else Heading(_("Swap test"))

    def put_view(self, view: FindingsView, cursor: int) -> None:
        """The card of the part."""
        card = view.swap
        self.next.put(card.next_text if card is not None else "")
        self.runs.put(RunsShown(card.rows, ahead_of(card)) if card is not None else RunsShown())
        self.proof.put(card)
        self._ways = trials(view)
        for tile, way in zip(self.tiles, self._ways, strict=True):
            tile.put(Button(press=way.press, text=way.text, note=way.note))
            tile.setEnabled(not view.closed)
        self.place()

    def place(self) -> None:
        """From the top down; the proof takes what is left."""
        wide, high = self.units
        y = 0.0
        self.put_at(self.next, Place(0, 0, wide, NEXT) if self.next.value else None)
        if self.next.value:
            y = NEXT + GAP
        self.put_at(self.runs, Place(0, y, wide, RUNS))
        y += RUNS + 12.0
        across = columns_of(QRectF(0, y, wide, TILES), len(self.tiles), 12.0)
        for tile, where in zip(self.tiles, across, strict=True):
            self.put_at(tile, Place(where.left(), where.top(), where.width(), where.height()))
        y += TILES + GAP
        self.put_at(self.proof, Place(0, y, wide, max(60.0, high - y)))
