"""Finding out how a meter speaks: where listening stands, what it proposes, what only you know."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.services.desk import MetersView
from benchassist.services.translation import _
from benchassist.ui.crowd import Crowd
from benchassist.ui.lettering import Style, columns_of, paragraph, row
from benchassist.ui.meters_layout import LISTEN_WIDE
from benchassist.ui.pick import Pick, PickTile

PRESSES = "UVWXY"
"""Keys that mean nothing else on the meters page."""
HEAD, ROW, GAP = 50.0, 50.0, 6.0
COLUMNS = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingShown:
    """A label, what stands under it, and tiles to choose from. `asks`: it is a question."""

    label: str = ""
    text: str = ""
    picks: tuple[Pick, ...] = ()
    asks: bool = False


def finding_of(view: MetersView, *, port: str, protocol: str, line: str) -> FindingShown:
    """The question where one is asked, else the proposals; chosen is what fills the fields."""
    if view.question:
        answers = zip(PRESSES, view.answers, strict=False)
        return FindingShown(
            label=_("Only you can say"),
            text=view.question,
            picks=tuple(Pick(key=a.key, press=press, text=a.text) for press, a in answers),
            asks=True,
        )
    filled = (port, protocol, line)
    text = view.listening_text or (
        _("Used on these leads before. Choose, then link it")
        if view.proposals
        else _("Choose its port: what comes in says how the meter speaks")
    )
    return FindingShown(
        label=_("Not sure how it speaks?"),
        text=text,
        picks=tuple(
            Pick(
                key=p.key,
                press=press,
                text=p.text,
                note=p.sure_text,
                chosen=filled == (p.port, p.protocol, p.line),
            )
            for press, p in zip(PRESSES, view.proposals, strict=False)
        ),
    )


class FindingTile(PickTile):
    """A proposal with how sure it is below, or an answer."""

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Cap, then one line above the other; inverted where chosen."""
        pick = self.value
        words, colour, quiet = self.paint_ground(painter, room, palette)
        words.adjust(0, 2, 0, -2)
        style = Style(px=17, weight=700, color=colour)
        if not pick.note:
            paragraph(painter, words, pick.text, style, least=13, upright=0.5)
            return
        half = words.height() / 2
        row(painter, words.adjusted(0, 1, 0, -half), pick.text, style, least=13)
        note = Style(px=15, weight=400, color=quiet)
        row(painter, words.adjusted(0, half, 0, -2), pick.note, note, least=12)


class FindingPanel(Crowd[FindingShown, Pick]):
    """Stands where the number does while no meter is linked, or while something is asked."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(FindingShown(), parent)

    def words(self) -> str:
        """Label and text."""
        return ". ".join(t for t in (self.value.label, self.value.text) if t)

    def items(self) -> Sequence[Pick]:
        """As many as there is room for, the surest first."""
        rows = int((self.height() / self.look.s - HEAD + GAP) / (ROW + GAP))
        return self.value.picks[: COLUMNS * max(1, rows)]

    def chosen_by(self, press: str) -> str:
        """The key of what a press chooses, empty where it chooses nothing."""
        return next((pick.key for pick in self.items() if pick.press == press), "")

    def make(self, item: Pick) -> FindingTile:
        """A tile."""
        return FindingTile(item)

    def token(self, item: Pick) -> str:
        """Its key."""
        return item.key

    def places(self, items: Sequence[Pick], room: QRectF) -> list[QRectF | None]:
        """Two columns below the head."""
        across = columns_of(QRectF(0, HEAD, room.width(), ROW), COLUMNS, 8.0)
        return [
            across[i % COLUMNS].translated(0.0, (i // COLUMNS) * (ROW + GAP))
            for i in range(len(items))
        ]

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Label and text; a question has the whole width, else a button stands at the right."""
        shown = self.value
        wide = room.width() if shown.asks else room.width() - LISTEN_WIDE - 16
        label = Style(px=18, weight=700, color=palette.ink)
        left = row(painter, QRectF(0, 0, wide, 22), shown.label, label).right() + 14
        hidden = len(shown.picks) - len(self.items())
        if hidden:
            text = _("{n} less sure not shown").format(n=hidden)
            row(painter, QRectF(left, 0, wide - left, 22), text, Style(px=15, color=palette.dim))
        style = Style(px=21 if shown.asks else 18, weight=500, color=palette.ink)
        row(painter, QRectF(0, 22, wide, 26), shown.text, style, least=13)
