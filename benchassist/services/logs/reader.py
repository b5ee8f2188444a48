"""A log read and looked through in a thread of its own; what it found is fetched, never sent."""

from dataclasses import dataclass
from pathlib import Path
from threading import Event

from benchassist.core.run import HeatedPart
from benchassist.core.run_finding import EngineFinding, HeatFinding
from benchassist.services.errand import Errand
from benchassist.services.logs.detail import LogDetail
from benchassist.services.runs.analysis import (
    HEAT,
    SPEED,
    SpeedRequest,
    heat_finding,
    speed_finding,
    speeds_of,
)
from benchassist.services.runs.file import RunFile, RunReading
from benchassist.services.runs.run_time import evened


@dataclass(frozen=True, slots=True, kw_only=True)
class LogRequest:
    """A file and how it is to be read: as speeds where `speed` is given, else as ohms of `part`."""

    path: Path
    part: HeatedPart = HeatedPart.WINDING
    speed: SpeedRequest | None = None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LogFound:
    """A log, what it holds, and its samples for a closer look."""

    request: LogRequest
    log: RunFile
    finding: HeatFinding | EngineFinding
    detail: LogDetail


@dataclass(slots=True)
class Progress:
    """How far the reading is; written by its thread, read by any."""

    share: float = 0.0
    used: int = 0
    rejected: int = 0
    looking: bool = False
    """All is read; now it is looked through."""


class LogReader(Errand[LogFound | None]):
    """An errand that finds None where it was stopped."""

    def __init__(self, request: LogRequest) -> None:
        self.request = request
        self.progress = Progress()
        self._stopped = Event()
        super().__init__(self._found, "log reader")

    def stop(self) -> None:
        """Read no more. Nothing waits for the thread: it ends with its block of lines."""
        self._stopped.set()

    def close(self, timeout: float | None = 5.0) -> None:
        """Stop, and wait for the thread."""
        self.stop()
        super().close(timeout)

    def _found(self) -> LogFound | None:
        """In the thread. Raises BenchError for a log that cannot be used."""
        request, progress = self.request, self.progress
        reading = RunReading(request.path, HEAT if request.speed is None else SPEED)
        for share in reading.parts():
            if self._stopped.is_set():
                return None
            progress.share, progress.used = share, reading.rows
            progress.rejected = reading.rejected
        progress.looking = True
        log = evened(reading.result())
        finding: HeatFinding | EngineFinding
        if request.speed is None:
            samples, finding = log.samples, heat_finding(log, request.part)
        else:
            samples, finding = speeds_of(log, request.speed), speed_finding(log, request.speed)
        if self._stopped.is_set():
            return None
        detail = LogDetail(samples, log.celsius)
        return LogFound(request=request, log=log, finding=finding, detail=detail)
