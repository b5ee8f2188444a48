"""Programs that stand in for players and voices: each writes down what it was given."""

import os
import sys
from pathlib import Path

NOTE = """
import os, sys, time
with open(sys.argv[1], "a", encoding="utf-8") as file:
    said = os.environ.get("BENCHASSIST_SAID", "")
    file.write(f"{os.getpid()} {sys.argv[2]} {' '.join(sys.argv[3:]) or said}\\n")
print("this must not be seen")
print("nor this", file=sys.stderr)
"""


class Player:
    """Makes commands that end well, badly or never, and reads what they wrote."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def well(self, name: str) -> tuple[str, ...]:
        """A program that works."""
        return self._command(name, "")

    def badly(self, name: str) -> tuple[str, ...]:
        """One that fails, as where there is no device."""
        return self._command(name, "sys.exit(1)")

    def forever(self, name: str) -> tuple[str, ...]:
        """One that never ends by itself."""
        return self._command(name, "time.sleep(600)")

    def _command(self, name: str, ending: str) -> tuple[str, ...]:
        return (sys.executable, "-S", "-c", NOTE + ending, str(self._path), name)

    def _rows(self) -> list[list[str]]:
        if not self._path.exists():
            return []
        text = self._path.read_text("utf-8")
        return [line.split(" ", 1) for line in text.splitlines() if text.endswith("\n")]

    @property
    def lines(self) -> list[str]:
        """Name and what it was given, one a start."""
        return [row[1] for row in self._rows()]

    @property
    def ids(self) -> list[int]:
        """Their process ids."""
        return [int(row[0]) for row in self._rows()]


def gone(process: int) -> bool:
    """Whether a process has ended and been collected."""
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return True
    return False
