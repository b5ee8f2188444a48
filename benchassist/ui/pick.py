"""Ports and protocols to choose from, on tiles with their keys."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from benchassist.paint.palette import Palette
from benchassist.services.desk import MetersView
from benchassist.services.translation import _
from benchassist.ui.cap import cap_width, paint_cap, paper_cap
from benchassist.ui.crowd import Crowd
from benchassist.ui.lettering import Style, columns_of, row
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Part, Target


@dataclass(frozen=True, slots=True, kw_only=True)
class Pick:
    """One port or protocol to choose, with its key."""

    key: str
    press: str
    text: str
    note: str = ""
    chosen: bool = False


PROTOCOL_PRESSES = "ABCDEFGH"


def port_picks(view: MetersView, port: str) -> tuple[Pick, ...]:
    """The ports with their numbers; `port` is the one in the field."""
    return tuple(
        Pick(
            key=p.port,
            press=str(i),
            text=p.text,
            note=p.note,
            chosen=p.linked or (not view.connected and p.port == port),
        )
        for i, p in enumerate(view.ports, start=1)
    )


def protocol_picks(view: MetersView, chosen: str) -> tuple[Pick, ...]:
    """The protocols with their letters."""
    return tuple(
        Pick(key=p.name, press=press, text=p.text, note=p.line, chosen=p.name == chosen)
        for press, p in zip(PROTOCOL_PRESSES, view.protocols, strict=False)
    )


class PickTile(Target[Pick]):
    """A port or a protocol, 44 units high."""

    def words(self) -> str:
        """Key, name, note."""
        pick = self.value
        chosen = _("chosen") if pick.chosen else ""
        return ". ".join(t for t in (pick.press, pick.text, pick.note, chosen) if t)

    def paint_ground(
        self, painter: QPainter, room: QRectF, palette: Palette
    ) -> tuple[QRectF, str, str]:
        """The tile with its cap; returns where words go, their colour and the quieter one."""
        pick = self.value
        colour, quiet = palette.ink, palette.dim
        if pick.chosen:
            painter.fillRect(room, QColor(palette.ink))
            colour = quiet = palette.bench
        else:
            paint_panel(painter, room, palette)
        wide = cap_width(pick.press, 30)
        cap = QRectF(8, (room.height() - 30) / 2, wide, 30)
        paint_cap(painter, cap, pick.press, paper_cap(palette))
        left = cap.right() + 10
        return QRectF(left, 0, room.width() - left - 6, room.height()), colour, quiet

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Cap, name, note; inverted where chosen."""
        pick = self.value
        words, colour, quiet = self.paint_ground(painter, room, palette)
        name = Style(px=17, weight=700, color=colour)
        taken = row(painter, words, pick.text, name, least=13)
        left = words.adjusted(taken.width() + 10, 0, 0, 0)
        note = Style(px=15, weight=400, color=quiet)
        if note.sized(13).width(pick.note) <= left.width():
            row(painter, left, pick.note, note, least=13)


@dataclass(frozen=True, slots=True)
class PicksShown:
    """A label, and what can be chosen under it."""

    label: str = ""
    picks: tuple[Pick, ...] = ()
    empty_text: str = ""


class Picks(Crowd[PicksShown, Pick]):
    """Tiles in two rows under their label."""

    def __init__(self, columns: int, parent: QWidget | None = None) -> None:
        self._columns = columns
        super().__init__(PicksShown(), parent)

    def words(self) -> str:
        """The label."""
        return self.value.label

    def items(self) -> Sequence[Pick]:
        """Two rows of them at most."""
        return self.value.picks[: 2 * self._columns]

    def make(self, item: Pick) -> PickTile:
        """A tile."""
        return PickTile(item)

    def token(self, item: Pick) -> str:
        """Its key."""
        return item.key

    def places(self, items: Sequence[Pick], room: QRectF) -> list[QRectF | None]:
        """In columns of one width."""
        across = columns_of(QRectF(0, 26, room.width(), 44), self._columns, 8.0)
        return [
            across[i % self._columns].translated(0.0, (i // self._columns) * 50.0)
            for i in range(len(items))
        ]

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """The label, and what to do where there is nothing to choose."""
        label = Style(px=18, weight=700, color=palette.ink)
        left = row(painter, QRectF(0, 0, room.width(), 22), self.value.label, label).right() + 14
        if further := self.value.picks[2 * self._columns :]:
            text = ", ".join(f"{pick.press}: {pick.text}" for pick in further)
            quiet = Style(px=15, color=palette.dim)
            row(painter, QRectF(left, 0, room.width() - left, 22), text, quiet, least=12)
        if not self.value.picks:
            quiet = Style(px=18, weight=400, color=palette.dim)
            row(painter, QRectF(0, 26, room.width(), 44), self.value.empty_text, quiet)


class LinkLine(Part[str]):
    """What to do about the link as it stands."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("", parent)

    def words(self) -> str:
        """The line."""
        return self.value

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """One line."""
        row(painter, room, self.value, Style(px=22, weight=400, color=palette.ink))
