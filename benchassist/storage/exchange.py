"""A visit as a JSON document that stands by itself, and its schema.

What others read is told in base units with every unit named; `record` beside it holds the header
and every entry just as the shop keeps them, so that nothing is lost on the way to another shop. The
samples of runs stand in `runs`, as columns, without loss too.
"""

import json
from collections.abc import Iterable, Mapping
from gettext import gettext as _
from importlib.resources import files
from typing import Final

from benchassist.core.entry import (
    Closed,
    Did,
    Entry,
    LeadsZeroed,
    Looked,
    Noted,
    PartMarked,
    Reopened,
    SelfChecked,
    Skipped,
    Taken,
    TemperatureSet,
)
from benchassist.core.procedure import Check, Question
from benchassist.core.quantity import Quantity
from benchassist.core.record import VisitSummary
from benchassist.core.visit import Visit, VisitHeader
from benchassist.errors import ShopFileError
from benchassist.storage import account
from benchassist.storage.codec import Plain, decode, decode_entry, encode, encode_entry
from benchassist.storage.photo_account import PhotoPost, photo_accounts
from benchassist.storage.repair_account import repair_account
from benchassist.storage.run_account import Runs, run_accounts
from benchassist.storage.run_record import RunRecord, read_record

VISIT_FORMAT: Final = "benchassist-visit"
BUNDLE_FORMAT: Final = "benchassist-visits"
VERSION: Final = 1


def export_visits(
    visits: Iterable[tuple[VisitHeader, tuple[Entry, ...]]],
    runs: Runs | None = None,
    photos: PhotoPost | None = None,
) -> Plain:
    """Return one visit's document, or for several one document that holds theirs.

    `runs` gives the samples of a run, `photos` the pictures; without them none are told.
    """
    documents = [export_visit(header, entries, runs, photos) for header, entries in visits]
    if len(documents) == 1:
        return documents[0]
    return {"format": BUNDLE_FORMAT, "version": VERSION, "visits": documents}


def export_visit(
    header: VisitHeader,
    entries: Iterable[Entry],
    runs: Runs | None = None,
    photos: PhotoPost | None = None,
) -> Plain:
    """Return a visit's document, with samples and pictures as `export_visits`.

    Raises StepError where the entries do not make a visit.
    """
    visit = Visit(header, entries)
    procedure = header.procedure
    doors = [e for e in visit.entries if isinstance(e, Closed | Reopened)]
    return {
        "format": VISIT_FORMAT,
        "version": VERSION,
        "visit": {
            "id": header.id,
            "slip_number": header.slip_number,
            "opened_at": header.opened_at.isoformat(),
            "closed_at": doors[-1].stamp.at.isoformat() if visit.closed else None,
            "summary": next((e.summary for e in doors[::-1] if isinstance(e, Closed)), ""),
            "visit_of_machine": header.visit_of_machine,
            "apart_of": header.apart_of or None,
            "shop": header.shop,
            "bench": header.bench,
            "done_by": header.done_by,
            "coverage_factor": header.k,
            "current_check": visit.current.key,
        },
        "machine": encode(header.machine),
        "interview": {
            "complaint": header.interview.complaint,
            "words": header.interview.words,
            "answers": [
                _interview_answer(procedure.questions, question, answer)
                for question, answer in header.interview.answers
            ],
        },
        "procedure": {
            "key": procedure.key,
            "title": procedure.title,
            "complaint": procedure.complaint,
            "engine_class": procedure.engine_class,
            "version": procedure.version,
        },
        "checks": [_check(visit, check) for check in procedure.checks],
        "self_checks": [_self_check(e) for e in visit.entries if isinstance(e, SelfChecked)],
        "lead_zeros": [
            _when(e) | {"channel": e.channel} | account.zero_account(e.zero)
            for e in visit.entries
            if isinstance(e, LeadsZeroed)
        ],
        "part_temperatures": [
            _when(e) | {"at_shop_temperature": e.shop} | account.temperature_account(e.temperature)
            for e in visit.entries
            if isinstance(e, TemperatureSet)
        ],
        "notes": _words(visit, Noted, ""),
        "work": _words(visit, Did, ""),
        "runs": run_accounts(visit, runs),
        "repair": repair_account(visit),
        "photos": photo_accounts(visit.entries, photos),
        "record": {
            "header": encode(header),
            "entries": [encode_entry(entry) for entry in visit.entries],
        },
    }


def export_summary(summary: VisitSummary) -> Plain:
    """Return a line of the list of visits."""
    return encode(summary)


def read_export(document: Mapping[str, object]) -> list[tuple[VisitHeader, tuple[Entry, ...]]]:
    """Return the visits of a document as the shop it came from kept them.

    Raises ShopFileError for a document this program does not know, or that cannot be read.
    """
    return [_read_visit(visit) for visit in _visits_in(document)]


def read_runs(document: Mapping[str, object]) -> list[RunRecord]:
    """Return the samples of all runs in a document; one of an earlier program has none.

    Raises ShopFileError for a document this program does not know, or samples that cannot be read.
    """
    told = [run for visit in _visits_in(document) for run in visit.get("runs", ())]
    return [read_record(run["samples"]) for run in told if run.get("samples") is not None]


def visit_json_schema() -> Plain:
    """Return the JSON Schema (2020-12) of what `export_visits` returns."""
    return _schema("visit.schema.json")


def visit_list_json_schema() -> Plain:
    """Return the JSON Schema (2020-12) of the list of visits, `{"visits": [summary, ...]}`."""
    return _schema("visit_list.schema.json")


def _schema(name: str) -> Plain:
    text = (files("benchassist.storage") / name).read_text(encoding="utf-8")
    schema: Plain = json.loads(text)
    return schema


def _visits_in(document: Mapping[str, object]) -> list[Plain]:
    """The documents of single visits, of this version. Raises ShopFileError for anything else."""
    visits = document.get("visits") if document.get("format") == BUNDLE_FORMAT else [document]
    if not isinstance(visits, list):
        raise _not_an_export()
    for visit in visits:
        record = visit.get("record") if isinstance(visit, dict) else None
        if (
            not isinstance(visit, dict)
            or visit.get("format") != VISIT_FORMAT
            or not isinstance(record, dict)
            or not isinstance(record.get("entries"), list)
        ):
            raise _not_an_export()
        if visit.get("version") != VERSION:
            raise ShopFileError(
                _(
                    "the export is of version {version}, this program reads {known}: update it"
                ).format(version=visit.get("version"), known=VERSION)
            )
    return visits


def _read_visit(document: Plain) -> tuple[VisitHeader, tuple[Entry, ...]]:
    record = document["record"]
    header = decode(VisitHeader, record.get("header"))
    return header, tuple(decode_entry(entry) for entry in record["entries"])


def _not_an_export() -> ShopFileError:
    return ShopFileError(_("this is not an export of visits: choose one this program wrote"))


def _check(visit: Visit, check: Check) -> Plain:
    """A check with everything that was taken, seen, said and done at it, struck ones marked."""
    option, band = visit.option(check), visit.band(check)
    pair = visit.before_and_after(check.key)
    here = [e for e in visit.entries if getattr(e, "check_key", None) == check.key]
    texts = {answer.key: answer for answer in check.answers}
    return {
        "key": check.key,
        "title": check.title,
        "kind": check.kind,
        "quantity": check.quantity,
        "unit": account.unit_of(check.quantity),
        "setting": check.setting,
        "touch": check.touch,
        "cautions": [caution.text for caution in check.cautions],
        "option": None
        if option is None
        else {"group": check.option_group, "key": option.key, "text": option.text},
        "band": None if band is None else account.band_account(band),
        "standing": visit.standing(check.key),
        "readings": [
            account.taken_account(e, struck=visit.is_struck(e))
            for e in here
            if isinstance(e, Taken)
        ],
        "marks": [
            _when(e) | {"reading": e.entry_id, "good": e.good, "reason": e.reason}
            for e in here
            if isinstance(e, PartMarked)
        ],
        "answers": [
            _when(e)
            | {
                "struck": visit.is_struck(e),
                "supersedes": e.supersedes,
                "answer": e.answer_key,
                "text": texts[e.answer_key].text if e.answer_key in texts else "",
                "leaning": texts[e.answer_key].leaning if e.answer_key in texts else None,
            }
            for e in here
            if isinstance(e, Looked)
        ],
        "skips": [_when(e) | {"reason": e.reason} for e in here if isinstance(e, Skipped)],
        "notes": _words(visit, Noted, check.key),
        "work": _words(visit, Did, check.key),
        "before_after": None
        if pair is None
        else {"before": pair[0].stamp.id, "after": pair[1].stamp.id},
    }


def _self_check(entry: SelfChecked) -> Plain:
    return _when(entry) | {
        "moment": entry.moment,
        "nominal": entry.nominal,
        "nominal_unit": account.OHM,
        "tolerance_percent": entry.tolerance_percent,
        "reading": account.reading_account(entry.reading),
        **account.judgement_account(entry.judgement, Quantity.RESISTANCE),
    }


def _interview_answer(questions: tuple[Question, ...], key: str, answer: str) -> Plain:
    """A question with its answer; a duration is text of a number of seconds."""
    question = next((q for q in questions if q.key == key), None)
    chosen = next((a for a in question.answers if a.key == answer), None) if question else None
    return {
        "question": key,
        "text": question.text if question else "",
        "answer": answer,
        "answer_text": chosen.text if chosen else "",
        "unit": account.unit_of(question.quantity) if question else None,
    }


def _words(visit: Visit, kind: type[Noted | Did], check_key: str) -> list[Plain]:
    return [
        _when(e) | {"text": e.text}
        for e in visit.entries
        if isinstance(e, kind) and e.check_key == check_key
    ]


def _when(entry: Entry) -> Plain:
    return {"id": entry.stamp.id, "seq": entry.stamp.seq, "at": entry.stamp.at.isoformat()}
