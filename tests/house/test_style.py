"""The tree is formatted, linted, typed and layered; pyproject.toml says how."""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.background import Finished

ROOT = Path(__file__).resolve().parents[2]
BIN = Path(sys.executable).parent


def accepts(*command: str) -> None:
    """Fail with all that a checker says unless it is content."""
    done = subprocess.run(
        [str(BIN / command[0]), *command[1:]],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout


def test_every_file_follows_the_rules() -> None:
    """Ruff finds nothing outside the exceptions that pyproject.toml gives reasons for."""
    accepts("ruff", "check", "--output-format", "concise", ".")


def test_every_file_is_formatted() -> None:
    """The formatter would change no file."""
    accepts("ruff", "format", "--check", ".")


@pytest.mark.background([str(BIN / "mypy")])
@pytest.mark.timeout(300)
def test_every_type_holds(finished: Finished) -> None:
    """Mypy in strict mode finds nothing."""
    assert finished.code == 0, finished.output


def test_imports_run_one_way() -> None:
    """Every layer and every library's door is kept."""
    accepts("lint-imports", "--no-logo")


def test_dependencies_are_declared_and_used() -> None:
    """The package imports what pyproject.toml declares, all of it and nothing else."""
    accepts("deptry", "--no-ansi", "benchassist")
