"""`log` reads an instrument that is not ours: a third-party simulator in a process of its own."""

import csv
import json
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.cli.program import ROOT, Document, run, surroundings
from tests.meters.test_independent_instrument import instrument

SCRIPT: list[list[object]] = [[f"+{n}.{n}0000000E+03", 0.01] for n in range(1, 9)]
VALUES = [1100.0, 2200.0, 3300.0, 4400.0, 5500.0, 6600.0]
"""What the first readings of the script are; nothing is lost and nothing comes twice."""
KEYS = [
    *("t_s", "channel", "function", "value", "unit"),
    *("resolution", "range", "overload", "flags"),
]
LOST_S = 10.0
MARGIN_S = 5.0
PATIENCE_S = 30.0


def host(address: str) -> str:
    """What the guard of the process lets through: host and number of a socket address."""
    return address.removeprefix("socket://")


def read(lines: list[str]) -> list[Document]:
    """Return the readings that are printed, each on its own line."""
    return [json.loads(line) for line in lines]


@pytest.mark.parametrize("way", ["tcp", "pty"])
def test_it_is_read_in_order(tmp_path: Path, way: str) -> None:
    """Over the network and over a terminal: every value, in order, with range and resolution."""
    with instrument(tmp_path, SCRIPT) as at:
        done = run(
            tmp_path,
            *("log", "--port", at[way], "--protocol", "scpi", "--count", len(VALUES)),
            *("--out", tmp_path / "log.csv"),
            allowed=host(at["tcp"]) if way == "tcp" else "",
        )
    assert done.code == 0, done.err
    readings = read(done.out.splitlines())
    assert [reading["value"] for reading in readings] == VALUES
    assert all(list(reading) == KEYS for reading in readings)
    for reading in readings:
        assert (reading["channel"], reading["function"]) == ("A", "resistance")
        assert (reading["unit"], reading["range"]) == ("ohm", 10_000.0)
        assert (reading["resolution"], reading["overload"]) == (0.003, False)
    times = [reading["t_s"] for reading in readings]
    assert times == sorted(times)
    assert times[0] >= 0.0
    with (tmp_path / "log.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert list(rows[0]) == ["t_s", "value", "unit", "resolution"]
    assert [float(row["value"]) for row in rows] == VALUES


def test_an_instrument_that_goes_away_is_waited_for(tmp_path: Path) -> None:
    """Its process ends: what came is kept, and after ten seconds the command ends with 1."""
    with instrument(tmp_path, SCRIPT) as at:
        command = ["log", "--port", at["tcp"], "--protocol", "scpi", "--json"]
        logging = subprocess.Popen(
            [sys.executable, "-m", "benchassist.cli", *command],
            cwd=ROOT,
            env=surroundings(tmp_path, allowed=host(at["tcp"])),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        assert logging.stdout is not None
        lines = [logging.stdout.readline() for _ in range(2)]
    gone = time.monotonic()
    rest, said = logging.communicate(timeout=LOST_S + PATIENCE_S)
    waited = time.monotonic() - gone
    assert logging.returncode == 1
    values = [reading["value"] for reading in read([*lines, *rest.splitlines()])]
    assert values[:2] == VALUES[:2]
    assert values[:8] == [float(f"{n}{n}00") for n in range(1, 1 + len(values[:8]))]
    assert "did not come back" in said.splitlines()[-1]
    assert "Traceback" not in said
    # The contract's ten seconds, and what a busy machine may add.
    assert LOST_S - 1.0 <= waited <= LOST_S + MARGIN_S
