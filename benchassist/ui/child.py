"""A program started beside the window: the first of several that works, one at a time.

Nothing waits for it and nothing it says is shown; a newer one ends the one before.
"""

from collections.abc import Callable, Mapping, Sequence

from PySide6.QtCore import QObject, QProcess, QProcessEnvironment, QTimer

LONGEST_MS = 20_000
"""A program that takes longer hangs: a sound device that never opens."""


def nothing() -> None:
    """Nothing to do."""


class Child(QObject):
    """Runs commands, each a program and its arguments, until one ends well."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._process: QProcess | None = None
        self._left: list[Sequence[str]] = []
        self._failed: Callable[[], None] = nothing
        self._given: Mapping[str, str] = {}
        self._patience = QTimer(self)
        self._patience.setSingleShot(True)
        self._patience.setInterval(LONGEST_MS)
        self._patience.timeout.connect(self.stop)

    def run(
        self,
        commands: Sequence[Sequence[str]],
        *,
        failed: Callable[[], None] = nothing,
        given: Mapping[str, str] | None = None,
    ) -> None:
        """Start the first; the next one where it fails, and `failed` after the last.

        `given` is added to the environment.
        """
        self.stop()
        self._left, self._failed, self._given = [*commands], failed, given or {}
        self._patience.start()
        self._next()

    @property
    def running(self) -> bool:
        """Whether one of them is at work."""
        return self._process is not None

    def stop(self) -> None:
        """End what runs, and start no other."""
        self._left = []
        self._patience.stop()
        process, self._process = self._process, None
        if process is not None:
            process.errorOccurred.disconnect()
            process.finished.disconnect()
            process.finished.connect(process.deleteLater)
            process.kill()

    def close(self) -> None:
        """End what runs and see it gone."""
        self.stop()
        for process in self.findChildren(QProcess):
            process.waitForFinished(1000)

    def _next(self) -> None:
        if not self._left:
            self._patience.stop()
            self._failed()
            return
        program, *arguments = self._left.pop(0)
        process = QProcess(self)
        nowhere = QProcess.nullDevice()
        process.setStandardInputFile(nowhere)
        process.setStandardOutputFile(nowhere)
        process.setStandardErrorFile(nowhere)
        if self._given:
            around = QProcessEnvironment.systemEnvironment()
            for name, value in self._given.items():
                around.insert(name, value)
            process.setProcessEnvironment(around)
        process.errorOccurred.connect(self._could_not)
        process.finished.connect(self._ended)
        self._process = process
        process.start(program, arguments)

    def _could_not(self, error: QProcess.ProcessError) -> None:
        if error is QProcess.ProcessError.FailedToStart:
            self._drop()
            self._next()

    def _ended(self, code: int, status: QProcess.ExitStatus) -> None:
        self._drop()
        if code != 0 or status is not QProcess.ExitStatus.NormalExit:
            self._next()
        else:
            self._left = []
            self._patience.stop()

    def _drop(self) -> None:
        process, self._process = self._process, None
        if process is not None:
            process.deleteLater()
