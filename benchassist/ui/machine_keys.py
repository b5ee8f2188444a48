"""Keys of the machine file: what each does in which room, and what stands on the strip."""

from types import MappingProxyType
from typing import Final

from benchassist.services.bench.view import KeyHint
from benchassist.services.record.machine_file_view import MachinePageView, QuantityCard
from benchassist.services.translation import _
from benchassist.ui.hint import stepping
from benchassist.ui.live_plot import LivePlot
from benchassist.ui.machine_room import MachineRoom
from benchassist.ui.plot_hint import zoom_hints
from benchassist.ui.plot_key import PlotAct

PLOT: Final = MappingProxyType(
    {
        "+": PlotAct.CLOSER,
        "=": PlotAct.CLOSER,
        "-": PlotAct.WIDER,
        "PgUp": PlotAct.EVENT_BEFORE,
        "PgDown": PlotAct.EVENT_AFTER,
        "Home": PlotAct.WHOLE,
    }
)
"""What works on the plot without the focus on it."""


def hints_of(
    view: MachinePageView,
    room: MachineRoom,
    *,
    asking: bool,
    card: QuantityCard | None,
    visit_id: str,
    further: bool,
    plot: LivePlot,
) -> tuple[KeyHint, ...]:
    """The strip; what does not fit is on the keys page. `card`: the one under the cursor.

    `further`: there are parts below those in view. `plot`: the runs'.
    """
    if asking:
        return (
            KeyHint(press="Enter", text=_("Keep it"), action="submit", main=True),
            KeyHint(press="Esc", text=_("Leave it"), action="back"),
        )
    back = KeyHint(press="Esc", text=_("Back"), action="back")
    keys = KeyHint(press="F1", text=_("Keys"), action="help")
    if view.file is None:
        return (back, keys)
    enter = KeyHint(press="Enter", text=view.enter_text, action="enter", main=True)
    visits = _beside(view, room, visit_id)
    chosen = card.row_of(visit_id) if card is not None else None
    marked = chosen is not None and chosen.good
    mark = KeyHint(press="G", text=_("Set aside") if marked else _("Known good"), action="mark")
    match room:
        case MachineRoom.RUNS:
            here = view.runs.check_key if view.runs is not None else ""
            drawn = view.runs is not None and view.runs.plot is not None
            down = _down(_("Next check"), [one.check_key for one in view.file.runs], here)
            return (enter, *visits, *down, *(zoom_hints(plot) if drawn else ()), back, keys)
        case MachineRoom.PARTS:
            below = KeyHint(press="Down", text=_("Further down"), action="down")
            return (enter, *visits, *((below,) if further else ()), back, keys)
        case MachineRoom.QUANTITY:
            here = card.check_key if card is not None else ""
            down = _down(_("Next quantity"), [c.check_key for c in view.file.quantities], here)
            return (enter, *visits, *down, *((mark,) if view.may_mark else ()), back, keys)
        case MachineRoom.FRONT:
            return (enter, *visits, *_front(view, mark, selected=card is not None), back, keys)


def _beside(view: MachinePageView, room: MachineRoom, visit_id: str) -> tuple[KeyHint, ...]:
    """To the visit before and after; among runs to the run."""
    older = KeyHint(press="Left", text=_("Older"), action="older")
    newer = KeyHint(press="Right", text=_("Newer"), action="newer")
    runs, file = view.runs, view.file
    if room is MachineRoom.RUNS and runs is not None and runs.rows:
        count = len(runs.rows)
        here = next((i for i, one in enumerate(runs.rows) if one.selected), count - 1)
        here = count - 1 - here
    else:
        ids = [visit.visit_id for visit in file.visits] if file is not None else []
        count, here = len(ids), ids.index(visit_id) if visit_id in ids else 0
    return stepping(here, count, before=newer, after=older)


def _down(text: str, keys: list[str], here: str) -> tuple[KeyHint, ...]:
    """To the next of so many."""
    there = not keys or here == keys[-1]
    return () if there else (KeyHint(press="Down", text=text, action="down"),)


def _front(view: MachinePageView, mark: KeyHint, *, selected: bool) -> tuple[KeyHint, ...]:
    """What there is to do on the front, in the order in which it is given up where it is narrow."""
    file = view.file
    there = {
        "detail": selected,
        "photo": view.photos is not None,
        "note": bool(view.note_text),
        "mark": view.may_mark and selected,
        "runs": file is not None and bool(file.runs),
        "edit": view.may_edit,
    }
    hints = (
        KeyHint(press="Space", text=_("Closer"), action="detail"),
        KeyHint(press="P", text=_("Photo"), action="photo"),
        KeyHint(press="N", text=_("Note"), action="note"),
        KeyHint(press="R", text=_("Runs"), action="runs"),
        mark,
        KeyHint(press="E", text=_("Edit"), action="edit"),
    )
    return tuple(hint for hint in hints if there[hint.action])
