"""What the page of the shop's records shows, and the desk it asks; the window decides nothing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Protocol

from benchassist.services.front.counter_view import Field

PATH, TYPED = "path", "typed"
"""Keys of fields that the page knows: a file, and what is typed to confirm."""


class RecordsStage(StrEnum):
    """Where the page stands."""

    HOME = "home"
    BACKUP = "backup"
    """To a place of its own."""
    LOOK = "look"
    """A backup beside the present shop."""
    IMPORT = "import"
    EXPORT = "export"
    FIND = "find"
    """A customer."""
    ERASE = "erase"
    WORK = "work"
    """A thread works."""
    DONE = "done"
    """What came of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordRow:
    """A line of a list: a backup, or a machine of a customer. `key` is what is chosen by it."""

    key: str
    title: str
    detail: str
    value: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetView:
    """The paper on the left: what is looked at, as names and texts."""

    title: str = ""
    remark: str = ""
    name: str = ""
    pairs: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordsView:
    """Everything on the page.

    `fields` are to be filled in, `main_text` is what is done with them; `asked` is another number
    whenever they are to be asked anew. `share` is how much is done, 0 to 1, None while that is not
    known. `lines` are said one below the other, the first of them large. `renewals` counts how
    often the desks had to be asked for anew.
    """

    stage: RecordsStage = RecordsStage.HOME
    title: str = ""
    detail: str = ""
    sheet: SheetView = SheetView()
    rows: tuple[RecordRow, ...] = ()
    rows_text: str = ""
    """What the list is of, or why it is empty."""
    lines: tuple[str, ...] = ()
    fields: tuple[Field, ...] = ()
    asked: int = 0
    main_text: str = ""
    share: float | None = None
    progress_text: str = ""
    may_stop: bool = False
    note: str = ""
    error: str = ""
    renewals: int = 0


class RecordsDesk(Protocol):
    """The shop's records. Whatever takes long is begun here and fetched by `tick`."""

    def begin(self) -> None:
        """The page comes to the front: look anew, unless work is under way."""
        ...

    def tick(self) -> None:
        """Fetch what work came to. From the GUI thread."""
        ...

    def view(self) -> RecordsView:
        """What the page shows now."""
        ...

    def under(self, key: str) -> SheetView:
        """What the paper shows while the cursor is on that row."""
        ...

    def back_up(self) -> None:
        """Make a backup now. Raises StepError while other work is under way."""
        ...

    def look_at(self, file: Path) -> None:
        """See what restoring a backup would do. Raises StepError."""
        ...

    def ask(self, stage: RecordsStage) -> None:
        """Go to a backup elsewhere, import, export or find. Raises StepError."""
        ...

    def choose(self, key: str) -> None:
        """The machine of a customer that was found: see what would be erased. Raises StepError."""
        ...

    def submit(self, answers: Mapping[str, str]) -> None:
        """Do what the fields ask for. Raises InputError naming the field, StepError."""
        ...

    def drop(self, paths: Sequence[Path]) -> None:
        """Files dropped on the page: to be imported, or looked at. Raises StepError."""
        ...

    def stop(self) -> None:
        """Stop the work, where that is possible."""
        ...

    def leave(self) -> bool:
        """One step back; False where the page itself is to be left."""
        ...


class MachineEditDesk(Protocol):
    """A machine's particulars, to be changed."""

    @property
    def tag(self) -> str:
        """The machine's tag as it stands."""
        ...

    @property
    def kept(self) -> bool:
        """Whether what was handed in is on disk."""
        ...

    @property
    def trouble(self) -> str:
        """Why it is not, in one line."""
        ...

    def form(self) -> tuple[Field, ...]:
        """The fields with what stands in them."""
        ...

    def keep(self, fields: Mapping[str, str]) -> None:
        """Hand them in. Raises InputError naming the field, StepError."""
        ...

    def tick(self) -> None:
        """Take in what the store says."""
        ...
