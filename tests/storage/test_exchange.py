import json
from dataclasses import replace
from enum import StrEnum

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator, ValidationError

from benchassist.core.accuracy import LeadZero, Part
from benchassist.core.band import BandSource, Judgement, Reason, Side, Verdict
from benchassist.core.entry import (
    Closed,
    Did,
    Entry,
    LeadsZeroed,
    Looked,
    Moment,
    MovedTo,
    Noted,
    OptionChosen,
    PartMarked,
    PhotoAdded,
    PhotoRemoved,
    SelfChecked,
    Skipped,
    Struck,
    Taken,
    TemperatureSet,
)
from benchassist.core.estimate import PartTemperature
from benchassist.core.procedure import CheckKind, Leaning
from benchassist.core.quantity import BASE_UNIT, Quantity
from benchassist.core.reading import Flag, Mode, Reading, Source
from benchassist.core.repair_entry import (
    Decided,
    EvidenceSet,
    PartFitted,
    Proved,
    Service,
    Serviced,
    SwapTried,
)
from benchassist.core.run import HeatedPart, MarkKind, RunKind
from benchassist.core.stake import Stake
from benchassist.core.swap import Fitted, Trial
from benchassist.core.visit import Standing, VisitHeader
from benchassist.errors import ShopFileError, StepError
from benchassist.storage.codec import ENTRY_KINDS, Plain
from benchassist.storage.exchange import (
    export_summary,
    export_visit,
    export_visits,
    read_export,
    visit_json_schema,
    visit_list_json_schema,
)
from benchassist.storage.store import SqlStore
from tests.storage import run_case as runs
from tests.storage import strategy
from tests.storage.case import CAP, Scribe, header, settled

SCHEMA = Draft202012Validator(
    visit_json_schema(), format_checker=Draft202012Validator.FORMAT_CHECKER
)
KNOWN = Reading(
    t_s=1.0, channel="A", quantity=Quantity.RESISTANCE, value=9.96e3, resolution=10.0, exponent=3
)


def whole_visit() -> tuple[VisitHeader, tuple[Entry, ...]]:
    """Return a visit in which everything that can be written down is."""
    visit = header()
    scribe = Scribe(visit)
    stamp = scribe.stamp
    zero = LeadZero(value=0.3, resolution=0.1, full_scale=200.0)
    judged = Judgement(verdict=Verdict.IN_BAND, reason=Reason.CLEAR_OF_EDGES, value=9.96e3)
    entries: list[Entry] = [
        LeadsZeroed(stamp=stamp(), channel="A", zero=zero),
        SelfChecked(
            stamp=stamp(),
            moment=Moment.START,
            nominal=1e4,
            tolerance_percent=1.0,
            reading=KNOWN,
            judgement=judged,
        ),
        TemperatureSet(stamp=stamp(), temperature=PartTemperature(celsius=30.0), shop=True),
        scribe.taken(14000.0),
    ]
    redone = scribe.taken(13900.0, supersedes=entries[-1].stamp.id)
    entries += [
        redone,
        Noted(stamp=stamp(), text="corroded end", check_key="secondary"),
        Did(stamp=stamp(), text="cut back 5 mm", check_key="secondary"),
        scribe.taken(9400.0),
        OptionChosen(stamp=stamp(), option_group="cap", option_key="5k"),
        scribe.taken(5010.0, check_key="cap", band=CAP),
    ]
    entries += [
        Struck(stamp=stamp(), check_key="cap", entry_id=entries[-1].stamp.id),
        overload(scribe),
        MovedTo(stamp=stamp(), check_key="gap"),
        Skipped(stamp=stamp(), check_key="gap", reason="no feeler gauge"),
        *runs.heat_run(scribe),
        Looked(stamp=stamp(), check_key="stop_wire", answer_key="yes"),
        EvidenceSet(stamp=stamp(), evidence="fuel_cap", outcome="hiss", reason="heard it"),
        SwapTried(
            stamp=stamp(),
            part="coil",
            trial=Trial(fitted=Fitted.NEW, fault=False, cycles=3),
            bundled=("plug",),
            share=0.5,
        ),
        PartFitted(
            stamp=stamp(),
            part="coil",
            name="ignition coil",
            number="IC-07",
            lot="L3",
            cost=74.0,
            currency="EUR",
            old_kept=True,
        ),
        Serviced(stamp=stamp(), service=Service.ENGINE_OIL, grade="SAE 30", quantity=0.6e-3),
        Decided(
            stamp=stamp(),
            part="coil",
            replaced=True,
            by_customer=True,
            stake=Stake(part=74.0, labour_hours=0.5, rate=60.0, downtime=120.0, return_visit=75.0),
            chance=0.4,
        ),
        Proved(stamp=stamp(), seconds=4500.0, soak_restart=True),
        PartMarked(
            stamp=stamp(), check_key="cap", entry_id=entries[9].stamp.id, good=False, reason="worn"
        ),
        photo := PhotoAdded(
            stamp=stamp(), digest="0c" * 32, media="image/jpeg", width=64, height=48, caption="cap"
        ),
        PhotoRemoved(stamp=stamp(), entry_id=photo.stamp.id, reason="of another machine"),
        Noted(stamp=stamp(), text="comes back in autumn"),
        Did(stamp=stamp(), text="cleaned"),
        Closed(stamp=stamp(), summary="secondary end cut back"),
    ]
    return visit, tuple(entries)


def overload(scribe: Scribe) -> Taken:
    """Return an open circuit, taken by key with the leads proved."""
    taken = scribe.taken(check_key="cap", band=CAP)
    return replace(
        taken,
        reading=replace(taken.reading, value=None, overload=True),
        judgement=Judgement(verdict=Verdict.OUT_OF_BAND, reason=Reason.OPEN, side=Side.HIGH),
        leads_proved=True,
        by_key=True,
    )


def as_written(document: Plain) -> Plain:
    """Return a document after it was written to a file and read again."""
    read: Plain = json.loads(json.dumps(document, allow_nan=False))
    return read


def test_the_schemas_are_schemas() -> None:
    """Both schemas keep JSON Schema 2020-12 and name no place on any network."""
    for schema in (visit_json_schema(), visit_list_json_schema()):
        Draft202012Validator.check_schema(schema)
        assert schema["$id"].startswith("urn:benchassist:")


def test_every_object_of_the_schema_is_closed_and_described() -> None:
    """Nothing unforeseen stands in a document, save in its record, and all of it is described."""
    definitions = visit_json_schema()["$defs"]
    for name, definition in definitions.items():
        assert "description" in definition, name
        if definition.get("type") == "object":
            assert definition["additionalProperties"] is False, name
            # What few statements have is left out of the others, so that those read as ever.
            optional = {"fixed"} if name == "accuracy" else set()
            required, known = set(definition["required"]), set(definition["properties"])
            assert known - required == optional, name
            assert required <= known, name


def test_a_whole_visit_keeps_the_schema() -> None:
    """A visit with everything in it is a document of the schema, also after the file."""
    visit, entries = whole_visit()
    assert {type(e) for e in entries} == set(ENTRY_KINDS.values()) - {ENTRY_KINDS["reopened"]}
    SCHEMA.validate(as_written(export_visit(visit, entries)))


def test_a_visit_kept_apart_names_the_other() -> None:
    """What two benches wrote while one was cut off stays told apart outside the shop as well."""
    header, entries = whole_visit()
    assert export_visit(header, entries)["visit"]["apart_of"] is None
    document = as_written(export_visit(replace(header, apart_of="the other"), entries))
    assert document["visit"]["apart_of"] == "the other"
    SCHEMA.validate(document)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("colour",), "red"),
        (("version",), 2),
        (("visit", "opened_at"), "2025-03-01 09:30"),
        (("checks", 0, "readings", 0, "verdict"), "good"),
        (("checks", 0, "readings", 0, "unit"), "kohm"),
        (("checks", 0, "readings", 0, "expanded_uncertainty"), -1.0),
        (("checks", 0, "readings", 0, "reading", "flags"), ["loud"]),
        (("checks", 0, "readings", 0, "conditions", "accuracy"), "0.8% + 3"),
        (("record", "entries", 0, "kind"), "guessed"),
    ],
)
def test_the_schema_refuses_what_is_wrong(path: tuple[str | int, ...], value: object) -> None:
    """A document with a wrong or an unknown value is refused by the schema."""
    document = as_written(export_visit(*whole_visit()))
    *way, last = path
    at = document
    for step in way:
        at = at[step]  # type: ignore[index]
    at[last] = value  # type: ignore[index]
    with pytest.raises(ValidationError):
        SCHEMA.validate(document)


def test_the_schema_knows_the_codes_of_the_program() -> None:
    """Every list of codes in the schema is the program's, so that neither outgrows the other."""
    definitions = visit_json_schema()["$defs"]
    taken, reading = definitions["taken"]["properties"], definitions["reading"]["properties"]
    check = definitions["check"]["properties"]

    def codes(kind: type[StrEnum]) -> set[str | None]:
        return {member.value for member in kind}

    assert set(taken["verdict"]["enum"]) == codes(Verdict)
    assert set(taken["reason"]["enum"]) == codes(Reason)
    assert set(taken["side"]["enum"]) == codes(Side) | {None}
    assert set(taken["dominant"]["enum"]) == codes(Part) | {None}
    assert set(taken["quantity"]["enum"]) == codes(Quantity) | {None}
    assert set(reading["mode"]["enum"]) == codes(Mode)
    assert set(reading["source"]["enum"]) == codes(Source)
    assert set(reading["flags"]["items"]["enum"]) == codes(Flag)
    assert set(check["standing"]["enum"]) == codes(Standing)
    assert set(check["kind"]["enum"]) == codes(CheckKind)
    assert set(definitions["contribution"]["properties"]["name"]["enum"]) == codes(Part)
    assert set(definitions["band"]["properties"]["source"]["enum"]) == codes(BandSource)
    assert set(definitions["looked"]["properties"]["leaning"]["enum"]) == codes(Leaning) | {None}
    assert set(definitions["unit"]["enum"]) == {*BASE_UNIT.values(), None}
    assert set(definitions["run"]["properties"]["kind"]["enum"]) == codes(RunKind)
    assert set(definitions["run_mark"]["properties"]["kind"]["enum"]) == codes(MarkKind)
    assert set(definitions["run_plan"]["properties"]["part"]["enum"]) == codes(HeatedPart)
    kinds = definitions["record"]["properties"]["entries"]["items"]["properties"]["kind"]
    assert set(kinds["enum"]) == set(ENTRY_KINDS)


def test_a_reading_is_told_with_all_that_makes_it_worth_keeping() -> None:
    """Raw value, corrections, doubt with its contributions, verdict and conditions are there."""
    document = export_visit(*whole_visit())
    first, second, after = document["checks"][0]["readings"]
    assert (first["struck"], second["struck"], after["struck"]) == (True, False, False)
    assert second["supersedes"] == first["id"]
    assert after["reading"]["value"] == 9400.0
    assert (after["reading"]["unit"], after["reading"]["resolution"]) == ("ohm", 10.0)
    corrections = after["corrections"]
    assert corrections["lead_zero"] == 0.3
    # (9400 - 0.3) / (1 + 0.00393 * 10), by hand.
    assert corrections["temperature_factor"] == pytest.approx(1.0 / 1.0393, rel=1e-12)
    assert after["value"] == pytest.approx(9399.7 / 1.0393, rel=1e-12)
    sizes = [c["standard_uncertainty"] for c in after["contributions"]]
    combined = sum(size**2 for size in sizes) ** 0.5
    assert after["expanded_uncertainty"] == pytest.approx(2.0 * combined, rel=1e-12)
    assert (after["verdict"], after["band"]["low"]) == ("in_band", 5500.0)
    assert after["conditions"]["part_temperature"]["value"] == 30.0
    assert after["conditions"]["meter"] == "2,000-count hand-held"
    assert document["checks"][0]["before_after"] == {"before": second["id"], "after": after["id"]}


def test_an_overload_is_never_a_number() -> None:
    """Above range is told as such, without a value and without a doubt."""
    struck, opened = export_visit(*whole_visit())["checks"][1]["readings"]
    assert (struck["struck"], opened["struck"]) == (True, False)
    assert opened["reading"]["overload"] is True
    assert opened["reading"]["value"] is opened["value"] is opened["expanded_uncertainty"] is None
    assert (opened["verdict"], opened["side"]) == ("out_of_band", "high")


def test_a_volt_drop_is_read_in_volts_and_told_in_ohms() -> None:
    """Both readings keep their units; the result is in ohms and the lead zero does not enter."""
    visit = header()
    taken = Scribe(visit).taken(0.08)
    volts = replace(taken.reading, quantity=Quantity.VOLTAGE)
    amperes = replace(taken.reading, quantity=Quantity.CURRENT, value=0.1)
    drop = replace(taken, reading=volts, second=amperes, band=None, method="volt drop")
    document = export_visit(visit, [drop])
    SCHEMA.validate(as_written(document))
    (told,) = document["checks"][0]["readings"]
    assert (told["reading"]["unit"], told["second"]["unit"], told["unit"]) == (
        "volt",
        "ampere",
        "ohm",
    )
    assert told["corrections"]["lead_zero"] is None


def test_a_visit_reads_back_without_loss() -> None:
    """Header and entries come out of the document as they went in."""
    whole = whole_visit()
    assert read_export(as_written(export_visits([whole]))) == [whole]


def test_several_visits_share_a_document() -> None:
    """Several visits make one document of the schema and read back without loss."""
    visits = [whole_visit(), (header("0002"), ()), whole_visit()]
    document = as_written(export_visits(visits))
    SCHEMA.validate(document)
    assert read_export(document) == visits


@given(data=st.data())
@settings(max_examples=30, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
def test_any_reading_keeps_the_schema_and_reads_back(data: st.DataObject) -> None:
    """A reading with any values at all makes a document of the schema and is not changed by it."""
    visit = header()
    drawn: Taken = data.draw(strategy.of(Taken))
    entry = replace(drawn, stamp=Scribe(visit).stamp(), check_key="cap", supersedes=None)
    # What no meter and no thermometer can say is not told of.
    entry = replace(
        entry,
        conditions=replace(entry.conditions, part_temperature=None, spread=0.5),
        judgement=replace(
            entry.judgement,
            expanded_uncertainty=2.0,
            probability_in_band=0.5,
            contributions=(),
            k=2.0,
        ),
    )
    document = as_written(export_visit(visit, [entry]))
    SCHEMA.validate(document)
    assert read_export(document) == [(visit, (entry,))]


@pytest.mark.parametrize(
    ("document", "says"),
    [
        ({}, "not an export"),
        ({"format": "benchassist-visits"}, "not an export"),
        ({"format": "benchassist-visits", "visits": [1]}, "not an export"),
        ({"format": "benchassist-visit", "record": {"entries": 1}}, "not an export"),
        (
            {"format": "benchassist-visit", "version": 2, "record": {"entries": []}},
            "of version 2, this program reads 1",
        ),
    ],
)
def test_what_is_no_export_is_said_in_one_line(document: Plain, says: str) -> None:
    """Another JSON document, or one of a later version, is refused."""
    with pytest.raises(ShopFileError, match=says):
        read_export(document)


def test_entries_that_make_no_visit_are_not_exported() -> None:
    """Entries out of order are refused, not told as if nothing were wrong."""
    visit, entries = whole_visit()
    with pytest.raises(StepError, match="out of order"):
        export_visit(visit, entries[1:])


def test_the_list_keeps_its_schema(store: SqlStore) -> None:
    """The list of visits, open and closed, keeps the schema of the list."""
    visit, entries = whole_visit()
    tickets = [store.submit_visit(visit), store.submit(*entries)]
    tickets.append(store.submit_visit(header("0002", of=visit.machine)))
    settled(store, *tickets)
    listed = {"visits": [export_summary(summary) for summary in store.visits()]}
    Draft202012Validator(visit_list_json_schema()).validate(json.loads(json.dumps(listed)))
    closed = {v["slip_number"]: v["closed_at"] is not None for v in listed["visits"]}
    assert closed == {"0001": True, "0002": False}


def test_an_export_out_of_the_shop_is_the_visit(store: SqlStore) -> None:
    """What a shop gives back exports to the same document as what was handed in."""
    visit, entries = whole_visit()
    settled(store, store.submit_visit(visit), store.submit(*entries))
    assert export_visits([store.visit("0001")]) == export_visit(visit, entries)
