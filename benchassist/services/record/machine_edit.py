"""A machine's particulars are changed: written once they are whole, kept once they are on disk.

Visits that were written already keep what they said.
"""

from collections.abc import Mapping

from benchassist.core.entry import Machine
from benchassist.core.record import Refused
from benchassist.errors import NotFoundError, StepError
from benchassist.services.front.counter_view import Field
from benchassist.services.needs import SpecBook, Store
from benchassist.services.receipt import Receipts
from benchassist.services.record.machine_form import machine_fields, read_machine
from benchassist.services.translation import _


class MachineEdit:
    """The form of one machine; satisfies `records_view.MachineEditDesk`."""

    def __init__(
        self, machine_id: str, *, store: Store, receipts: Receipts, book: SpecBook
    ) -> None:
        """Raises NotFoundError where there is no such machine."""
        self._store, self._receipts, self._book = store, receipts, book
        self._machine = self._on_file(machine_id)
        self._ticket = 0
        self.kept = False
        """Whether what was handed in is on disk."""
        self.trouble = ""
        """Why it is not, in one line."""

    @property
    def tag(self) -> str:
        """The machine's tag as it stands."""
        return self._machine.tag

    def form(self) -> tuple[Field, ...]:
        """The fields with what stands in them."""
        return machine_fields(self._machine, self._book.engine_classes())

    def keep(self, fields: Mapping[str, str]) -> None:
        """Hand the particulars to the store. Raises InputError naming the field that is wrong.

        Raises StepError where another bench has changed the machine since the form was opened.
        """
        now = self._on_file(self._machine.id)
        if now != self._machine:
            raise StepError(
                _("the machine was changed on another bench meanwhile: leave, and open it again")
            )
        machine = read_machine(
            now, fields, classes=self._book.engine_classes(), is_taken=self._is_anothers
        )
        self.trouble = ""
        if machine == now:
            self.kept = True
            return
        self._ticket = self._store.submit_machine(machine)

    def tick(self) -> None:
        """Take in what the store says."""
        for said in self._receipts.claim((self._ticket,) if self._ticket else ()):
            self._ticket = 0
            if isinstance(said, Refused):
                self.trouble = _("not saved: {why}").format(why=said.why)
            else:
                self.kept = True

    def _is_anothers(self, tag: str) -> bool:
        return any(m.id != self._machine.id for m in self._store.machines_of_tag(tag))

    def _on_file(self, machine_id: str) -> Machine:
        found = self._store.machine(machine_id)
        if found is None:
            raise NotFoundError(_("no machine '{id}' on file").format(id=machine_id))
        return found
