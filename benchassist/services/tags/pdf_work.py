"""The PDF of the tags: drawn beside the window, one at a time, whichever page asked for it."""

from collections.abc import Callable
from pathlib import Path
from typing import Final

from benchassist.errors import StepError
from benchassist.services.job import Job, Progress
from benchassist.services.translation import _

PATIENCE_S: Final = 10.0
"""How long a program that is closed waits for a PDF under way, and then for it to stop."""


class PdfWork:
    """What is asked for goes on, though the page that asked be left."""

    def __init__(self) -> None:
        self._job: Job[None] | None = None
        self._path = Path()

    @property
    def share(self) -> float | None:
        """How much of it is drawn, 0 to 1; None while there is nothing to draw."""
        return None if self._job is None else self._job.share or 0.0

    def begin(self, path: Path, write: Callable[[Progress], None]) -> None:
        """Have it written. Raises StepError while another one is."""
        if self._job is not None:
            raise StepError(_("a PDF is being made: wait until it is kept"))
        self._path, self._job = path, Job(write, "tags")

    def news(self) -> Path | None:
        """The file, once it is kept. Raises PrintError, once, where it cannot be."""
        job = self._job
        if job is None or not job.done:
            return None
        self._job = None
        job.result()
        return self._path

    def close(self) -> None:
        """Let it come to its end, then stop it: a file is there as a whole or not at all."""
        job = self._job
        if job is not None:
            job.wait(PATIENCE_S)
            job.stop()
            job.wait(PATIENCE_S)
