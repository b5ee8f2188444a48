"""A visit that two benches worked apart: what one of them wrote becomes a visit of its own.

It has the common beginning and what that bench wrote, under ids that follow from the visit's and
from the lease under which it was worked: made a second time, it is the same visit.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any, Final
from uuid import UUID, uuid5

from benchassist.core.entry import Entry
from benchassist.core.visit import VisitHeader
from benchassist.storage.codec import decode_entry, encode_entry

NAMESPACE: Final = UUID("3f6c1d0a-5a2b-4d6e-9c57-7b1f0e8a2c94")


def apart_id(visit_id: str, token: int) -> str:
    """The id of what was written in a visit under a lease that another bench then took over."""
    return str(uuid5(NAMESPACE, f"{visit_id} {token}"))


@dataclass(slots=True)
class Apart:
    """The visit that is kept beside `visit_id`."""

    visit_id: str
    id: str
    known: set[str] = field(default_factory=set)
    """Ids of the entries so far, as they are called in the visit it was parted from."""

    def header(self, header: VisitHeader, bench: str) -> VisitHeader:
        """Its header; `bench` wrote it."""
        return replace(header, id=self.id, apart_of=self.visit_id, bench=bench or header.bench)

    def entries(self, entries: Iterable[Entry]) -> tuple[Entry, ...]:
        """Entries as they stand in it: what names another entry of the visit names it there."""
        own = tuple(entries)
        self.known |= {entry.stamp.id for entry in own}
        return tuple(decode_entry(self._renamed(encode_entry(entry))) for entry in own)

    def _renamed(self, told: Any) -> Any:  # noqa: ANN401 - JSON
        match told:
            case dict():
                return {key: self._renamed(value) for key, value in told.items()}
            case list():
                return [self._renamed(value) for value in told]
            case str() if told == self.visit_id:
                return self.id
            case str() if told in self.known:
                return str(uuid5(UUID(self.id), told))
            case _:
                return told
