"""Runs in the export of a visit: findings told in base units, samples without loss."""

import json
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any, get_args, get_type_hints

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from benchassist.core.accuracy import Accuracy
from benchassist.core.band import Band, BandSource
from benchassist.core.entry import Entry, RunEnded, RunStarted, Struck
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag
from benchassist.core.run import DrillStep, RunGap, RunKind, RunPlan, SpeedLimits
from benchassist.core.run_finding import (
    DrillFinding,
    EngineFinding,
    HeatFinding,
    TankFinding,
)
from benchassist.core.visit import VisitHeader
from benchassist.errors import NotFoundError, ShopFileError
from benchassist.storage.codec import Plain
from benchassist.storage.exchange import (
    export_visit,
    export_visits,
    read_export,
    read_runs,
    visit_json_schema,
)
from benchassist.storage.run_account import RATIOS, UNITS, finding_account
from benchassist.storage.run_record import RunRecord, read_record, record_account
from benchassist.storage.store import SqlStore
from tests.storage import strategy
from tests.storage.case import Scribe, header, settled
from tests.storage.run_case import heat_run, log, reading, recorded

SCHEMA = Draft202012Validator(visit_json_schema())
FINDINGS = {
    "heat": HeatFinding,
    "engine": EngineFinding,
    "tank": TankFinding,
    "drill": DrillFinding,
}


def as_written(document: Plain) -> Plain:
    """Return a document after it was written to a file and read again."""
    read: Plain = json.loads(json.dumps(document, allow_nan=False))
    return read


def run_visit(store: SqlStore) -> tuple[VisitHeader, tuple[Entry, ...]]:
    """Return a visit on file with a heat run, its samples from two meters with all that can be."""
    readings = list(log(2000, opens=range(840, 1200)).readings())
    readings += [
        reading(300.0, 6500.0, flags=[Flag.HOLD, Flag.AUTO]),
        reading(301.0, 1.25, quantity=Quantity.VOLTAGE, resolution=0.01),
        reading(302.0, 1234.5678901234, resolution=None),
        *log(100, seed=9).readings("B"),
    ]
    visit = header()
    scribe = Scribe(visit)
    entries = tuple(heat_run(scribe, recorded(store, readings)))
    settled(store, store.submit_visit(visit), store.submit(*entries))
    return visit, entries


def same(one: RunRecord, other: RunRecord) -> bool:
    """Whether two runs are the same to the last sample."""
    return (
        (one.header, one.gaps) == (other.header, other.gaps)
        and [(c.channel, c.dials) for c in one.channels]
        == [(c.channel, c.dials) for c in other.channels]
        and all(
            np.array_equal(a.chunk.tick, b.chunk.tick)
            and np.array_equal(a.chunk.value, b.chunk.value, equal_nan=True)
            and np.array_equal(a.chunk.dial, b.chunk.dial)
            for a, b in zip(one.channels, other.channels, strict=True)
        )
    )


def test_a_run_is_exported_and_read_back_without_loss(store: SqlStore) -> None:
    """Entries, every sample, those that do not count as well, and gaps come back from the file."""
    visit, entries = run_visit(store)
    document = as_written(export_visits([store.visit(visit.id)], store.run_record))
    SCHEMA.validate(document)
    assert read_export(document) == [(visit, entries)]
    (record,) = read_runs(document)
    kept = store.run_record(record.header.id)
    assert same(record, kept)
    assert [c.channel for c in record.channels] == ["A", "B"]
    assert len(list(record.channels[0].readings())) == 2003
    # Another shop that takes the readings in again has the same run.
    assert isinstance(entries[0], RunStarted)
    again = recorded(store, (r for c in record.channels for r in c.readings()))
    assert same(replace(store.run_record(again), header=record.header), record)


def test_samples_are_told_in_base_units(store: SqlStore) -> None:
    """Each column reads as the schema says: ticks, values, settings with their units."""
    run_id = recorded(store, [reading(0.5), reading(0.75, None), reading(1.0, 6510.0)])
    (channel,) = record_account(store.run_record(run_id))["channels"]
    assert channel["steps"] == [8192, 4096, 4096]
    assert channel["values"] == [6500.0, None, 6510.0]
    assert channel["spans"] == [[0, 1], [1, 1], [0, 1]]
    assert [s["unit"] for s in channel["settings"]] == ["ohm", "ohm"]
    assert [s["overload"] for s in channel["settings"]] == [False, True]


def test_a_finding_is_told_with_its_units() -> None:
    """Where and at what temperature the break was found stands in the run, with units."""
    visit = header()
    (run,) = export_visit(visit, heat_run(Scribe(visit)))["runs"]
    (event,) = run["finding"]["events"]
    assert (event["kind"], event["start_s"], event["end_s"]) == ("open", 840.5, 1204.25)
    assert (event["celsius"], event["celsius_unit"]) == (78.0, "celsius")
    assert (event["before"], event["before_unit"], event["after"]) == (7930.0, "ohm", None)
    assert (run["finding"]["r20"], run["finding"]["r20_unit"]) == (6497.0, "ohm")
    assert [(m["kind"], m["value"], m["unit"]) for m in run["marks"]] == [
        ("temperature", 35.0, "celsius"),
        ("moment", None, None),
    ]
    assert (run["check"], run["samples"], run["struck"]) == ("secondary", None, False)


def test_a_run_under_way_and_a_struck_one_are_told(store: SqlStore) -> None:
    """A run without an end has no finding; one that was struck says so; neither lacks samples."""
    visit, (*others, ended) = run_visit(store)
    document = export_visit(visit, others, store.run_record)
    SCHEMA.validate(as_written(document))
    (run,) = document["runs"]
    assert (run["finding"], run["ended_at"]) == (None, None)
    assert run["samples"]["channels"]
    strikes = Struck(
        stamp=Scribe(visit, after=4).stamp(), check_key="secondary", entry_id=ended.stamp.id
    )
    (run,) = export_visit(visit, (*others, ended, strikes), store.run_record)["runs"]
    assert run["struck"] is True


def test_a_run_whose_samples_are_gone_is_told_without() -> None:
    """Where the shop has no samples of a run, the rest of it is told."""
    visit = header()

    def gone(run_id: str) -> RunRecord:
        raise NotFoundError(run_id)

    document = export_visit(visit, heat_run(Scribe(visit)), gone)
    SCHEMA.validate(as_written(document))
    assert document["runs"][0]["samples"] is None
    assert read_runs(document) == []


def test_a_document_from_before_runs_is_read() -> None:
    """An export of an earlier program, without runs, reads as it did."""
    visit = header()
    entries = (Scribe(visit).taken(),)
    documents = [export_visit(visit, entries), export_visits([(visit, entries)] * 2)]
    del documents[0]["runs"]
    for one in documents[1]["visits"]:
        del one["runs"]
    assert read_export(as_written(documents[0])) == [(visit, entries)]
    assert [read_runs(as_written(document)) for document in documents] == [[], []]


@given(data=st.data(), name=st.sampled_from(list(FINDINGS)))
@settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
def test_any_finding_keeps_the_schema_and_reads_back(data: st.DataObject, name: str) -> None:
    """A finding with any values makes a document of the schema and is not changed by it."""
    visit = header()
    *others, ended = heat_run(Scribe(visit))
    assert isinstance(ended, RunEnded)
    found: dict[str, Any] = dict.fromkeys(FINDINGS)
    found[name] = data.draw(strategy.of(FINDINGS[name]).filter(is_whole))
    ended = replace(ended, **found)
    document = as_written(export_visit(visit, (*others, ended)))
    SCHEMA.validate(document)
    assert read_export(document) == [(visit, (*others, ended))]


def is_whole(value: object) -> bool:
    """Whether no count in a finding is below zero, as none ever is."""
    if is_dataclass(value):
        return all(is_whole(getattr(value, f.name)) for f in fields(value))
    if isinstance(value, tuple):
        return all(map(is_whole, value))
    return not isinstance(value, int) or value >= 0


def test_a_plan_is_told() -> None:
    """Bands and drill steps of a plan stand in the document, in its schema."""
    visit = header()
    started, *others = heat_run(Scribe(visit))
    assert isinstance(started, RunStarted)
    plan = RunPlan(
        kind=RunKind.ENGINE,
        limits=SpeedLimits(
            low=Band(quantity=Quantity.SPEED, low=1750.0, high=1850.0, source=BandSource.TYPED),
            rated=3600.0,
        ),
        drill=(DrillStep(key="spark", question="Spark?", answers=(("no", "None"),)),),
    )
    document = as_written(export_visit(visit, [replace(started, plan=plan), *others]))
    SCHEMA.validate(document)
    told = document["runs"][0]["plan"]
    assert told["limits"]["low"]["unit"] == "rpm"
    assert (told["limits"]["high"], told["limits"]["rated_rpm"]) == (None, 3600.0)
    assert told["drill"][0]["answers"] == [["no", "None"]]


def numbers(kind: type[Any]) -> Iterator[str]:
    """Return the names of all numbers in a finding, all through."""
    for name, hint in get_type_hints(kind).items():
        for inner in (hint, *get_args(hint)):
            if isinstance(inner, type) and is_dataclass(inner):
                if inner is not Accuracy:
                    yield from numbers(inner)
            elif inner is float:
                yield name


def test_every_number_of_a_finding_has_its_unit() -> None:
    """Each number says its unit by its name, has it beside it, or is known to have none."""
    named = {name for kind in FINDINGS.values() for name in numbers(kind)}
    assert named
    for name in named:
        says_itself = name.endswith(("_s", "_rpm"))
        assert says_itself + (name in UNITS) + (name in RATIOS) == 1, name
    assert set(UNITS) <= named


def test_the_schema_has_every_part_of_a_finding() -> None:
    """What a finding is told as is what the schema lists: neither outgrows the other."""
    definitions = visit_json_schema()["$defs"]
    for name, kind in FINDINGS.items():
        told = finding_account(kind(**needed(kind)))
        assert set(told) == set(definitions[f"{name}_finding"]["properties"]), name


def needed(kind: type[Any]) -> dict[str, object]:
    """Return values for what a finding cannot be made without."""
    if kind is HeatFinding:
        return {"part": "winding", "reproduced": False, "departure_assessed": False}
    return {}


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("ticks_per_second",), 1000),
        (("channels", 0, "steps"), [1]),
        (("channels", 0, "steps", 0), "soon"),
        (("channels", 0, "steps", 0), 2**70),
        (("channels", 0, "spans", 0), [9, 3]),
        (("channels", 0, "spans", 0), [0]),
        (("channels", 0, "values", 1), None),
        (("channels", 0, "values"), None),
        (("channels", 0, "settings", 0, "mode"), "loud"),
        (("gaps",), [{"channel": "A"}]),
        (("run",), None),
        (("channels",), {}),
    ],
)
def test_spoilt_samples_are_one_line(
    store: SqlStore, path: tuple[str | int, ...], value: object
) -> None:
    """Samples that do not fit together are refused in one line, none is guessed."""
    run_id = recorded(store, [reading(0.5), reading(0.75), reading(1.0, 6510.0)])
    told = as_written(record_account(store.run_record(run_id)))
    *way, last = path
    at: Any = told
    for step in way:
        at = at[step]
    at[last] = value
    with pytest.raises(ShopFileError) as refused:
        read_record(told)
    assert "\n" not in str(refused.value)


def test_a_gap_is_told_as_it_was(store: SqlStore) -> None:
    """Gaps stand in the export with channel, seconds and reason."""
    run_id = recorded(store, [reading(1.0), reading(2.0, flags=[Flag.HOLD]), reading(3.0)])
    record = read_record(as_written(record_account(store.run_record(run_id))))
    assert record.gaps == (RunGap(channel="A", start_s=1.0, end_s=3.0, reason="hold"),)
