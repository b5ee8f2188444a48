#!/usr/bin/env python3
"""Set up Bench Assistant and start it: one command on a bare machine, standard library only.

    python3 packaging/bootstrap.py run [COMMAND ...]      the practice bench, or any command
    python3 packaging/bootstrap.py setup                  only install
    python3 packaging/bootstrap.py test [--long] [...]    every check; the rest goes to pytest
    python3 packaging/bootstrap.py bench [NAME ...]       the figures

It installs the system libraries that are missing (as root; else it names the line to run), makes
`.venv` and fills it from a lock of hashes. A stamp written last says what the environment holds,
so a second start takes seconds and a half-finished one is built anew.
"""

from __future__ import annotations  # an older Python must get as far as saying that it is too old

import argparse
import ctypes
import hashlib
import importlib.util
import json
import os
import shlex
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import NamedTuple

MOST_WORKERS = 4
"""Each has a database server and a virtual screen of its own where its tests ask for them."""

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
STAMP = VENV / "bench-assistant.json"
WANTED = (3, 11)
WINDOWS = os.name == "nt"
LINUX = sys.platform.startswith("linux")

SCREENLESS = {
    "libGL.so.1": "libgl1",
    "libEGL.so.1": "libegl1",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libfontconfig.so.1": "libfontconfig1",
    "libdbus-1.so.3": "libdbus-1-3",
    "libglib-2.0.so.0": "libglib2.0-0",
}
X_WINDOW = {
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}
WAYLAND_WINDOW = {
    "libwayland-client.so.0": "libwayland-client0",
    "libwayland-cursor.so.0": "libwayland-cursor0",
    "libwayland-egl.so.1": "libwayland-egl1",
}
TEST_PROGRAMS = {
    "Xvfb": "xvfb",
    "xauth": "xauth",
    "pdftotext": "poppler-utils",
    "pdftoppm": "poppler-utils",
    "initdb": "postgresql",
    "sqlite3": "sqlite3",
}
FIGURE_PROGRAMS = {"initdb": "postgresql"}
# What pip says when no package index answered.
NO_NETWORK = ("NewConnectionError", "NameResolutionError", "ConnectTimeoutError", "ProxyError")


class SetUpError(Exception):
    """Something the person at the terminal has to put right, in plain lines."""


class Purpose(NamedTuple):
    """What the environment is wanted for: its lock and what the system must offer."""

    lock: str
    libraries: Mapping[str, str]
    programs: Mapping[str, str]


def main(arguments: list[str]) -> int:
    """Do what the command line says; return the exit code of what was started."""
    parser = argparse.ArgumentParser(
        prog="bootstrap.py", description="Set up Bench Assistant and start it."
    )
    parser.add_argument("task", choices=("run", "setup", "test", "bench"))
    parser.add_argument("rest", nargs=argparse.REMAINDER, help="handed on to what is started")
    options = parser.parse_args(arguments)
    if sys.version_info[:2] != WANTED:
        return hand_over(arguments)
    try:
        prepare(PURPOSES[options.task]())
    except SetUpError as error:
        print(error, file=sys.stderr)
        return 1
    start: Mapping[str, Callable[[list[str]], int]] = {
        "run": run,
        "setup": report,
        "test": test,
        "bench": bench,
    }
    return start[options.task](options.rest)


def hand_over(arguments: list[str]) -> int:
    """Start again on Python 3.11, or say in one line that it is needed."""
    name = ".".join(map(str, WANTED))
    finder = ["py", f"-{name}"] if WINDOWS and shutil.which("py") else [f"python{name}"]
    if shutil.which(finder[0]) is None:
        found = ".".join(map(str, sys.version_info[:2]))
        print(
            f"Bench Assistant needs Python {name}; this is {found} and no python{name} is on PATH.",
            file=sys.stderr,
        )
        return 1
    return call([*finder, __file__, *arguments])


# What is started


def run(command: list[str]) -> int:
    """Open the practice bench; without a display play it and name the folder it leaves."""
    if command:
        return call([str(script("benchassist")), *command], env=surroundings())
    if has_display():
        return call([str(script("benchassist")), "practice"])
    folder = visit_folder()
    code = call(
        [str(script("benchassist")), "practice", "--headless", str(folder)], env=surroundings()
    )
    if code == 0:
        print(f"No display: the practice visit was played without a window. It is in {folder}")
    return code


def report(_rest: list[str]) -> int:
    """Say where the program stands."""
    print(f"Ready: {script('benchassist')}")
    return 0


def test(options: list[str]) -> int:
    """Run every check, shared among the processors; pytest has the last word."""
    offscreen = {**os.environ, "QT_QPA_PLATFORM": "offscreen"}
    # One more than there are processors: many tests wait for a meter's pace or a server.
    workers = min((os.cpu_count() or 1) + 1, MOST_WORKERS)
    shared = ["-n", str(workers), "--dist", "worksteal"]
    return call([str(python()), "-m", "pytest", *shared, *options], cwd=ROOT, env=offscreen)


def bench(names: list[str]) -> int:
    """Print the figures, all or those named."""
    return call([str(python()), "-m", "tests.benchmarks", *names], cwd=ROOT, env=surroundings())


def visit_folder() -> Path:
    """Return the folder for the practice visit: here, or at home where this is not writable."""
    here = Path.cwd()
    return (here if os.access(here, os.W_OK) else Path.home()) / "practice-visit"


def has_display() -> bool:
    """Return whether a window can be shown; Windows and macOS always can."""
    return not LINUX or any(os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY"))


def surroundings() -> dict[str, str]:
    """Return the environment for the program: offscreen where there is no display."""
    chosen = dict(os.environ)
    if not has_display():
        chosen.setdefault("QT_QPA_PLATFORM", "offscreen")
    return chosen


# What must stand first


def for_running() -> Purpose:
    """Return what the program itself needs here."""
    return Purpose("run.lock", window_libraries(), {})


def for_testing() -> Purpose:
    """Return what the whole check needs here."""
    return Purpose("dev.lock", window_libraries() | X_WINDOW, TEST_PROGRAMS)


def for_figures() -> Purpose:
    """Return what the figures need here."""
    return Purpose("dev.lock", window_libraries(), FIGURE_PROGRAMS)


def window_libraries() -> dict[str, str]:
    """Return the libraries that Qt loads for the kinds of display this session has."""
    libraries = dict(SCREENLESS)
    if os.environ.get("DISPLAY"):
        libraries |= X_WINDOW
    if os.environ.get("WAYLAND_DISPLAY"):
        libraries |= WAYLAND_WINDOW
    return libraries


PURPOSES: Mapping[str, Callable[[], Purpose]] = {
    "run": for_running,
    "setup": for_running,
    "test": for_testing,
    "bench": for_figures,
}


def prepare(purpose: Purpose) -> None:
    """Bring the system and the environment to what the purpose needs; quick when they are."""
    if LINUX and (missing := missing_packages(purpose)):
        provide(missing)
        importlib.invalidate_caches()
        if still := missing_packages(purpose):
            raise SetUpError(f"Installed, but not found by {sys.executable}: {' '.join(still)}")
    wanted = fingerprint(purpose.lock)
    stamp = read_stamp()
    if wanted in stamp:
        return
    print(
        f"Installing from packaging/{purpose.lock} into {VENV}; the first time takes a minute.",
        flush=True,
    )
    if not (stamp and environment_answers()):
        build_environment()
    STAMP.unlink(missing_ok=True)
    install(purpose.lock)
    # The development lock holds everything that the lock for running does.
    locks = {"run.lock", purpose.lock}
    STAMP.write_text(json.dumps(sorted(map(fingerprint, locks))), encoding="utf-8")


def missing_packages(purpose: Purpose) -> list[str]:
    """Return the Debian packages of the libraries and programs that are not there, sorted."""
    missing = {package for name, package in purpose.libraries.items() if not loads(name)}
    missing |= {package for name, package in purpose.programs.items() if not on_path(name)}
    if importlib.util.find_spec("ensurepip") is None:
        missing.add("python3-venv")
    return sorted(missing)


def loads(library: str) -> bool:
    """Return whether the dynamic linker finds the library."""
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def on_path(program: str) -> bool:
    """Return whether the program can be started; Debian keeps PostgreSQL's own off PATH."""
    return bool(shutil.which(program) or [*Path("/usr/lib/postgresql").glob(f"*/bin/{program}")])


def provide(packages: list[str]) -> None:
    """Install the packages as root; else raise SetUpError with the one line to run."""
    if shutil.which("apt-get") is None:
        raise SetUpError(
            "The system lacks what these Debian packages hold; install their like here: "
            + " ".join(packages)
        )
    install_line = ["apt-get", "install", "-y", "--no-install-recommends", *packages]
    if os.geteuid() != 0:
        raise SetUpError(
            "System packages are missing. Run this line, then start again:\n"
            f"sudo apt-get update && sudo {shlex.join(install_line)}"
        )
    print(f"Installing system packages: {' '.join(packages)}", flush=True)
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    updated = quietly(["apt-get", "update"], env=quiet)
    installed = quietly(install_line, env=quiet)
    if installed.returncode:
        raise SetUpError(
            tail(updated.stdout if updated.returncode else "", installed.stdout)
            + f"\napt-get could not install: {' '.join(packages)}"
        )


def fingerprint(lock: str) -> str:
    """Return the name of an environment made from this lock, by this interpreter, in this place."""
    import tomllib  # not in an older Python

    declared = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    parts = (
        (ROOT / "packaging" / lock).read_text(encoding="utf-8"),
        json.dumps([declared["project"], declared["build-system"]]),
        sys.version,
        str(Path(sys.base_prefix).resolve()),
        str(ROOT),
    )
    return f"{lock} {hashlib.sha256('|'.join(parts).encode()).hexdigest()}"


def read_stamp() -> list[str]:
    """Return what the environment holds, nothing where it was never finished."""
    try:
        held = json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return []
    return held if isinstance(held, list) and python().exists() else []


def environment_answers() -> bool:
    """Return whether the environment has this very Python and a working pip."""
    ask = "import pip, sys; print(sys.version)"
    try:
        answer = subprocess.run(
            [python(), "-c", ask], capture_output=True, encoding="utf-8", check=False
        )
    except OSError:
        return False
    return answer.stdout.strip() == sys.version.strip()


def build_environment() -> None:
    """Make the environment anew; whatever stood in its place goes."""
    if VENV.is_symlink() or VENV.is_file():
        VENV.unlink()
    elif VENV.exists():
        shutil.rmtree(VENV)
    # Not this very interpreter: it may be the one that has just been removed.
    base = getattr(sys, "_base_executable", sys.executable)
    made = quietly([base, "-m", "venv", str(VENV)])
    if made.returncode:
        raise SetUpError(tail(made.stdout) + f"\nThe environment {VENV} could not be made.")


def install(lock: str) -> None:
    """Fill the environment from the lock, every file held to its hash, then add the project."""
    pip = [str(python()), "-m", "pip", "--disable-pip-version-check", "install", "--quiet"]
    pip += ["--progress-bar", "off", "--retries", "2"]
    locked = ["--require-hashes", "--only-binary", ":all:", "-r", str(ROOT / "packaging" / lock)]
    project = ["--no-deps", "--no-build-isolation", "--no-index", "--editable", str(ROOT)]
    for step in (locked, project):
        done = quietly([*pip, *step], env=pip_surroundings())
        if done.returncode:
            offline = any(sign in done.stdout for sign in NO_NETWORK)
            raise SetUpError(
                "No package index answered; connect this machine for the set-up and start again."
                if offline
                else tail(done.stdout) + "\npip could not install; mend this and start again."
            )


def pip_surroundings() -> dict[str, str]:
    """Return the environment for pip without what would lead it out of the virtual one."""
    leading_out = {"PYTHONHOME", "PYTHONPATH", "PIP_TARGET", "PIP_PREFIX", "PIP_USER"}
    return {name: value for name, value in os.environ.items() if name not in leading_out}


# Small tools


def script(name: str) -> Path:
    """Return where the environment keeps a command."""
    return VENV / "Scripts" / f"{name}.exe" if WINDOWS else VENV / "bin" / name


def python() -> Path:
    """Return the environment's interpreter."""
    return script("python")


def tail(*outputs: str) -> str:
    """Return the last lines of what failed programs said."""
    lines: Iterable[str] = (line for output in outputs for line in output.strip().splitlines())
    return "\n".join([*lines][-12:])


def quietly(
    command: list[str], *, env: Mapping[str, str] | None = None
) -> subprocess.CompletedProcess[str]:
    """Run a program and keep what it says."""
    return subprocess.run(
        command,
        env=env,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        errors="replace",
        check=False,
    )


def call(
    command: list[str], *, cwd: Path | None = None, env: Mapping[str, str] | None = None
) -> int:
    """Run a program on this terminal, leave Ctrl-C to it, and return its exit code."""
    sys.stdout.flush()
    with subprocess.Popen(command, cwd=cwd, env=env) as child:
        while True:
            try:
                code = child.wait()
            except KeyboardInterrupt:
                continue
            return 128 - code if code < 0 else code


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
