"""A shop of an earlier revision is brought to this program's: copied first, then changed.

Ended at any moment, by whatever, it is as it was or as it was to be.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from gettext import gettext as _
from pathlib import Path
from typing import Final

from benchassist.errors import BenchError, ShopFileError
from benchassist.storage.place import Place, ShopFile, ShopServer
from benchassist.storage.schema import EARLIER, HEAD
from benchassist.storage.shop_file import Standing, standing
from benchassist.storage.stage import COPY, Progress, Stages

REWRITTEN: Final = 0.9
"""What a shop file's log may take of the file's own size while every visit is written anew."""

LIGHT: Final = "0003"
"""From this revision on a migration writes no visit anew."""

Slot = Callable[[int], Path]
"""Where a copy of so many bytes goes."""

Copied = Callable[[Path], None]
"""Is told where the copy is, once it is whole."""


@dataclass(frozen=True, slots=True)
class Migration:
    """What is to be done to a shop of a revision."""

    place: Place
    revision: str

    @property
    def only_compacts(self) -> bool:
        """Whether the shop is of this program's revision, and its file larger than it needs."""
        return self.revision == HEAD

    @property
    def on_server(self) -> bool:
        """Whether the shop is on a server."""
        return isinstance(self.place, ShopServer)

    def run(
        self,
        slot: Slot,
        earlier: Iterable[Path] = (),
        *,
        progress: Progress | None = None,
        copied: Copied | None = None,
    ) -> None:
        """Copy the shop to a new file, then bring it up. Nothing of this program has it open.

        A copy among the `earlier` ones that still holds all of it does as well. Raises
        ShopFileError where it cannot be done: the shop is as it was then. What `progress` raises
        ends it, the same way.
        """
        stages = Stages(self.revision, progress, of_file=not self.on_server)
        stages.again()
        if self.only_compacts:
            self._make_compact(stages)
            return
        copy = next((c for c in earlier if self._is_in(c)), None) or self._copy(slot, stages)
        stages.told(COPY, 1, 1)
        if copied is not None:
            copied(copy)
        from benchassist.storage.engine import open_engines

        try:
            open_engines(self.place, read_only=False, stages=stages).dispose()
        except ShopFileError as error:
            raise self._failed(error, copy) from None
        stages.ended()

    def _is_in(self, copy: Path) -> bool:
        from benchassist.storage.earlier_copy import still_holds

        return still_holds(copy, self.place, self.revision)

    def _copy(self, slot: Slot, stages: Stages) -> Path:
        try:
            if isinstance(self.place, ShopServer):
                from benchassist.storage.server_copy import copy_to_file

                to = slot(0)
                copy_to_file(self.place, self.revision, to, stages.of(COPY))
            else:
                from benchassist.storage.backup import back_up, room_for
                from benchassist.storage.room import require_room

                path = self.place.path
                need = room_for(path)
                to, log = slot(need), round(need * REWRITTEN)
                require_room((to.parent, need), (path.parent, log if self._rewrites else 0))
                back_up(path, to, stages.of(COPY))
        except BenchError as error:
            raise ShopFileError(
                _(
                    "the shop is not brought up to date and stays as it was, because no copy of it "
                    "could be made first: {why}"
                ).format(why=error)
            ) from None
        return to

    @property
    def _rewrites(self) -> bool:
        return self.revision < LIGHT

    def _make_compact(self, stages: Stages) -> None:
        from sqlalchemy.exc import DBAPIError

        from benchassist.storage.engine import trouble, writing_engine
        from benchassist.storage.revision import make_compact

        engine = writing_engine(self.place)
        try:
            make_compact(engine, stages)
        except DBAPIError as error:
            raise trouble(self.place, error, opening=True) from None
        finally:
            engine.dispose()

    def _failed(self, error: ShopFileError, copy: Path) -> ShopFileError:
        """What is said of it. Of a server that is lost nobody knows whether it was done."""
        try:
            is_old = standing_of(self.place).revision == self.revision
        except BenchError:
            is_old = not self.on_server
        if is_old:
            words = _(
                "the shop could not be brought up to date and is as it was, with a copy in "
                "{copy}: {why}"
            )
        else:
            words = _(
                "the shop could not be brought up to date, a copy as it was is in {copy}: {why}"
            )
        return ShopFileError(words.format(copy=copy, why=error))


def standing_of(place: Place) -> Standing:
    """How a shop stands. Raises ShopFileError where it cannot be looked at."""
    if isinstance(place, ShopFile):
        is_there = place.path.is_file() and place.path.stat().st_size
        return standing(place.path, read_only=True) if is_there else Standing(None)
    from benchassist.storage.server_copy import revision_of

    return Standing(revision_of(place))


def due(place: Place) -> Migration | None:
    """What is to be done before a shop is opened; nearly always nothing. Raises ShopFileError."""
    stands = standing_of(place)
    if stands.revision in EARLIER or (stands.revision == HEAD and stands.loose):
        return Migration(place, stands.revision)
    return None
