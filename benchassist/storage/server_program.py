"""The server's own programs at work on this computer: one that dumps, one that reads a dump."""

import os
import shutil
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from gettext import gettext as _
from pathlib import Path
from typing import IO, Final, Self
from urllib.parse import unquote, urlsplit, urlunsplit

from benchassist.errors import BenchError
from benchassist.storage.place import ShopServer

ASKED_EVERY_S: Final = 0.1
"""Between two looks at a program at work."""

SILENCE_S: Final = 120.0
"""How long a program may write and say nothing before its server counts as lost."""

Told = Callable[[], None]
"""Is called while a program works; what it raises ends it."""


class DumpError(BenchError):
    """The server's own program is not here, or could not do it."""


def program(name: str) -> str:
    """Return where a program of the server's is. Raises DumpError where it is not here."""
    found = shutil.which(name)
    if found is None:
        raise DumpError(_("{program} is not on this computer").format(program=name))
    return found


class Program:
    """One of the server's own programs at work; it does not outlive this.

    `reads`: what it writes to its output is fetched by `lines`, all of it, before `wait`.
    """

    def __init__(self, command: list[str], secret: dict[str, str], *, reads: bool = False) -> None:
        self.said: list[str] = []
        self._name = Path(command[0]).name
        self._process = subprocess.Popen(
            command,
            # Its words are looked at here; nobody else reads them.
            env=os.environ | secret | {"LC_ALL": "C", "PGCONNECT_TIMEOUT": "5"},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE if reads else subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
        )
        assert self._process.stderr is not None  # noqa: S101 - asked for above
        self._listening = threading.Thread(
            target=self._hear, args=(self._process.stderr,), name=self._name, daemon=True
        )
        self._listening.start()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_error: object) -> None:
        self._process.kill()
        self._process.wait()
        self._listening.join()
        if self._process.stdout is not None:
            self._process.stdout.close()

    def lines(self) -> Iterator[bytes]:
        """What it writes, line by line as it comes."""
        assert self._process.stdout is not None  # noqa: S101 - for who asked to read
        yield from self._process.stdout

    def wait(self, told: Told | None = None, moves: Callable[[], int] | None = None) -> None:
        """Wait for its end, of one that needs a server only while `moves` is another number.

        Raises DumpError.
        """
        before, since_s = (0, 0), time.monotonic()
        while not self._has_ended():
            if told is not None:
                told()
            now = (0 if moves is None else moves(), len(self.said))
            if moves is None or now != before:
                before, since_s = now, time.monotonic()
            elif time.monotonic() - since_s > SILENCE_S:
                raise DumpError(_("{program} got no answer").format(program=self._name))
        self._listening.join()
        if self._process.returncode:
            wrong = [line for line in self.said if "error:" in line] or self.said[-1:]
            said = wrong[0] if wrong else _("it does not say why")
            raise DumpError(_("{program} failed: {said}").format(program=self._name, said=said))

    def _has_ended(self) -> bool:
        try:
            self._process.wait(ASKED_EVERY_S)
        except subprocess.TimeoutExpired:
            return False
        return True

    def _hear(self, pipe: IO[bytes]) -> None:
        with pipe:
            for line in pipe:
                self.said.append(line.decode("utf-8", "replace").strip())


def address_of(server: ShopServer) -> tuple[str, dict[str, str]]:
    """The address as the server's programs take it; the password goes where no list shows it."""
    parts = urlsplit(server.url)
    user, at, host = parts.netloc.rpartition("@")
    name, _colon, password = user.partition(":")
    address = urlunsplit(parts._replace(scheme="postgresql", netloc=f"{name}{at}{host}"))
    return address, {"PGPASSWORD": unquote(password)} if password else {}
