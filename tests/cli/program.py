"""The program as its user calls it: a process, its exit code and its two streams."""

import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

GUARD = Path(__file__).parent / "guard"
CONNECTED = 77
"""The exit code of a guarded process that tried to connect; importing the guard would guard us."""
ROOT = Path(__file__).resolve().parents[2]
PATIENCE_S = 60.0
Document = dict[str, Any]
"""A JSON object."""


@dataclass(frozen=True, slots=True)
class Done:
    """How a command ended. `loaded` holds the modules its process had imported."""

    code: int
    out: str
    err: str
    loaded: frozenset[str]

    @property
    def json(self) -> Document:
        """The one JSON object on standard output; anything beside it fails the test."""
        assert self.out.endswith("\n"), self.err
        assert self.out.count("\n") == 1, self.out
        found: Document = json.loads(self.out)
        assert isinstance(found, dict)
        return found

    def has_loaded(self, package: str) -> bool:
        """Whether the process had imported a package."""
        return package in self.loaded

    def refused(self, *words: str, code: int = 2) -> None:
        """Fail unless it ended with this code and one plain line on standard error."""
        assert self.code == code, self.err or self.out
        assert self.out == ""
        (line,) = self.err.splitlines()
        assert not line.startswith(("Usage", "Error", "╭", "│")), line
        for word in words:
            assert word in line, line


Program = Callable[..., Done]


def surroundings(folder: Path, *, allowed: str = "") -> dict[str, str]:
    """The environment of a guarded process that has nothing of this user's."""
    here = {k: v for k, v in os.environ.items() if k not in {"DISPLAY", "WAYLAND_DISPLAY"}}
    here.pop("QT_QPA_PLATFORM", None)  # the program finds out by itself that there is no display
    return here | {
        "PYTHONPATH": os.pathsep.join((str(GUARD), str(ROOT))),
        "CONNECTIONS_ALLOWED": allowed,
        "LOADED_INTO": str(folder / "loaded.txt"),
        "XDG_DATA_HOME": str(folder / "data"),
        "XDG_RUNTIME_DIR": str(folder),
    }


def run(
    folder: Path, *arguments: str | Path, allowed: str = "", patience_s: float = PATIENCE_S
) -> Done:
    """Run a command in a folder and wait for it."""
    done = subprocess.run(
        [sys.executable, "-m", "benchassist.cli", *map(str, arguments)],
        cwd=folder,
        env=surroundings(folder, allowed=allowed),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        encoding="utf-8",
        timeout=patience_s,
        check=False,
    )
    list_file = folder / "loaded.txt"  # not there where the guard ended it
    loaded = frozenset(list_file.read_text("utf-8").splitlines() if list_file.exists() else ())
    list_file.unlink(missing_ok=True)
    assert "Traceback" not in done.stderr, done.stderr
    return Done(done.returncode, done.stdout, done.stderr, loaded)
