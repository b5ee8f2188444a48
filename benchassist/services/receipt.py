"""What the store said of each submission, kept until the one who submitted asks for it."""

from collections.abc import Iterable

from benchassist.core.record import Acknowledgement
from benchassist.services.needs import Store


class Receipts:
    """One store's acknowledgements for several writers; none is lost to the wrong one."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._unclaimed: dict[int, Acknowledgement] = {}

    def claim(self, tickets: Iterable[int]) -> tuple[Acknowledgement, ...]:
        """What has been said of these tickets since the last call, in the order of the tickets."""
        for said in self._store.acknowledgements():
            self._unclaimed[said.ticket] = said
        mine = (self._unclaimed.pop(ticket, None) for ticket in tuple(tickets))
        return tuple(said for said in mine if said is not None)
