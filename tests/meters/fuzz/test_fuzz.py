"""No bytes break a decoder, fill the memory or make a number that cannot be."""

import importlib.util
import random
import re
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.reading import Reading
from tests.meters.fuzz.__main__ import main
from tests.meters.fuzz.barrage import barrage
from tests.meters.fuzz.mutation import damage, damaged, random_bytes
from tests.meters.fuzz.target import BrokenError, check, check_split, target, targets, valid_blocks

ROOT = Path(__file__).resolve().parents[3]
EACH = pytest.mark.parametrize("name", targets())
TEN_MILLION = 10_000_000
GUIDED_RUNS = 100_000
MEMORY_KB = 4096
"""Far less than a tenth of what was fed: a decoder that kept any of it would show."""


@EACH
@given(pieces=st.lists(st.binary(max_size=200), max_size=12))
def test_any_bytes_will_do(name: str, pieces: list[bytes]) -> None:
    """Bytes at random are read, or not, and every reading is one that can be."""
    under_fire = target(name)
    for piece in pieces:
        under_fire.feed(piece)


@EACH
@given(data=st.data())
def test_damaged_blocks_read_alike_however_they_are_cut(name: str, data: st.DataObject) -> None:
    """Valid blocks with faults anywhere give the same readings in one piece and in many."""
    blocks = data.draw(st.lists(st.sampled_from(valid_blocks(name)), min_size=1, max_size=8))
    source = random.Random(data.draw(st.integers(0, 1 << 30)))
    stream = b"".join(damage(source, block) if source.random() < 0.5 else block for block in blocks)
    cuts = data.draw(st.lists(st.integers(0, len(stream)), max_size=10))
    check_split(name, stream, cuts)


@EACH
@pytest.mark.parametrize("kind", ["random", "damaged"])
def test_a_short_barrage(name: str, kind: str) -> None:
    """A hundred thousand bytes of each kind; damaged blocks still give most of their readings."""
    found = barrage(name, kind, 100_000)
    assert found.fed == 100_000
    if kind == "damaged":
        whole = found.fed / max(map(len, valid_blocks(name)))
        assert found.accepted > whole / 4
    else:
        assert found.accepted <= 2


@pytest.mark.long
@pytest.mark.timeout(600)
@EACH
@pytest.mark.parametrize("kind", ["random", "damaged"])
def test_ten_million_bytes(name: str, kind: str) -> None:
    """Nothing raised, memory flat, and random bytes hardly ever accepted.

    For scpi a line of one digit is a number; a session believes it only in answer to its READ?.
    """
    found = barrage(name, kind, TEN_MILLION)
    assert found.fed == TEN_MILLION
    assert found.grown_kb < MEMORY_KB
    if kind == "random":
        assert found.accepted_per_million <= (5.0 if name == "scpi" else 0.2)


@pytest.mark.long
@pytest.mark.timeout(600)
@pytest.mark.skipif(importlib.util.find_spec("atheris") is None, reason="atheris is not installed")
@EACH
def test_guided_by_coverage(name: str, tmp_path: Path) -> None:
    """A fuzzer that seeks new branches finds no input that raises or reads otherwise when cut."""
    command = [sys.executable, "-m", "tests.meters.fuzz.guided", name, str(tmp_path)]
    done = subprocess.run(
        [*command, f"-runs={GUIDED_RUNS}", "-max_len=256"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-4000:]
    assert re.search(rf"number_of_executed_units: {GUIDED_RUNS}", done.stderr), done.stderr[-2000:]


def test_the_check_sees_a_number_that_cannot_be() -> None:
    """The fuzzers would notice."""
    for value, resolution in ((float("nan"), 1.0), (9.9e37, 1.0), (1.0, 0.0)):
        reading = Reading(t_s=0.0, channel="A", quantity=None, value=value, resolution=resolution)
        with pytest.raises(BrokenError):
            check(reading)


def test_the_streams_are_as_long_as_asked_and_the_same_each_time() -> None:
    """A seed names a stream."""
    blocks = valid_blocks("nibble-14")
    for total in (1, 4096, 50_000):
        first = b"".join(damaged(random.Random(1), blocks, total))
        assert first == b"".join(damaged(random.Random(1), blocks, total))
        assert len(first) == total == len(b"".join(random_bytes(random.Random(1), total)))


def test_the_runner_prints_a_line_for_each_kind(capsys: pytest.CaptureFixture[str]) -> None:
    """As in `python -m tests.meters.fuzz --bytes 5000 stx-16`."""
    assert main(["--bytes", "5000", "stx-16"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[:3] for line in lines[1:]] == [
        ["stx-16", "random", "5,000"],
        ["stx-16", "damaged", "5,000"],
    ]
