"""A heat run is killed in the middle: what was logged is kept, and the visit finishes it."""

import signal
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from benchassist.assembly import Place, SystemClock, spec_book
from benchassist.core.entry import MovedTo, RunEnded, RunStarted, Stamp
from benchassist.core.run_finding import Doubt, HeatEventKind
from benchassist.core.visit import Visit
from benchassist.services.runs.view import RunStage
from benchassist.services.settings import SettingsFile
from benchassist.services.shop import Shop
from benchassist.storage import open_store
from tests.core import entries
from tests.end_to_end.demo import NoPrinter
from tests.services.fakes import FakeRoom
from tests.services.rig import with_checks
from tests.services.run_rig import HEAT

ROOT = Path(__file__).resolve().parents[2]
LOST_S = 1.0
"""Far above what a kill may cost: a quarter second, which the store's own tests hold it to."""


def open_visit(tmp_path: Path) -> tuple[Place, str]:
    """A shop with one visit that stands at its heat run."""
    location = tmp_path / "shop.sqlite"
    header = replace(with_checks(HEAT), id="visit-heat")
    stamp = Stamp(id="moved", visit_id=header.id, seq=1, at=entries.header().opened_at)
    with open_store(location) as store:
        store.submit_visit(header)
        store.submit(MovedTo(stamp=stamp, check_key=HEAT.key))
        for _ in range(2):
            assert store.wait(10.0) is not None
    return Place(str(location), tmp_path / "home"), header.id


@pytest.mark.timeout(60)
def test_a_run_that_was_killed_is_finished_from_disk(tmp_path: Path) -> None:
    """Killed with -9 after its break: the samples are there, the break is found, it says cut."""
    place, visit_id = open_visit(tmp_path)
    victim = subprocess.Popen(
        [
            sys.executable,
            "-m",
            "tests.end_to_end.run_victim",
            place.shop,
            str(place.home),
            visit_id,
        ],
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    )
    assert victim.stdout is not None
    put: list[float] = []
    while not put or put[-1] < 2.5:
        line = victim.stdout.readline()
        assert line, "the run ended by itself"
        put.append(float(line.split()[1]))
    victim.send_signal(signal.SIGKILL)
    put += [float(line.split()[1]) for line in victim.stdout if line.endswith("\n")]
    victim.stdout.close()
    victim.wait()
    with open_store(Path(place.shop)) as store:
        cut = Visit(*store.visit(visit_id))
        (start,) = (e for e in cut.entries if isinstance(e, RunStarted))
        samples = store.run_samples(start.run_id, "A")
        assert samples.t_s[-1] >= put[-1] - LOST_S
        kept = [t for t in put if t <= samples.t_s[-1] - 0.001]
        assert len(samples) >= len(kept)
    store = open_store(Path(place.shop))
    shop = Shop(
        store=store,
        book=spec_book(place),
        room=FakeRoom(),
        printer=NoPrinter(),
        clock=SystemClock(),
        settings_file=SettingsFile(place.home / "settings.json"),
        runs=store,
    )
    view = shop.bench(visit_id).view()
    assert view.banner.startswith("The run was cut at 0:0")
    assert view.run is not None
    assert view.run.stage is RunStage.ENDED
    assert view.run.plot is not None
    assert len(shop.slip(visit_id).plots) == 1
    shop.close()
    with open_store(Path(place.shop)) as store:
        (ended,) = (e for e in store.visit(visit_id)[1] if isinstance(e, RunEnded))
    assert ended.cut
    assert ended.heat is not None
    assert Doubt.CUT in ended.heat.doubts
    assert [e.kind for e in ended.heat.events] == [HeatEventKind.OPEN]
    assert ended.heat.used == len(samples)
