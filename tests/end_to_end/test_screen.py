"""The program on a virtual screen, through the window system a person has."""

import subprocess
import sys
from pathlib import Path

from PySide6.QtGui import QImage

from benchassist.storage import open_store
from tests.cli.program import ROOT
from tests.screen import Screen

COLOURS = 10
"""A picture of the window has at least so many; an empty one has one or two."""


def test_the_program_works_on_a_screen(screen: Screen, tmp_path: Path) -> None:
    """From the command to a visit on the bench by keys; no word on standard error, and on file."""
    picture = tmp_path / "window.png"
    done = subprocess.run(
        [sys.executable, "-m", "tests.end_to_end.screen_run", str(tmp_path / "home"), str(picture)],
        cwd=ROOT,
        env=screen.environment(),
        capture_output=True,
        text=True,
        timeout=90,
        check=False,
    )
    assert done.stderr == ""
    assert done.returncode == 0
    assert done.stdout == "xcb bench\n"
    shown = QImage(str(picture))
    assert (shown.width(), shown.height()) == (1366, 768)
    small = shown.scaled(136, 76)
    assert len({small.pixel(x, y) for x in range(136) for y in range(76)}) >= COLOURS
    with open_store(tmp_path / "home" / "shop.sqlite") as store:
        (visit,) = store.visits()
    assert visit.machine.customer == "Amberley Nursery"
    assert visit.complaint == "Quits hot, restarts cold"
