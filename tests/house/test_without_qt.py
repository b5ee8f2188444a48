"""Everything below the window works on a machine without Qt."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
BLOCK = """
import sys
class NoQt:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in {"PySide6", "shiboken6", "pyqtgraph", "pytestqt"}:
            raise ModuleNotFoundError(f"blocked for this check: {name}", name=name)
sys.meta_path.insert(0, NoQt())
"""
IMPORT_ALL = """
import importlib, pkgutil
found = []
for name in ("errors", "units", "core", "meters", "storage", "specbook", "services"):
    module = importlib.import_module(f"benchassist.{name}")
    found.append(module.__name__)
    for part in pkgutil.walk_packages(getattr(module, "__path__", ()), f"{module.__name__}."):
        if ".migrations" not in part.name:
            importlib.import_module(part.name)
            found.append(part.name)
print(len(found))
"""
RUN_TESTS = """
import pytest
class QtOptions:  # the configuration names them, strictly, and their plugin is not there
    def pytest_addoption(self, parser):
        parser.addini("qt_api", "of pytest-qt")
        parser.addini("qt_log_level_fail", "of pytest-qt")
sys.exit(pytest.main(["-q", "-p", "no:pytest-qt", "-p", "no:cacheprovider", *sys.argv[1:]],
    plugins=[QtOptions()]))
"""


def without_qt(program: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run a program in which no import of Qt can succeed."""
    return subprocess.run(
        [sys.executable, "-c", BLOCK + program, *arguments],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )


def test_the_lower_layers_import_without_qt() -> None:
    """Core, units, meters, storage, spec book and services import where Qt does not."""
    done = without_qt(IMPORT_ALL)
    assert done.returncode == 0, done.stdout
    assert int(done.stdout) > 20


@pytest.mark.long
@pytest.mark.timeout(600)
def test_the_lower_layers_pass_their_tests_without_qt() -> None:
    """The tests of core, units, meters, storage, spec book and services hold without Qt."""
    folders = ("core", "published", "meters", "storage", "specbook", "services")
    done = without_qt(RUN_TESTS, *(f"tests/{name}" for name in folders))
    assert done.returncode == 0, done.stdout
