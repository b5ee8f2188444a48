"""A row of the evidence: how a piece stands, where from, what says otherwise; or a moot step."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter, QPainterPath

from benchassist.paint.palette import Palette
from benchassist.paint.stroke import line, pen, shape
from benchassist.services.findings.view import (
    EvidenceRow,
    FindingsAction,
    FindingsView,
    MootRow,
)
from benchassist.services.translation import _
from benchassist.ui.cap import cap_width, paint_cap, paper_cap
from benchassist.ui.findings_part import paint_saw
from benchassist.ui.findings_room import Act
from benchassist.ui.findings_text import Piece, column_height, paint_column
from benchassist.ui.lettering import CENTRE, RIGHT, Style, row
from benchassist.ui.part import Target

ROW, SECOND, KEYS, INSET = 44.0, 22.0, 38.0, 52.0
MINUTES = 82.0
NAME_SHARE = 0.44


@dataclass(frozen=True, slots=True, kw_only=True)
class Bearing:
    """A row of the list: a piece of evidence, or a step that is moot."""

    key: str
    name: str
    mark: str = ""
    said: str = ""
    minutes: str = ""
    second: str = ""
    """A line below: why a person's word counts, or what makes a step moot."""
    saw: bool = False
    """The line below is a contradiction."""
    known: bool = False
    overruled: bool = False
    step: str = ""
    moot: bool = False
    details: tuple[tuple[str, str], ...] = ()
    keys: tuple[tuple[str, str], ...] = ()


def bearings_of(view: FindingsView) -> tuple[Bearing, ...]:
    """Every row: the evidence, then the steps that may be passed over."""
    return (*(_evidence(one) for one in view.evidence), *(_moot(one) for one in view.moot))


def _evidence(one: EvidenceRow) -> Bearing:
    open_text = _("To its step") if one.step else _("Answer it")
    keys = [("Right", open_text)]
    if one.step:
        keys.append(("A", _("Say how it turned out")))
    if one.overruled:
        keys.append(("X", _("Lift your word")))
    choices = " / ".join(c.text for c in one.choices)
    details = [(_("Can turn out:"), choices)] if choices else []
    details += [(_("Caution:"), text) for text in one.cautions]
    if one.said_aloud and one.reason:
        details.insert(0, (_("Why:"), one.reason))
    return Bearing(
        key=one.key,
        name=one.name,
        mark=one.mark,
        said=one.outcome_text,
        minutes=one.minutes_text,
        second=one.said_aloud or one.reason,
        saw=bool(one.said_aloud),
        known=one.known,
        overruled=one.overruled,
        step=one.step,
        details=tuple(details),
        keys=tuple(keys),
    )


def _moot(one: MootRow) -> Bearing:
    return Bearing(
        key=one.step,
        name=one.name,
        mark=str(one.number),
        said=_("may be passed over"),
        second=one.reason,
        step=one.step,
        moot=True,
        keys=(("Right", _("Do it all the same")),),
    )


@dataclass(frozen=True, slots=True)
class BearingShown:
    """A row; at the cursor it shows its details and keys."""

    bearing: Bearing
    cursor: bool = False


def row_height(shown: BearingShown, width: float) -> float:
    """What a row takes in a list that wide."""
    high = ROW + (SECOND if shown.bearing.second else 0.0)
    if shown.cursor:
        high += column_height(_details(shown.bearing, "#000000"), width - INSET - 12.0) + KEYS
    return high


def _details(bearing: Bearing, colour: str) -> tuple[Piece, ...]:
    style = Style(px=17, weight=400, color=colour)
    return tuple(
        Piece(lead=lead, text=text, style=style, above=2.0) for lead, text in bearing.details
    )


class BearingTarget(Target[BearingShown]):
    """One row; a press opens its step or its answer."""

    def words(self) -> str:
        """Name, how it stands, everything below it."""
        one = self.value.bearing
        details = (f"{lead} {text}" for lead, text in one.details)
        overruled = _("a person’s word") if one.overruled else ""
        chosen = _("chosen") if self.value.cursor else ""
        parts = (one.mark, one.name, one.said, overruled, one.second, one.minutes, *details, chosen)
        return ". ".join(t.rstrip(".") for t in parts if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Mark, name, outcome, minutes; the line below; at the cursor the rest."""
        shown, one = self.value, self.value.bearing
        if shown.cursor:
            painter.fillRect(room, QColor(palette.well))
            painter.fillRect(QRectF(0, 0, 5, room.height()), QColor(palette.live))
        foot = room.height() - 1.0
        line(painter, (0, foot), (room.width(), foot), pen(palette.panel_edge, 1.0))
        _paint_source(painter, QRectF(12, 8, 28, 28), one, palette)
        wide = room.width()
        name = Style(px=19, weight=700 if one.known else 500, color=palette.ink)
        row(painter, QRectF(INSET, 0, NAME_SHARE * wide - INSET, ROW), one.name, name, least=13)
        said = Style(
            px=19, weight=600 if one.known else 400, color=palette.ink if one.known else palette.dim
        )
        left = NAME_SHARE * wide + 12
        place = QRectF(left, 0, wide - left - MINUTES, ROW)
        row(painter, place, one.said, said, least=13)
        minutes = Style(px=17, weight=400, color=palette.dim, align=RIGHT)
        row(painter, QRectF(wide - MINUTES + 4, 0, MINUTES - 10, ROW), one.minutes, minutes)
        y = ROW
        if one.second:
            self._paint_second(painter, QRectF(INSET, y - 6, wide - INSET - 10, SECOND), palette)
            y += SECOND
        if shown.cursor:
            details = _details(one, palette.ink)
            below = QRectF(INSET, y - 4, wide - INSET - 12, foot - KEYS - y + 4)
            paint_column(painter, below, details)
            _paint_keys(painter, QRectF(INSET, foot - KEYS, wide - INSET, KEYS), one, palette)

    def _paint_second(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        one = self.value.bearing
        colour = palette.out_text if one.saw else palette.dim
        style = Style(px=16, weight=600 if one.saw else 400, color=colour)
        if one.saw:
            paint_saw(painter, QRectF(room.left(), room.top(), 22, room.height()), palette)
            room = room.adjusted(30, 0, 0, 0)
        row(painter, room, one.second, style, least=12)


def _paint_source(painter: QPainter, box: QRectF, one: Bearing, palette: Palette) -> None:
    """A filled square where it is known, a dashed one where it is not; moot: struck through."""
    path = QPainterPath()
    path.addRect(box.adjusted(1, 1, -1, -1))
    if one.known:
        shape(painter, path, fill=palette.ink)
    else:
        dash = () if one.moot else (4.0, 3.0)
        shape(painter, path, stroke=pen(palette.faint, 1.8, dash=dash))
    colour = palette.bench if one.known else palette.dim
    style = Style(px=15, weight=700, color=colour, align=CENTRE)
    row(painter, box, one.mark, style, least=11)
    if one.moot:
        y = box.center().y()
        line(painter, (box.left() - 3, y), (box.right() + 3, y), pen(palette.dim, 2.0))


def _paint_keys(painter: QPainter, room: QRectF, one: Bearing, palette: Palette) -> None:
    """What the keys do at the cursor."""
    x = room.left()
    style = Style(px=16, weight=600, color=palette.ink)
    for press, text in one.keys:
        wide = cap_width(press, 26)
        paint_cap(painter, QRectF(x, room.top() + 4, wide, 26), press, paper_cap(palette))
        words = QRectF(x + wide + 8, room.top(), room.right() - x - wide - 8, 32)
        x = row(painter, words, text, style).right() + 24


def act_of(one: Bearing) -> Act:
    """Where a row leads: to its step on the bench, else to the answer to it."""
    if one.step:
        return FindingsAction.GO_TO_STEP, one.step
    return FindingsAction.ANSWER, one.key
