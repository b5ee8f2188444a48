"""Reads a machine's visits and makes its file, again only where something was written since."""

from collections.abc import Sequence
from dataclasses import dataclass

from benchassist.core.entry import Machine
from benchassist.core.visit import Visit
from benchassist.errors import NotFoundError
from benchassist.services.needs import Store
from benchassist.services.record.machine_file import file_of, replayed
from benchassist.services.record.machine_file_view import MachineFileView
from benchassist.services.translation import _
from benchassist.units import UnitChoice


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FileRead:
    """A machine's file, with the visits it was made from, oldest first."""

    machine: Machine
    visits: tuple[Visit, ...]
    file: MachineFileView


class MachineReader:
    """One machine's. `read` is for one thread at a time, whichever that is.

    A visit that was read stays folded until an entry of it is added.
    """

    def __init__(self, machine_id: str, *, store: Store, units: UnitChoice) -> None:
        self.machine_id = machine_id
        self._store, self._units = store, units
        self._folded: dict[str, Visit] = {}
        self._known: object = None

    def read(self, current: Visit | None = None) -> FileRead | None:
        """The file as it stands, None where nothing changed since the last time.

        `current` is a copy of the visit on the bench, whose newest entries the store may not have.
        Raises NotFoundError where there is no such machine, StoreError where it is out of reach.
        """
        machine = self._store.machine(self.machine_id)
        if machine is None and current is not None:
            machine = current.header.machine
        if machine is None:
            raise NotFoundError(_("no machine '{id}' on file").format(id=self.machine_id))
        counts = self._store.entry_counts(self.machine_id)
        here = (current.header.id, current.next_seq) if current is not None else None
        known = (machine, counts, here)
        if known == self._known:
            return None
        visits, unread = self._visits(counts, current)
        file = file_of(machine, visits, self._units, current=current, unread=unread)
        self._known = known
        return FileRead(machine=machine, visits=visits, file=file)

    def _visits(
        self, counts: Sequence[tuple[str, int]], current: Visit | None
    ) -> tuple[tuple[Visit, ...], tuple[str, ...]]:
        """The visits in order of time, and the slip numbers of those that cannot be read."""
        here = current.header.id if current is not None else ""
        still = {
            visit_id: self._folded[visit_id]
            for visit_id, count in counts
            if visit_id != here
            and visit_id in self._folded
            and self._folded[visit_id].next_seq == count + 1
        }
        history = self._store.history(self.machine_id, but=(*still, *([here] if here else [])))
        fresh, unread = replayed(history)
        self._folded = still | {visit.header.id: visit for visit in fresh}
        visits = [*self._folded.values(), *((current,) if current is not None else ())]
        visits.sort(key=lambda visit: visit.header.opened_at)
        return tuple(visits), tuple(unread)
