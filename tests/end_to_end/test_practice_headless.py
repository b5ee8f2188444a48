"""`practice --headless`: the whole visit on real bytes, and what it leaves."""

import json
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import jsonschema
import pytest
from PySide6.QtGui import QImage

from benchassist.core.visit import Visit
from benchassist.practice.bench import DEFAULT_CASE
from benchassist.practice.engine import HIGH, LOW
from benchassist.practice.hot_fault import HotBreak
from benchassist.practice.parts import CASES, CIRCUITS, SPEEDS
from benchassist.storage.exchange import read_export, visit_json_schema
from tests.background import Finished
from tests.cli.program import Document
from tests.end_to_end.paper import pages_of, poppler, text_of

FOLDER = Path(tempfile.gettempdir()) / f"practice-visit-{os.getpid()}"
OPEN = {"stop_insulation"}
LOOKED = {
    *("fuel_vent", "oil_level", "spark_inline", "made_safe", "stop_wire_back", "stop_works"),
}
RUNS = ("quit_drill", "heat_run", "engine_run")
TAKEN = {"stop_insulation", "cap", "coil_secondary", "path", "air_gap"}
REDONE = "coil_secondary"
WITHIN_K = 3.0
COLOURS = 10
"""Colours a picture of the window has at least; an empty one has one or two."""


@pytest.fixture
def visit_folder(finished: Finished) -> Iterator[Path]:
    """Return the folder once the visit has been played; cleared away afterwards."""
    try:
        assert finished.code == 0, finished.output
        yield FOLDER
    finally:
        shutil.rmtree(FOLDER, ignore_errors=True)


@pytest.mark.background([sys.executable, "-m", "tests.end_to_end.practice_run", str(FOLDER)])
@pytest.mark.timeout(300)
def test_the_guided_visit_leaves_a_slip_a_visit_and_screens(visit_folder: Path) -> None:
    """Every check answered as the simulated parts demand; one page; a picture of each step."""
    how = json.loads((visit_folder / "done.json").read_text("utf-8"))
    assert (how["code"], how["err"], how["qt"]) == (0, "", True)
    told = json.loads(how["out"])
    folder = visit_folder / "visit"
    assert Path(told["folder"]) == folder.resolve()
    document = json.loads((folder / told["visit"]).read_text("utf-8"))
    assert document["visit"]["id"] == told["visit_id"]
    is_whole(document)
    is_as_the_parts_demand(document)
    has_found_what_is_wrong(document)
    is_one_page(folder / told["slip"], document)
    shows_every_step(folder / "screens", told["screens"], document)


def is_whole(document: Document) -> None:
    """It fits the schema, replays, is closed, and says under which conditions."""
    jsonschema.validate(document, visit_json_schema())
    ((header, entries),) = read_export(document)
    visit = Visit(header, entries)
    assert visit.closed
    assert document["visit"]["closed_at"]
    standing = {check["key"]: check["standing"] for check in document["checks"]}
    assert {key for key, how in standing.items() if how == "looked"} == LOOKED
    assert {key for key, how in standing.items() if how == "run"} == set(RUNS)
    assert {key for key, how in standing.items() if how == "taken"} == TAKEN
    assert set(standing) == LOOKED | set(RUNS) | TAKEN
    (zero,) = document["lead_zeros"]
    # the practice leads are 0.12 ohm, the meter good to 10 counts of 0.01 ohm and half a percent
    assert zero["value"] == pytest.approx(0.12, abs=0.11)
    (temperature,) = document["part_temperatures"]
    assert (temperature["value"], temperature["at_shop_temperature"]) == (20.0, True)
    checks = [(c["moment"], c["verdict"]) for c in document["self_checks"]]
    assert checks == [("start", "in_band"), ("end", "in_band")]


def is_as_the_parts_demand(document: Document) -> None:
    """Each reading lies within its own doubt of what the part has, and the verdict follows it."""
    checks = {check["key"]: check for check in document["checks"]}
    for key, check in checks.items():
        readings = check["readings"]
        assert all(reading["leads_proved"] for reading in readings if key in OPEN)
        if key in CIRCUITS or key in SPEEDS:
            assert {reading["reading"]["source"] for reading in readings} == {"meter"}
        if key in OPEN:
            assert all(reading["reading"]["overload"] for reading in readings)
        elif key in CIRCUITS or key in SPEEDS:
            is_within_its_doubt(key, readings[-1])
    verdicts = {key: [r["verdict"] for r in checks[key]["readings"]] for key in TAKEN}
    assert verdicts.pop("air_gap") == ["out_of_band", "in_band"]
    assert verdicts.pop(REDONE) == ["in_band", "in_band"]
    assert all(found == ["in_band"] for found in verdicts.values())
    assert [reading["struck"] for reading in checks[REDONE]["readings"]] == [True, False]
    gap = checks["air_gap"]
    assert [words["text"] for words in gap["work"]] == ["air gap set"]
    assert gap["before_after"]["before"] == gap["readings"][0]["id"]


def has_found_what_is_wrong(document: Document) -> None:
    """Drill, heat run and engine run say what the simulated parts and the engine do."""
    runs = {run["check"]: run for run in document["runs"]}
    assert tuple(runs) == RUNS
    assert not any(run["cut"] or run["struck"] for run in runs.values())
    drill = runs["quit_drill"]["finding"]
    assert drill["leaning"] == "spark"
    assert [(a["step"], a["answer"]) for a in drill["answers"]][1:3] == [
        ("spark", "none"),
        ("spark_isolated", "none"),
    ]
    heat = runs["heat_run"]["finding"]
    fault = CASES[DEFAULT_CASE]["secondary"].fault
    assert isinstance(fault, HotBreak)
    opens = [event for event in heat["events"] if event["kind"] == "open"]
    assert heat["reproduced"]
    assert heat["departure_assessed"]
    assert not [e for e in heat["events"] if e["kind"] not in {"open", "spike"}]
    # It flickers just below, then stays open until it has cooled; twice.
    stood = [event for event in opens if event["end_s"] - event["start_s"] > 2.0]
    assert len(stood) == 2
    for event in stood:
        assert event["celsius"] == pytest.approx(fault.opens, abs=WITHIN_K)
        assert event["end_celsius"] == pytest.approx(fault.closes, abs=WITHIN_K)
    assert [gap["reason"] for gap in heat["gaps"]] == ["lost"]
    assert heat["r20"] == pytest.approx(CASES[DEFAULT_CASE]["secondary"].ohm, rel=0.02)
    engine = runs["engine_run"]["finding"]
    assert [cycle["completed"] for cycle in engine["cycles"]] == [True] * 3
    assert engine["low"]["rpm"] == pytest.approx(LOW, rel=0.01)
    assert engine["high"]["rpm"] == pytest.approx(HIGH, rel=0.01)
    assert engine["hunting"]["present"] is False


def is_within_its_doubt(key: str, reading: Document) -> None:
    """The corrected value and the true one at 20 °C differ by no more than ±U."""
    parts = CASES[DEFAULT_CASE]
    truth = SPEEDS[key] if key in SPEEDS else sum(parts[name].ohm for name in CIRCUITS[key])
    assert abs(reading["value"] - truth) <= reading["expanded_uncertainty"], key
    assert reading["contributions"]
    assert reading["conditions"]["meter"].startswith("Practice meter")
    assert reading["reading"]["range"] is not None


def is_one_page(slip: Path, document: Document) -> None:
    """With the number, the signs and the verdict words a customer reads."""
    assert pages_of(slip) == 1
    text = text_of(slip)
    for words in (
        f"Job slip {document['visit']['slip_number']}",
        "kΩ ±",
        "In band",
        "Checked by eye",
        "Open",
        "Proved",
        "Not proved",
        "0.45 mm",
        "0.33 mm",
        "breaks found",
        "points to coil, cap or lead",
        "P-001",
    ):
        assert words in text, words
    fonts = poppler("pdffonts", slip).splitlines()[2:]
    assert fonts
    assert all(line.split()[-5] == "yes" for line in fonts), fonts


def shows_every_step(folder: Path, names: list[str], document: Document) -> None:
    """Each picture is of the window's size and not empty; each check is in one."""
    assert sorted(path.name for path in folder.iterdir()) == names
    for name in names:
        picture = QImage(str(folder / name))
        assert (picture.width(), picture.height()) == (1366, 768), name
        small = picture.scaled(136, 76)
        colours = {small.pixel(x, y) for x in range(0, 136, 3) for y in range(0, 76, 3)}
        assert len(colours) >= COLOURS, name
    for key in [check["key"] for check in document["checks"]]:
        assert any(f"-{key}" in name for name in names), key
    shown = [f"{run}-{stage}" for run in RUNS for stage in ("ready", "running", "ended")]
    for what in (
        *("counter", "meters", "nonsense", "redo", "closed", "slip", *shown),
        *("machine-file", "machine-runs"),
        *("heat_run-meter-lost", "heat_run-nonsense", "heat_run-alarm"),
    ):
        assert any(what in name for name in names), what
