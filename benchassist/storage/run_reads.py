"""What is asked of a shop's runs."""

from typing import TYPE_CHECKING

from sqlalchemy import Connection

from benchassist.core.run import RunGap, RunHeader
from benchassist.storage.reads import Reads

if TYPE_CHECKING:
    from benchassist.core.samples import Column, Samples
    from benchassist.storage.run_record import RunRecord


class RunReads(Reads):
    """What is asked of runs and their samples."""

    def run_header(self, run_id: str) -> RunHeader:
        """What a run is. Raises NotFoundError."""
        from benchassist.storage import run_query

        with self._reading() as connection:
            return run_query.header(connection, run_id)

    def run_channels(self, run_id: str) -> tuple[str, ...]:
        """The channels of a run, in the order in which they came. Raises NotFoundError."""
        from benchassist.storage import run_query

        with self._reading() as connection:
            return run_query.channels(connection, run_id)

    def run_samples(
        self,
        run_id: str,
        channel: str,
        *,
        start_s: float = float("-inf"),
        end_s: float = float("inf"),
    ) -> "Samples":
        """The samples of a channel, held and foreign ones left out. Raises NotFoundError."""
        from benchassist.core.samples import Samples
        from benchassist.storage import run_query

        with self._reading() as connection:
            if self._is_beginning(connection, run_id):
                return Samples.none()
            return run_query.samples(connection, (run_id, channel), start_s=start_s, end_s=end_s)

    def run_envelope(
        self, run_id: str, channel: str, *, start_s: float, end_s: float, buckets: int
    ) -> "tuple[Column, Column, Column]":
        """Times, lowest and highest values of at most so many buckets. Raises NotFoundError.

        A high of inf is an overload, a low of inf says that there was nothing else.
        """
        from benchassist.core.samples import Samples
        from benchassist.storage.run_envelope import envelope

        with self._reading() as connection:
            if self._is_beginning(connection, run_id):
                return Samples.none().t_s, Samples.none().value, Samples.none().value
            return envelope(
                connection, (run_id, channel), start_s=start_s, end_s=end_s, buckets=buckets
            )

    def run_gaps(self, run_id: str) -> tuple[RunGap, ...]:
        """What is missing, in order of time. Raises NotFoundError."""
        from benchassist.storage import run_query

        with self._reading() as connection:
            if self._is_beginning(connection, run_id):
                return ()
            return run_query.gaps(connection, run_id)

    def run_extent(self, run_id: str) -> tuple[float, float]:
        """Seconds of the first and the last sample. Raises NotFoundError."""
        from benchassist.storage import run_query

        with self._reading() as connection:
            return run_query.extent(connection, run_id)

    def run_record(self, run_id: str) -> "RunRecord":
        """Everything kept of a run, for the export. Raises NotFoundError."""
        from benchassist.storage.run_record import record_of

        with self._reading() as connection:
            return record_of(connection, run_id)

    def _is_beginning(self, connection: Connection, run_id: str) -> bool:
        """Whether a run is recorded here and not on file yet."""
        from benchassist.storage import run_query

        return run_id in self._recorded and run_query.find_header(connection, run_id) is None
