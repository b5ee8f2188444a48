"""What is selected on the page of a machine's file: a visit, a quantity, a room, a run."""

from PySide6.QtWidgets import QWidget

from benchassist.core.run_plot import RunPlot
from benchassist.errors import StepError
from benchassist.services.desk import MachineFileDesk
from benchassist.services.translation import _
from benchassist.ui.machine_board import MachineBoard
from benchassist.ui.machine_room import MachineRoom


class MachineWalk(MachineBoard):
    """Goes through visits, quantities, rooms and runs of one machine."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk: MachineFileDesk | None = None
        self.visits.chosen.connect(self.select_visit)
        self.quantities.chosen.connect(self._clicked)
        self.legend.chosen.connect(self.strengthen)

    def show_desk(self) -> None:
        """What the desk says."""
        if self._desk is not None:
            self.show_view(self._desk.view())

    def closer(self, start_s: float, end_s: float, rows: int) -> RunPlot:
        """Detail of the runs from the desk."""
        if self._desk is None:
            raise StepError(_("no machine is looked at"))
        return self._desk.run_window(start_s, end_s, rows)

    def enter_room(self, room: MachineRoom) -> None:
        """Show another room; runs that are left are put away."""
        self.room, self.problem = room, ""
        desk = self._desk
        if desk is not None:
            if room is not MachineRoom.RUNS and self._view.runs is not None:
                desk.lay_over("")
            self.show_view(desk.view())

    # --- selection ------------------------------------------------------------------------------

    def _again(self) -> None:
        self.problem = ""
        self.show_view(self._view)

    def select_visit(self, visit_id: str) -> None:
        """Its card and its row of every quantity stand out."""
        self.visit_id = visit_id
        self._again()

    def older(self, by: int) -> None:
        """An older visit; among runs laid over each other an older run."""
        runs = self._view.runs
        if self.room is MachineRoom.RUNS and runs is not None and runs.rows:
            here = next((i for i, one in enumerate(runs.rows) if one.selected), len(runs.rows) - 1)
            one = runs.rows[max(0, min(len(runs.rows) - 1, here - by))]
            self.strengthen(one.run_id)
            return
        file = self._view.file
        ids = [card.visit_id for card in file.visits] if file is not None else []
        if ids:
            here = ids.index(self.visit_id) if self.visit_id in ids else 0
            self.select_visit(ids[max(0, min(len(ids) - 1, here + by))])

    def step(self, by: int) -> None:
        """The next quantity, the next check that has runs, further down the parts."""
        file = self._view.file
        if file is None:
            return
        match self.room:
            case MachineRoom.RUNS:
                keys = [card.check_key for card in file.runs]
                here = self._view.runs.check_key if self._view.runs is not None else ""
                self.lay_over(_moved(keys, here, by))
            case MachineRoom.PARTS:
                self.part_at += by
                self._again()
            case _:
                self.at = _moved([card.check_key for card in file.quantities], self.at, by)
                self._again()

    def _clicked(self, check_key: str) -> None:
        """A click selects a card; on the selected one it looks closer."""
        if check_key == self.at:
            self.enter_room(MachineRoom.QUANTITY)
        else:
            self.at = check_key
            self._again()

    # --- runs -----------------------------------------------------------------------------------

    def lay_over(self, check_key: str) -> None:
        """The runs of a check, of the first that has any where this one has none."""
        desk, file = self._desk, self._view.file
        if desk is None or file is None:
            return
        keys = [card.check_key for card in file.runs]
        if not keys:
            self.attempt_shown(_no_runs)
            return
        key = check_key if check_key in keys else keys[0]
        if self.attempt_shown(lambda: desk.lay_over(key)):
            self.plot.reset_view()
            self.enter_room(MachineRoom.RUNS)

    def strengthen(self, run_id: str) -> None:
        """Draw that run strong; its visit is selected."""
        desk, runs = self._desk, self._view.runs
        if desk is None or runs is None:
            return
        one = next((each for each in runs.rows if each.run_id == run_id), None)
        if one is not None:
            self.visit_id = one.visit_id
        self.attempt_shown(lambda: desk.lay_over(runs.check_key, run_id))


def _moved(keys: list[str], here: str, by: int) -> str:
    """The key so many places on; it stays at the ends."""
    if not keys:
        return ""
    place = keys.index(here) + by if here in keys else 0
    return keys[max(0, min(len(keys) - 1, place))]


def _no_runs() -> None:
    raise StepError(_("no run is on file of this machine"))
