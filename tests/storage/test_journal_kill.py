"""A bench is killed while its server comes and goes: nothing stored is lost, or there twice."""

import os
import random
import signal
import subprocess
import sys
import threading
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import chain
from pathlib import Path
from urllib.parse import urlsplit

import numpy as np
import pytest

from benchassist.core.entry import Entry
from benchassist.core.record import Stored
from benchassist.core.run import RunHeader, RunKind
from benchassist.core.visit import Visit
from benchassist.storage import open_store
from tests.postgres import PostgresServer
from tests.storage.case import PATIENCE, Scribe, header, settled
from tests.storage.proxy import Proxy
from tests.storage.run_case import reading

VISITS, SAMPLES, RUN = 24, 1000, "a-run-that-was-kept"
DELIVERY_S = 0.4
"""Opening and delivering take about so long."""

ROOT = Path(__file__).resolve().parents[2]
LATEST_S = 0.2
"""A kill comes within so long of the first reading: at work, losing the server, delivering."""


@dataclass(slots=True)
class Said:
    """What benches have said was on disk."""

    taken: list[str] = field(default_factory=list)
    sampled: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    stood: int = 0

    def hear(self, line: str) -> None:
        """One line of a bench."""
        match line.split():
            case ["taken", entry_id]:
                self.taken.append(entry_id)
            case ["sampled", run_id, number]:
                self.sampled[run_id] = int(number)
            case ["stands", number]:
                # A bench that opens the visit has everything that was ever stored.
                assert int(number) >= max(self.stood, len(self.taken))
                self.stood = int(number)


@contextmanager
def victims(*arguments: str) -> Iterator[Callable[[], tuple[int, Iterator[str]]]]:
    """A program that makes a bench whenever asked: its process id, and what it says to its end."""
    program = subprocess.Popen(
        [sys.executable, "-m", "tests.storage.bench_victim", *arguments],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    )
    stdin, stdout = program.stdin, program.stdout
    assert stdin is not None
    assert stdout is not None

    def made() -> tuple[int, Iterator[str]]:
        stdin.write("go\n")
        stdin.flush()
        child, first = 0, ""
        while not child or not first:
            line = stdout.readline()
            assert line, "the bench ended by itself"
            if line.startswith("child"):
                child = int(line.split()[1])
            else:
                first = line
        return child, chain([first], iter(stdout.readline, "gone\n"))

    try:
        yield made
    finally:
        stdin.close()
        stdout.close()
        program.wait()


def killed(proxy: Proxy, url: str, journals: Path, *, rounds: int, seed: int) -> Said:
    """Kill a bench again and again, its server there or not; return all it said."""
    chance, said = random.Random(seed), Said()
    with open_store(url) as store:
        visit = header("A-0001")
        settled(store, store.submit_visit(visit))
    open_store(url, journals=journals).close()  # the server is known here from now on
    with victims(url, str(journals), visit.id) as bench:
        for _ in range(rounds):
            child, lines = bench()
            said.hear(next(lines))
            moods = random.Random(chance.random())
            flicker = threading.Thread(target=come_and_go, args=(proxy, moods))
            flicker.start()
            # Not a wait for anything: the kill comes at any moment of the work.
            time.sleep(chance.uniform(0.0, LATEST_S))
            os.kill(child, signal.SIGKILL)
            for line in lines:
                assert line, "the bench ended by itself"
                said.hear(line)
            flicker.join()
    return said


def come_and_go(proxy: Proxy, chance: random.Random) -> None:
    """The server is lost and found a few times."""
    for _ in range(2):
        time.sleep(chance.uniform(0.0, 0.1))
        if chance.random() < 0.3:
            proxy.lose_answers()
            time.sleep(chance.uniform(0.0, 0.05))
        with proxy.cut():
            time.sleep(chance.uniform(0.0, 0.1))


def prove(proxy: Proxy, server_url: str, tmp_path: Path, *, rounds: int, seed: int) -> int:
    """Kill, deliver, and look; returns how many readings were stored."""
    url = proxy.url(urlsplit(server_url).path.strip("/"))
    said = killed(proxy, url, tmp_path, rounds=rounds, seed=seed)
    with open_store(url, journals=tmp_path) as store:
        limit = time.monotonic() + PATIENCE
        while store.benches.away is not None:
            assert time.monotonic() < limit, "it was never delivered"
            threading.Event().wait(0.01)
    with open_store(server_url) as there:
        assert [summary.slip_number for summary in there.visits()] == ["A-0001"]
        ids = [entry.stamp.id for entry in Visit(*there.visit("A-0001")).entries]
        assert len(set(ids)) == len(ids)
        stored = set(said.taken)
        assert [entry_id for entry_id in ids if entry_id in stored] == said.taken
        for run_id, number in said.sampled.items():
            values = there.run_samples(run_id, "A").value
            assert len(values) >= number
            assert np.array_equal(values, np.arange(len(values)))
    return len(said.taken)


def keep_much(proxy: Proxy, url: str, journals: Path) -> dict[str, tuple[Entry, ...]]:
    """Leave visits and a run in a journal; return the visits by id."""
    kept: dict[str, tuple[Entry, ...]] = {}
    with open_store(url, journals=journals) as store, proxy.cut():
        while store.benches.away is None:
            threading.Event().wait(0.01)
        for number in range(1, VISITS + 1):
            visit = header(f"A-{number:04d}")
            scribe = Scribe(visit)
            kept[visit.id] = tuple(scribe.taken() for _ in range(4))
            tickets = (store.submit_visit(visit), store.submit(*kept[visit.id]))
            assert [type(said) for said in settled(store, *tickets)] == [Stored, Stored]
        run = RunHeader(id=RUN, visit_id=next(iter(kept)), check_key="hot", kind=RunKind.HEAT)
        recording = store.record(run, {})
        for start in range(0, SAMPLES, 100):
            for number in range(start, start + 100):
                recording.put(reading(0.01 * number, float(number)))
            assert recording.flushed(PATIENCE)
        recording.close()
    return kept


def prove_delivery(proxy: Proxy, server_url: str, tmp_path: Path, *, kills: int, seed: int) -> int:
    """Kill deliveries, each of a full journal; return how many were cut before their end."""
    chance, cut = random.Random(seed), 0
    url = proxy.url(urlsplit(server_url).path.strip("/"))
    open_store(url, journals=tmp_path).close()
    kept = keep_much(proxy, url, tmp_path)
    (path,) = tmp_path.glob("*.sqlite")
    full = path.read_bytes()
    with victims(url, str(tmp_path)) as bench, open_store(server_url) as there:
        for _ in range(kills):
            child, lines = bench()
            time.sleep(chance.uniform(0.0, DELIVERY_S))
            os.kill(child, signal.SIGKILL)
            is_whole = "delivered\n" in list(lines)
            cut += not is_whole
            for summary in there.visits():
                # In one transaction each: a visit is there whole, or not at all.
                assert there.visit(summary.id)[1] == kept[summary.id]
            if is_whole:
                path.write_bytes(full)
                for tail in ("-wal", "-shm"):
                    Path(f"{path}{tail}").unlink(missing_ok=True)
        child, lines = bench()
        while next(lines) != "delivered\n":
            pass
        os.kill(child, signal.SIGKILL)
        assert list(lines) == []
        assert {v.id: there.visit(v.id)[1] for v in there.visits()} == kept
        assert np.array_equal(there.run_samples(RUN, "A").value, np.arange(SAMPLES))
    return cut


@pytest.fixture
def _hasty(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("benchassist.storage.watch.PERIOD_S", 0.03)
    monkeypatch.setattr("benchassist.storage.writer.JOURNAL_PATIENCE_SECONDS", 0.1)


@pytest.mark.postgres
@pytest.mark.usefixtures("_hasty")
def test_thirty_kills_while_the_server_comes_and_goes(
    postgres_server: PostgresServer, postgres_url: str, tmp_path: Path
) -> None:
    """Everything a bench ever called stored is on the server in the end, once and in order."""
    with Proxy(postgres_server) as proxy:
        assert prove(proxy, postgres_url, tmp_path, rounds=30, seed=11) > 30


@pytest.mark.postgres
@pytest.mark.long
@pytest.mark.timeout(900)
@pytest.mark.usefixtures("_hasty")
def test_three_hundred_kills_while_the_server_comes_and_goes(
    postgres_server: PostgresServer, postgres_url: str, tmp_path: Path
) -> None:
    """The same, for longer."""
    with Proxy(postgres_server) as proxy:
        assert prove(proxy, postgres_url, tmp_path, rounds=300, seed=12) > 500


@pytest.mark.postgres
@pytest.mark.usefixtures("_hasty")
def test_thirty_deliveries_that_are_killed(
    postgres_server: PostgresServer, postgres_url: str, tmp_path: Path
) -> None:
    """Whatever was brought before the kill, in the end each thing is there once."""
    with Proxy(postgres_server) as proxy:
        assert prove_delivery(proxy, postgres_url, tmp_path, kills=30, seed=13) > 10


@pytest.mark.postgres
@pytest.mark.long
@pytest.mark.timeout(900)
@pytest.mark.usefixtures("_hasty")
def test_three_hundred_deliveries_that_are_killed(
    postgres_server: PostgresServer, postgres_url: str, tmp_path: Path
) -> None:
    """The same, for longer."""
    with Proxy(postgres_server) as proxy:
        assert prove_delivery(proxy, postgres_url, tmp_path, kills=300, seed=14) > 100
