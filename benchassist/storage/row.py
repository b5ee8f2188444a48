"""What is written down, as rows of the tables."""

from typing import Any

from sqlalchemy import Table

from benchassist.core.entry import Entry, Looked, Machine, PartMarked, Struck, Taken
from benchassist.core.quantity import Quantity
from benchassist.core.run import RunHeader
from benchassist.core.slip_number import PLAIN
from benchassist.core.visit import VisitHeader
from benchassist.storage import schema
from benchassist.storage.codec import encode, encode_entry, to_text
from benchassist.storage.dial import Dial
from benchassist.storage.frozen import freeze

Row = dict[str, Any]


def machine_row(machine: Machine) -> Row:
    """Return a machine. Raises StoreError as `encode`."""
    return encode(machine)


def visit_columns(header: VisitHeader) -> Row:
    """Return what stands beside a visit's header."""
    numbered = PLAIN.fullmatch(header.slip_number)
    letter, serial = numbered.groups() if numbered else ("", None)
    return {
        "id": header.id,
        "slip_number": header.slip_number,
        "slip_letter": letter or "",
        "slip_serial": None if serial is None else int(serial),
        "machine_id": header.machine.id,
        "opened_at": header.opened_at,
        "complaint": header.interview.complaint,
        "words": header.interview.words,
        "procedure_key": header.procedure.key,
        "engine_class": header.procedure.engine_class,
        "steps": len(header.procedure.checks),
        "first_check": header.procedure.checks[0].key,
    }


def visit_rows(header: VisitHeader) -> tuple[Row, tuple[Row, ...]]:
    """Return a visit's header, and the texts it names for the table `frozen`.

    Raises StoreError as `encode`.
    """
    frozen_columns, texts = freeze(header)
    return visit_columns(header) | frozen_columns, texts


def run_row(header: RunHeader) -> Row:
    """Return a run. Raises StoreError as `encode`."""
    return {
        "id": header.id,
        "visit_id": header.visit_id,
        "kind": header.kind,
        "header": to_text(encode(header)),
    }


def dial_row(run_id: str, number: int, dial: Dial) -> Row:
    """Return what stands beside the digits of a run's readings, under its number."""
    body = to_text(encode(dial))
    return {"run_id": run_id, "number": number, "channel": dial.channel, "body": body}


def entry_row(entry: Entry) -> Row:
    """Return an entry with what is asked across visits beside its body. Raises as `encode`."""
    body = encode_entry(entry)
    match entry:
        case Taken() | Looked():
            strikes = entry.supersedes
        case Struck():
            strikes = entry.entry_id
        case _:
            strikes = None
    return {
        "id": entry.stamp.id,
        "visit_id": entry.stamp.visit_id,
        "seq": entry.stamp.seq,
        "at": entry.stamp.at,
        "kind": body["kind"],
        "check_key": body.get("check_key"),
        "strikes": strikes,
        "body": to_text(body),
    }


def beside_row(entry: Entry) -> tuple[Table, Row] | None:
    """Return the row that repeats of an entry what is asked across visits, and its table."""
    match entry:
        case Taken():
            return schema.taken, taken_row(entry)
        case PartMarked():
            return schema.part_mark, {
                "entry_id": entry.stamp.id,
                "visit_id": entry.stamp.visit_id,
                "target_id": entry.entry_id,
                "check_key": entry.check_key,
                "good": entry.good,
                "reason": entry.reason,
            }
        case _:
            return None


def taken_row(taken: Taken) -> Row:
    """Return the figures of a taken reading, raw and judged, in base units."""
    reading, judgement, band = taken.reading, taken.judgement, taken.band
    return {
        "entry_id": taken.stamp.id,
        "visit_id": taken.stamp.visit_id,
        "check_key": taken.check_key,
        "reading_quantity": reading.quantity,
        "reading_value": reading.value,
        "resolution": reading.resolution,
        "full_scale": reading.full_scale,
        "overload": reading.overload,
        "source": reading.source,
        "method": taken.method,
        "quantity": judged_quantity(taken),
        "corrected": judgement.value,
        "expanded_uncertainty": judgement.expanded_uncertainty,
        "k": judgement.k,
        "band_low": band.low if band else None,
        "band_high": band.high if band else None,
        "verdict": judgement.verdict,
        "side": judgement.side,
    }


def judged_quantity(taken: Taken) -> Quantity | None:
    """What the corrected value is of: a volt drop is read in volts and judged in ohms."""
    if taken.band is not None:
        return taken.band.quantity
    if is_volt_drop(taken):
        return Quantity.RESISTANCE
    return taken.reading.quantity


def is_volt_drop(taken: Taken) -> bool:
    """Whether the two readings are volts across a part and the current through it."""
    return (
        taken.second is not None
        and taken.reading.quantity is Quantity.VOLTAGE
        and taken.second.quantity is Quantity.CURRENT
    )
