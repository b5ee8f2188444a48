"""Finding out how a meter speaks: where listening stands, what it proposes, what only you know."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.services.desk import MetersView
from benchassist.services.translation import _
from benchassist.ui.crowd import Crowd
from benchassist.ui.lettering import Style, columns_of, paragraph, row
from benchassist.ui.meters_layout import (
    FINDING_COLUMNS,
    FINDING_GAP,
    FINDING_HEAD,
    FINDING_ROW,
    LISTEN_WIDE,
    MORE_WIDE,
)
from benchassist.ui.pick import Pick, PickTile

PRESSES = "UVWXY"
"""Keys that mean nothing else on the meters page, one a tile that shows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingShown:
    """A label, what stands under it, and tiles to choose from. `asks`: it is a question.

    The tiles get their keys as they show.
    """

    label: str = ""
    text: str = ""
    picks: tuple[Pick, ...] = ()
    asks: bool = False


def finding_of(view: MetersView, *, port: str, protocol: str, line: str) -> FindingShown:
    """The question where one is asked, else the proposals; chosen is what fills the fields."""
    if view.question:
        return FindingShown(
            label=_("Only you can say"),
            text=view.question,
            picks=tuple(Pick(key=a.key, press="", text=a.text) for a in view.answers),
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
                press="",
                text=p.text,
                note=p.sure_text,
                chosen=filled == (p.port, p.protocol, p.line),
            )
            for p in view.proposals
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
    """Stands where the number does while no meter is linked, above it while something is asked.

    What has no room stands on further pages.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        self._page = 0
        super().__init__(FindingShown(), parent)

    def words(self) -> str:
        """Label and text."""
        return ". ".join(t for t in (self.value.label, self.value.text) if t)

    def changed(self, before: FindingShown) -> None:
        """Other tiles begin at their first page; one that was chosen turns no page."""
        if [pick.key for pick in before.picks] != [pick.key for pick in self.value.picks]:
            self._page = 0
        super().changed(before)

    @property
    def pages(self) -> int:
        """How many pages there are, one at least."""
        return max(1, -(-len(self.value.picks) // self._room))

    @property
    def page(self) -> int:
        """The one that shows, from 0."""
        return min(self._page, self.pages - 1)

    def turn(self) -> None:
        """Show the next page, after the last the first."""
        self._page = (self.page + 1) % self.pages
        self.lay_out()
        self.update()

    @property
    def _room(self) -> int:
        """How many tiles show at a time."""
        free = self.height() / self.look.s - FINDING_HEAD + FINDING_GAP
        rows = max(1, int(free / (FINDING_ROW + FINDING_GAP)))
        return min(FINDING_COLUMNS * rows, len(PRESSES))

    def items(self) -> Sequence[Pick]:
        """The tiles of this page with their keys, the surest first."""
        first = self.page * self._room
        shown = self.value.picks[first : first + self._room]
        return [replace(pick, press=p) for p, pick in zip(PRESSES, shown, strict=False)]

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
        first = QRectF(0, FINDING_HEAD, room.width(), FINDING_ROW)
        across = columns_of(first, FINDING_COLUMNS, 8.0)
        return [
            across[i % FINDING_COLUMNS].translated(
                0.0, (i // FINDING_COLUMNS) * (FINDING_ROW + FINDING_GAP)
            )
            for i in range(len(items))
        ]

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Label and text, clear of the buttons at the right."""
        shown = self.value
        wide = room.width() - (0.0 if shown.asks else LISTEN_WIDE + 16)
        wide -= MORE_WIDE + 16 if self.pages > 1 else 0.0
        label = Style(px=18, weight=700, color=palette.ink)
        row(painter, QRectF(0, 0, wide, 22), shown.label, label)
        style = Style(px=21 if shown.asks else 18, weight=500, color=palette.ink)
        row(painter, QRectF(0, 22, wide, 26), shown.text, style, least=13)
