"""Modules stay small, named after things, and core stays pure."""

import ast
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "benchassist"
MODULES = sorted(PACKAGE.rglob("*.py"))
CORE = sorted((PACKAGE / "core").rglob("*.py"))
LINES = 300
NOT_NOUNS = {"util", "utils", "helper", "helpers", "common", "manager", "misc"}
# Core computes: it has no clock, no files, no threads, no words and no chance.
IMPURE = {
    *("asyncio", "gettext", "io", "locale", "logging", "multiprocessing", "os", "pathlib"),
    *("queue", "random", "select", "signal", "socket", "sqlite3", "subprocess", "sys"),
    *("tempfile", "threading", "time", "urllib"),
}
PURE = sys.stdlib_module_names - IMPURE | {"numpy"}


def label(path: Path) -> str:
    """Return the path as a test shows it."""
    return str(path.relative_to(ROOT))


def imported(path: Path) -> Iterator[str]:
    """Yield the full name of every module that a file imports."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.module or ""


def test_the_package_is_seen() -> None:
    """The checks below look at files that are there."""
    assert CORE
    assert len(MODULES) > len(CORE)


@pytest.mark.parametrize("path", MODULES, ids=label)
def test_a_module_is_short_and_named_after_a_thing(path: Path) -> None:
    """A module has at most 300 lines and its name is not a drawer for odds and ends."""
    assert len(path.read_text("utf-8").splitlines()) <= LINES
    assert not NOT_NOUNS & set(path.stem.split("_"))


@pytest.mark.parametrize("path", CORE, ids=label)
def test_core_is_pure(path: Path) -> None:
    """Core imports itself, the errors, numpy and the computing part of the standard library."""
    own = ("benchassist.core", "benchassist.errors")
    foreign = [
        name
        for name in imported(path)
        if not name.startswith(own) and name.split(".")[0] not in PURE
    ]
    assert foreign == []
