"""What is written down, as rows of the tables."""

import re
from typing import Any, Final

from benchassist.core.entry import Entry, Looked, Machine, Struck, Taken
from benchassist.core.quantity import Quantity
from benchassist.core.visit import VisitHeader
from benchassist.storage.codec import encode, encode_entry, to_text

Row = dict[str, Any]

SLIP_NUMBER: Final = re.compile(r"(?:([A-Z])-)?([0-9]{1,9})", re.ASCII)
"""A slip's number: four digits or more, on a second bench after its letter and a hyphen."""


def machine_row(machine: Machine) -> Row:
    """Return a machine with the text its search looks through. Raises StoreError as `encode`."""
    row = encode(machine)
    digits = "".join(letter for letter in machine.phone if letter.isdigit())
    row["search"] = "\n".join([*(v for k, v in row.items() if k != "id"), digits]).casefold()
    return row


def visit_row(header: VisitHeader) -> Row:
    """Return a visit's header. Raises StoreError as `encode`."""
    numbered = SLIP_NUMBER.fullmatch(header.slip_number)
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
        "header": to_text(encode(header)),
    }


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
