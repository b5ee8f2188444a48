"""How a shop is read: one transaction a question."""

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from benchassist.errors import BenchError
from benchassist.storage.engine import Engines, trouble
from benchassist.storage.frozen import Thaw
from benchassist.storage.head import other_revision
from benchassist.storage.lease import Leases
from benchassist.storage.passing import may_pass
from benchassist.storage.place import Place


class Reads:
    """An open shop's connections for reading; what is read may be read from any thread."""

    _place: Place
    _engines: Engines
    _thaw: Thaw
    _leases: Leases
    _recorded: set[str]
    """The runs recorded here, which may not be on file yet."""

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        """A connection in one transaction, so that what is read together belongs together."""
        try:
            with self._engines.reader.begin() as connection:
                yield connection
        except DBAPIError as error:
            raise self._unread(error) from None

    def _unread(self, error: DBAPIError) -> BenchError:
        """Why the shop could not be read: its tables may be another program's by now."""
        moved_on = None if may_pass(error) else other_revision(self._engines.reader)
        return moved_on or trouble(self._place, error)
