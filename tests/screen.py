"""A virtual X screen for the few tests that want a real window: a plugin.

The test process itself stays offscreen; what needs the screen runs in a child process with
`Screen.environment`, and `Screen.shot` writes what the screen shows.
"""

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

SIZE = "1366x768x24"
GRAB = """
import sys
from PySide6.QtGui import QGuiApplication
app = QGuiApplication([])
if not app.primaryScreen().grabWindow(0).save(sys.argv[1]):
    sys.exit(f"cannot write {sys.argv[1]}")
"""


@dataclass(frozen=True, slots=True)
class Screen:
    """A running virtual screen of 1366 x 768."""

    display: str

    def environment(self) -> dict[str, str]:
        """Return the environment in which Qt opens its windows on this screen."""
        here = {name: value for name, value in os.environ.items() if name != "WAYLAND_DISPLAY"}
        return here | {"DISPLAY": self.display, "QT_QPA_PLATFORM": "xcb"}

    def shot(self, path: Path) -> None:
        """Write a PNG of the whole screen."""
        subprocess.run(
            [sys.executable, "-c", GRAB, str(path)],
            env=self.environment(),
            check=True,
        )


@pytest.fixture(scope="session")
def screen() -> Iterator[Screen]:
    """Start Xvfb on a free display for the run; skip without it, in CI fail."""
    if shutil.which("Xvfb") is None:
        lacking = "Xvfb is not installed; bootstrap.py test installs it as root"
        if os.environ.get("CI"):
            pytest.fail(lacking)
        pytest.skip(lacking)
    reading, writing = os.pipe()
    with subprocess.Popen(
        ["Xvfb", "-displayfd", str(writing), "-screen", "0", SIZE, "-nolisten", "tcp"],
        pass_fds=(writing,),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    ) as server:
        os.close(writing)
        try:
            # The server writes the number once it listens, and closes the pipe if it cannot.
            with os.fdopen(reading) as ready:
                number = ready.readline().strip()
            if not number:
                pytest.fail("Xvfb ended before it had a display")
            yield Screen(f":{number}")
        finally:
            server.terminate()
