"""The set-up: what it finds missing, what it says, and when it builds anew."""

import importlib.util
import json
import os
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parents[2]
BOOTSTRAP = ROOT / "packaging" / "bootstrap.py"


@pytest.fixture
def bootstrap(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """Load the set-up as a module that works on a copy of the project's few files."""
    spec = importlib.util.spec_from_file_location("bootstrap", BOOTSTRAP)
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    (tmp_path / "packaging").mkdir()
    for name in ("pyproject.toml", "packaging/run.lock", "packaging/dev.lock"):
        (tmp_path / name).write_text((ROOT / name).read_text("utf-8"), "utf-8")
    monkeypatch.setattr(module, "ROOT", tmp_path)
    monkeypatch.setattr(module, "VENV", tmp_path / ".venv")
    monkeypatch.setattr(module, "STAMP", tmp_path / ".venv" / "bench-assistant.json")
    return module


@pytest.fixture
def steps(bootstrap: ModuleType, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Replace making and filling the environment by notes of what was done."""
    done: list[str] = []

    def build() -> None:
        done.append("build")
        bootstrap.python().parent.mkdir(parents=True, exist_ok=True)
        if not bootstrap.python().exists():
            # A link would leave the environment whose pip is asked for.
            bootstrap.python().write_text(f'#!/bin/sh\nexec "{sys.executable}" "$@"\n')
            bootstrap.python().chmod(0o755)

    monkeypatch.setattr(bootstrap, "missing_packages", lambda _purpose: [])
    monkeypatch.setattr(bootstrap, "build_environment", build)
    monkeypatch.setattr(bootstrap, "install", done.append)
    return done


def test_a_second_start_does_nothing(bootstrap: ModuleType, steps: list[str]) -> None:
    """Once the stamp is written the environment is taken as it is."""
    bootstrap.prepare(bootstrap.for_running())
    bootstrap.prepare(bootstrap.for_running())
    assert steps == ["build", "run.lock"]


def test_testing_covers_running_but_not_the_reverse(
    bootstrap: ModuleType, steps: list[str]
) -> None:
    """The development lock is laid over the one for running and then serves both."""
    bootstrap.prepare(bootstrap.for_running())
    bootstrap.prepare(bootstrap.for_testing())
    bootstrap.prepare(bootstrap.for_running())
    assert steps == ["build", "run.lock", "dev.lock"]


def test_a_changed_lock_is_installed_over(bootstrap: ModuleType, steps: list[str]) -> None:
    """A new lock is filled in without making the environment anew."""
    bootstrap.prepare(bootstrap.for_running())
    with (bootstrap.ROOT / "packaging" / "run.lock").open("a") as lock:
        lock.write("# changed\n")
    bootstrap.prepare(bootstrap.for_running())
    assert steps == ["build", "run.lock", "run.lock"]


def test_a_half_finished_environment_is_built_anew(
    bootstrap: ModuleType, steps: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """An installation that broke off leaves no stamp, so the next start begins afresh."""

    def broken(_lock: str) -> None:
        steps.append("broken")
        raise bootstrap.SetUpError

    with monkeypatch.context() as patch:
        patch.setattr(bootstrap, "install", broken)
        with pytest.raises(bootstrap.SetUpError):
            bootstrap.prepare(bootstrap.for_running())
    bootstrap.prepare(bootstrap.for_running())
    assert steps == ["build", "broken", "build", "run.lock"]


@pytest.mark.parametrize("damage", ["interpreter gone", "stamp garbled"])
def test_a_damaged_environment_is_built_anew(
    bootstrap: ModuleType, steps: list[str], damage: str
) -> None:
    """Without its interpreter or with an unreadable stamp an environment is not trusted."""
    bootstrap.prepare(bootstrap.for_running())
    if damage == "interpreter gone":
        bootstrap.python().unlink()
    else:
        bootstrap.STAMP.write_text("[")
    bootstrap.prepare(bootstrap.for_running())
    assert steps == ["build", "run.lock", "build", "run.lock"]


def test_another_interpreter_makes_another_environment(
    bootstrap: ModuleType, steps: list[str]
) -> None:
    """A stamp of another place or Python does not count as this one's."""
    bootstrap.prepare(bootstrap.for_running())
    held = json.loads(bootstrap.STAMP.read_text())
    assert held == [bootstrap.fingerprint("run.lock")]
    bootstrap.python().write_text("#!/bin/sh\necho 3.11.0 of another make\n")
    bootstrap.python().chmod(0o755)
    bootstrap.STAMP.write_text(json.dumps(["run.lock of another Python"]))
    bootstrap.prepare(bootstrap.for_running())
    assert steps == ["build", "run.lock", "build", "run.lock"]


@pytest.mark.skipif(os.name == "nt", reason="system packages are Debian's")
def test_without_root_it_names_the_line_to_run(
    bootstrap: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is missing is put into one line that a person can paste."""
    monkeypatch.setattr(bootstrap, "loads", lambda name: name != "libEGL.so.1")
    monkeypatch.setattr(bootstrap, "on_path", lambda name: name != "pdftotext")
    monkeypatch.setattr(bootstrap.os, "geteuid", lambda: 1000)
    monkeypatch.setattr(bootstrap.shutil, "which", lambda _name: "/usr/bin/apt-get")
    missing = bootstrap.missing_packages(bootstrap.for_testing())
    assert missing == ["libegl1", "poppler-utils"]
    with pytest.raises(
        bootstrap.SetUpError, match=r"sudo apt-get install .* libegl1 poppler-utils"
    ):
        bootstrap.provide(missing)


@pytest.mark.skipif(os.name == "nt", reason="system packages are Debian's")
def test_without_apt_it_names_what_is_missing(
    bootstrap: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On another Linux the names of Debian's packages are a hint, not a command."""
    monkeypatch.setattr(bootstrap.shutil, "which", lambda _name: None)
    with pytest.raises(bootstrap.SetUpError, match="install their like here: libegl1"):
        bootstrap.provide(["libegl1"])


def test_a_missing_library_is_seen(bootstrap: ModuleType) -> None:
    """The dynamic linker decides, not a package list."""
    assert not bootstrap.loads("libno-such-library.so.9")


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="other systems have a display")
def test_without_a_display_qt_is_told(
    bootstrap: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Offscreen only where there is no display, and never against the person's own choice."""
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"):
        monkeypatch.delenv(name, raising=False)
    assert bootstrap.surroundings()["QT_QPA_PLATFORM"] == "offscreen"
    monkeypatch.setenv("QT_QPA_PLATFORM", "vnc")
    assert bootstrap.surroundings()["QT_QPA_PLATFORM"] == "vnc"
    monkeypatch.delenv("QT_QPA_PLATFORM")
    monkeypatch.setenv("DISPLAY", ":7")
    assert "QT_QPA_PLATFORM" not in bootstrap.surroundings()
    assert bootstrap.for_running().libraries.keys() >= bootstrap.X_WINDOW.keys()


def test_pip_failing_for_want_of_a_network_is_said_plainly(
    bootstrap: ModuleType, steps: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """One line instead of pip's retries."""
    monkeypatch.undo()
    said = "WARNING: Retrying after connection broken by 'NewConnectionError(...)'\nERROR: No match"
    answer = subprocess.CompletedProcess([], 1, stdout=said)
    monkeypatch.setattr(bootstrap, "quietly", lambda *_command, **_options: answer)
    with pytest.raises(bootstrap.SetUpError, match="No package index answered"):
        bootstrap.install("run.lock")
    assert steps == []


def test_exit_codes_and_options_pass_through(bootstrap: ModuleType) -> None:
    """What is started decides the exit code; a signal shows as a shell shows it."""
    assert bootstrap.call([sys.executable, "-c", "raise SystemExit(5)"]) == 5
    assert bootstrap.call([sys.executable, "-c", "import os; os.kill(os.getpid(), 9)"]) == 137


def test_options_after_the_task_are_handed_on(
    bootstrap: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`test --long -x` gives pytest both options, after how the tests are shared out."""
    calls: list[list[str]] = []
    monkeypatch.setattr(bootstrap, "prepare", lambda _purpose: None)
    monkeypatch.setattr(bootstrap, "call", lambda command, **_options: calls.append(command) or 3)
    assert bootstrap.main(["test", "--long", "-x"]) == 3
    command = calls[0][1:]
    assert (command[:3], command[-2:]) == (["-m", "pytest", "-n"], ["--long", "-x"])


def test_an_older_python_is_told_in_one_line(
    bootstrap: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without a Python 3.11 on PATH the set-up names what it needs and stops."""
    monkeypatch.setattr(bootstrap, "WANTED", (3, 99))
    monkeypatch.setattr(bootstrap.shutil, "which", lambda _name: None)
    assert bootstrap.main(["setup"]) == 1
    error = capsys.readouterr().err
    assert error.count("\n") == 1
    assert "needs Python 3.99" in error
