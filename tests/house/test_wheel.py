"""The wheel is whole: installed by itself, elsewhere, it finds all that it ships."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SHIPPED = {
    "TOML profiles": "benchassist/profiles/**/*.toml",
    "demo data": "benchassist/demo_data/**/*.*",
    "fonts": "benchassist/paint/fonts/*.ttf",
    "font licences": "benchassist/paint/fonts/OFL-*.txt",
    "schema of the visit file": "benchassist/storage/**/*.json",
    "migrations": "benchassist/storage/migrations/versions/*.py",
}


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the wheel with what the lock holds and install it into a folder of its own."""
    build, target = tmp_path_factory.mktemp("wheel"), tmp_path_factory.mktemp("installed")
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check", "-q"]
    no_more = ["--no-deps", "--no-index", "--no-cache-dir"]
    subprocess.run(
        [*pip, "wheel", *no_more, "--no-build-isolation", "-w", str(build), str(ROOT)], check=True
    )
    (wheel,) = build.glob("*.whl")
    subprocess.run([*pip, "install", *no_more, "--target", str(target), str(wheel)], check=True)
    return target


@pytest.mark.parametrize("pattern", SHIPPED.values(), ids=SHIPPED.keys())
def test_the_wheel_ships(installed: Path, pattern: str) -> None:
    """What the program reads at run time is in the wheel."""
    assert [*installed.glob(pattern)]


def test_the_wheel_holds_nothing_else(installed: Path) -> None:
    """Tests and set-up stay out of an installation."""
    assert {entry.name for entry in installed.iterdir() if entry.name != "bin"} == {
        "benchassist",
        "benchassist-0.1.0.dist-info",
    }


@pytest.mark.skipif(
    not (ROOT / "benchassist" / "cli").exists(), reason="benchassist/cli is not written yet"
)
def test_an_installed_wheel_finds_its_profiles(installed: Path, tmp_path: Path) -> None:
    """`specs check` of the installed package, run from elsewhere, reads and accepts its own."""
    where = {**os.environ, "PYTHONPATH": str(installed)}

    def python(*arguments: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, *arguments],
            cwd=tmp_path,
            env=where,
            capture_output=True,
            text=True,
            check=False,
        )

    found = python("-c", "import benchassist.cli; print(benchassist.__file__)")
    assert Path(found.stdout.strip()).is_relative_to(installed), found.stderr
    done = python("-m", "benchassist.cli", "specs", "check")
    assert done.returncode == 0, done.stdout + done.stderr
