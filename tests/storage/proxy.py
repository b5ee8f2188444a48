"""What stands between a bench and its server: slow, silent, cut, or with answers that are lost."""

import socket
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import TracebackType
from typing import Self

from tests.postgres import PostgresServer

SOCKET = ".s.PGSQL.5432"
PIECE = 65536
JOIN_S = 5.0


class Proxy:
    """A server's socket in a folder of its own."""

    def __init__(self, server: PostgresServer) -> None:
        self.server = server
        self._far = Path(server.folder) / SOCKET
        self._folder = tempfile.TemporaryDirectory(prefix="bench-proxy-")
        self._threads: list[threading.Thread] = []
        self._pairs: list[tuple[socket.socket, socket.socket]] = []
        self._lock = threading.Lock()
        self._passes, self._answers = threading.Event(), threading.Event()
        self._passes.set()
        self._answers.set()
        self.delay_s = 0.0
        """Before each piece that passes, either way."""
        self._refusing = self._loses_commit = False
        self._ended = threading.Event()
        self._listener = socket.socket(socket.AF_UNIX)
        self._listener.bind(str(self._path))
        self._listener.listen(64)
        self._start(self._serve)

    def url(self, database: str) -> str:
        """The address of a database by this way."""
        return f"postgresql+psycopg://bench@/{database}?host={self._folder.name}"

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._ended.set()
        self.listen_again()
        with suppress(OSError):
            self._listener.shutdown(socket.SHUT_RDWR)
        self._listener.close()
        self._hang_up()
        for thread in self._threads:
            thread.join(JOIN_S)
        self._folder.cleanup()

    # --- what happens to the line -----------------------------------------------------------------

    @contextmanager
    def silent(self) -> Iterator[None]:
        """Nothing passes, and nobody is told."""
        self._passes.clear()
        try:
            yield
        finally:
            self._passes.set()

    @contextmanager
    def cut(self) -> Iterator[None]:
        """Every connection is ended, none can be made."""
        self._refusing = True
        self._path.rename(self._aside)
        self._hang_up()
        try:
            yield
        finally:
            self.listen_again()

    def lose_answers(self) -> None:
        """What is asked arrives, and no answer comes back, until `listen_again`."""
        self._answers.clear()

    def lose_answer_to_commit(self) -> None:
        """The next transaction is committed, and nobody hears of it, nor of anything after."""
        self._loses_commit = True

    def listen_again(self) -> None:
        """The line is as it was."""
        self._refusing = self._loses_commit = False
        if self._aside.exists():
            self._aside.rename(self._path)
        self._passes.set()
        self._answers.set()

    @property
    def _path(self) -> Path:
        return Path(self._folder.name) / SOCKET

    @property
    def _aside(self) -> Path:
        return self._path.with_name("aside")

    # --- within -----------------------------------------------------------------------------------

    def _start(self, work: object, *given: object) -> None:
        thread = threading.Thread(target=work, args=given, daemon=True)  # type: ignore[arg-type]
        self._threads.append(thread)
        thread.start()

    def _serve(self) -> None:
        while True:
            try:
                near, _address = self._listener.accept()
            except OSError:
                return
            far = socket.socket(socket.AF_UNIX)
            try:
                far.connect(str(self._far))
            except OSError:
                near.close()
                far.close()
                continue
            with self._lock:
                self._pairs.append((near, far))
            self._start(self._join, near, far)

    def _join(self, near: socket.socket, far: socket.socket) -> None:
        """Pass on both ways until one of the two ends."""
        answers = threading.Thread(target=self._pass_on, args=(far, near, self._answers))
        answers.start()
        self._pass_on(near, far, self._passes)
        answers.join()
        near.close()
        far.close()

    def _pass_on(self, source: socket.socket, target: socket.socket, gate: threading.Event) -> None:
        try:
            while piece := source.recv(PIECE):
                self._ended.wait(self.delay_s)
                self._passes.wait()
                gate.wait()
                if self._refusing:
                    break
                if self._loses_commit and gate is self._passes and b"COMMIT" in piece:
                    self._answers.clear()
                target.sendall(piece)
        except OSError:
            pass
        for end in (source, target):
            with suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)

    def _hang_up(self) -> None:
        with self._lock:
            pairs, self._pairs = self._pairs, []
        for pair in pairs:
            for end in pair:
                with suppress(OSError):
                    end.shutdown(socket.SHUT_RDWR)
