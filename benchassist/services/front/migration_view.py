"""What the window shows while a shop is brought to this program's revision."""

from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True, slots=True, kw_only=True)
class MigrationView:
    """How far it is, from 0 to 1 and in words; and where the copy is."""

    share: float
    text: str
    note: str


class MigrationDesk(Protocol):
    """A migration under way, in a thread of its own."""

    @property
    def done(self) -> bool:
        """Whether it has ended, well or not."""
        ...

    def view(self) -> MigrationView:
        """How far it is."""
        ...

    def finish(self) -> None:
        """Hear how it ended, once it is done. Raises BenchError where it did not work."""
        ...
