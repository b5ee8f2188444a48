"""The window paints itself before anything heavy is imported."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
HEAVY = {
    *("numpy", "pyqtgraph", "pint", "sqlalchemy", "typer"),
    *("alembic", "psycopg", "serial", "cattrs", "tomlkit", "segno"),
}


def loaded(what: str, home: Path) -> set[str]:
    """Return what the program has imported by then."""
    arguments = [what] * bool(what) + [str(home)]
    done = subprocess.run(
        [sys.executable, "-m", "tests.end_to_end.first_paint", *arguments],
        cwd=ROOT,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stderr == ""
    return set(done.stdout.split())


def test_nothing_heavy_comes_before_the_first_paint(tmp_path: Path) -> None:
    """By the way of the command itself; the counter that can be used has all it needs."""
    first = loaded("", tmp_path / "home")
    assert "benchassist.ui.front" in first
    assert first & HEAVY == set()
    ready = loaded("--ready", tmp_path / "home")
    assert "sqlalchemy" in ready
    assert "typer" not in ready
