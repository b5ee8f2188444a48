"""Rooms behind the front in one row each: swap test and repair, once there is something to tell."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from benchassist.paint.palette import Palette
from benchassist.services.findings.view import FindingsAction, FindingsView, Room
from benchassist.services.translation import _
from benchassist.ui.cap import cap_width, paint_cap, paper_cap
from benchassist.ui.findings_keys import hints_of
from benchassist.ui.key_map import split_action
from benchassist.ui.lettering import Style, runs
from benchassist.ui.panel import paint_panel
from benchassist.ui.part import Target


@dataclass(frozen=True, slots=True, kw_only=True)
class SlimShown:
    """A room behind the front in one row: its key, its name, how it stands."""

    room: str = ""
    press: str = ""
    label: str = ""
    text: str = ""


class SlimTarget(Target[SlimShown]):
    """One row, 44 units high; a press opens the room."""

    def words(self) -> str:
        """Key, name, how it stands."""
        shown = self.value
        return ". ".join(t for t in (shown.press, shown.label, shown.text) if t)

    def paint(self, painter: QPainter, room: QRectF, palette: Palette) -> None:
        """Cap, name in bold, the rest."""
        shown = self.value
        paint_panel(painter, room, palette)
        wide = cap_width(shown.press, 30)
        cap = QRectF(8, (room.height() - 30) / 2, wide, 30)
        paint_cap(painter, cap, shown.press, paper_cap(palette))
        bold = Style(px=18, weight=700, color=palette.ink)
        rest = Style(px=18, weight=400, color=palette.ink)
        words = QRectF(cap.right() + 12, 0, room.width() - cap.right() - 20, room.height())
        runs(painter, words, ((f"{shown.label}  ", bold), (shown.text, rest)), least=11)


def press_of(view: FindingsView, action: str) -> str:
    """The key that does something, as the strip prints it; else the one it always has."""
    for hint in hints_of(view):
        if split_action(hint.action)[0] == action:
            return hint.press
    usual = {FindingsAction.OPEN_STAKE: "R", FindingsAction.OPEN_SWAP: "W"}
    return usual.get(FindingsAction(action), "F")


def slims_of(view: FindingsView) -> tuple[SlimShown, SlimShown]:
    """Swap test and repair, once there is something to tell of them."""
    swap, repair = SlimShown(), SlimShown()
    if view.swap is not None and view.swap.rows:
        swap = SlimShown(
            room=Room.SWAP,
            press=press_of(view, FindingsAction.OPEN_SWAP),
            label=_("Swap test"),
            text=view.swap.head,
        )
    told = [f"{one.name}: {one.claim_text}" for one in view.claims[:1]]
    if view.repair.fitted:
        told += [f"{one.have} / {one.need}" for one in view.repair.proof]
    if told:
        repair = SlimShown(
            room=Room.REPAIR,
            press=press_of(view, FindingsAction.OPEN_REPAIR),
            label=_("Repair"),
            text=", ".join(told),
        )
    return swap, repair
