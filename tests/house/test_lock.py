"""The locks agree with pyproject.toml and with each other and lead to no particular index."""

import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[2]
LOCKS = ("run.lock", "dev.lock")


def pins(lock: str) -> dict[str, str]:
    """Return name and version of what a lock installs on this interpreter, with its hashes."""
    text = (ROOT / "packaging" / lock).read_text("utf-8").replace("\\\n", " ")
    lines = [line for line in text.splitlines() if line and not line.lstrip().startswith("#")]
    held = {}
    for line in lines:
        requirement = Requirement(line.split(" --hash", 1)[0].strip())
        assert "--hash=sha256:" in line, f"{requirement.name} has no hash"
        if requirement.marker is None or requirement.marker.evaluate():
            (specifier,) = requirement.specifier
            held[canonicalize_name(requirement.name)] = specifier.version
    return held


@pytest.mark.parametrize("lock", LOCKS)
def test_a_lock_holds_what_the_project_asks_for(lock: str) -> None:
    """Every requirement of the project and its groups is pinned within its bounds."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    groups = ("build",) if lock == "run.lock" else ("build", "dev")
    asked = [*project["project"]["dependencies"]]
    asked += [line for group in groups for line in project["dependency-groups"][group]]
    held = pins(lock)
    for requirement in map(Requirement, asked):
        assert requirement.specifier.contains(held[canonicalize_name(requirement.name)])


def test_the_development_lock_holds_the_one_for_running() -> None:
    """One environment serves both: the same versions, so testing tests what runs."""
    assert pins("run.lock").items() <= pins("dev.lock").items()


@pytest.mark.parametrize("lock", LOCKS)
def test_a_lock_names_no_index(lock: str) -> None:
    """Where packages come from is the machine's own setting."""
    assert not re.search(r"://|--\w*index|--find-links", (ROOT / "packaging" / lock).read_text())
