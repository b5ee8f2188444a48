"""A shop that is brought to this program's revision, while the window looks on."""

from collections.abc import Callable
from pathlib import Path
from typing import Final

from benchassist.services.front.migration_view import MigrationView
from benchassist.services.job import Job, Progress
from benchassist.services.translation import _

CLOSING_S: Final = 10.0
"""How long closing waits for it to be undone; after that it ends with the program, undone too."""

Work = Callable[[Progress, Callable[[Path], None]], None]
"""Brings it up; is told whom to tell how far it is, and where the copy is."""


class ShopMigration:
    """Satisfies `migration_view.MigrationDesk`; begins when it is made."""

    def __init__(self, work: Work, *, on_server: bool, only_compacts: bool = False) -> None:
        self._on_server, self._only_compacts = on_server, only_compacts
        self._copy: Path | None = None
        self._job = Job(lambda told: work(told, self._copied), "shop migration")

    def _copied(self, copy: Path) -> None:
        self._copy = copy

    @property
    def done(self) -> bool:
        """Whether it has ended, well or not."""
        return self._job.done

    def finish(self) -> None:
        """Hear how it ended. Raises BenchError where the shop is not brought up."""
        self._job.result()

    def view(self) -> MigrationView:
        """How far it is."""
        share = self._job.share or 0.0
        if self._only_compacts:
            return compaction_view(share)
        return migration_view(share, self._copy, on_server=self._on_server)

    def close(self) -> None:
        """Have it stopped: the shop is as it was, or brought up."""
        self._job.close(CLOSING_S)


def migration_view(share: float, copy: Path | None, *, on_server: bool = False) -> MigrationView:
    """What is said of it; `copy` is where one is that is whole."""
    text = (
        _("The shop is brought up to date: {percent} %")
        if on_server
        else _("The shop’s file is brought up to date: {percent} %")
    )
    if copy is not None:
        note = _("A copy as it was is {file} in {folder}.").format(
            file=copy.name, folder=copy.parent
        )
    else:
        note = _("A copy as it was comes first.")
    return _view(share, text, note)


def compaction_view(share: float) -> MigrationView:
    """What is said where that is left of one that was ended too soon."""
    return _view(
        share,
        _("The shop’s file is made smaller: {percent} %"),
        _("It is up to date, and gives back the room that it does not need any more."),
    )


def _view(share: float, text: str, note: str) -> MigrationView:
    leave = _("The window may be closed: the next start goes on with it.")
    percent = int(100.0 * share)
    return MigrationView(share=share, text=text.format(percent=percent), note=f"{note}\n{leave}")
