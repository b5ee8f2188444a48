"""The shipped demo visits: valid, whole, invented, and what today's program would make of them."""

import json
from collections.abc import Mapping
from pathlib import Path

import jsonschema
import pytest

from benchassist.assembly import Place
from benchassist.assembly.record import export_visits
from benchassist.core.visit import Visit
from benchassist.storage.exchange import export_visits as document_of
from benchassist.storage.exchange import read_export, visit_json_schema
from tests.cli.program import Document
from tests.end_to_end import demo

ANEW = "the program has changed: python -m tests.end_to_end.demo writes the demo anew"


@pytest.fixture(scope="module")
def shipped() -> Document:
    """Return the shipped document."""
    document: Document = json.loads(demo.OUT.read_text("utf-8"))
    return document


def test_every_visit_fits_the_schema(shipped: Document) -> None:
    """Four of them, of three machines, one of which came back."""
    for visit in shipped["visits"]:
        jsonschema.validate(visit, visit_json_schema())
    tags = [visit["machine"]["tag"] for visit in shipped["visits"]]
    assert tags == ["M-001", "M-002", "M-001", "M-003"]
    assert [visit["visit"]["visit_of_machine"] for visit in shipped["visits"]] == [1, 1, 2, 1]
    assert len({visit["machine"]["id"] for visit in shipped["visits"]}) == 3
    closed = [visit["visit"]["closed_at"] is not None for visit in shipped["visits"]]
    assert closed == [True, True, True, False]


def test_every_visit_replays(shipped: Document) -> None:
    """Reading it back and writing it again changes nothing."""
    visits = read_export(shipped)
    assert document_of(visits) == shipped, ANEW
    for header, entries in visits:
        visit = Visit(header, entries)
        assert [entry.stamp.seq for entry in visit.entries] == list(range(1, 1 + len(entries)))


def test_the_maker_still_makes_it(shipped: Document, tmp_path: Path) -> None:
    """Played anew, each step has the same readings and verdicts; ids, times, words may differ."""
    location = tmp_path / "shop.sqlite"
    visits = demo.play(location)
    made = export_visits(Place(str(location), tmp_path / "home"), visits)
    assert [outcome(v) for v in made["visits"]] == [outcome(v) for v in shipped["visits"]], ANEW


def outcome(visit: Mapping[str, Document]) -> list[tuple[object, ...]]:
    """Each check with its standing, and each of its readings with value, range and verdict."""
    return [
        (
            check["key"],
            check["standing"],
            [(r["value"], r["reading"]["range"], r["verdict"]) for r in check["readings"]],
        )
        for check in visit["checks"]
    ]
