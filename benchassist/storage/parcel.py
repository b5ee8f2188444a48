"""A file from another shop, held to be hostile until it is read: visits, each whole and checked.

How big and how deep it is, is looked at before it is parsed; all of it is parsed and replayed
before any of it is written.
"""

import json
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from gettext import gettext as _
from math import isfinite
from pathlib import Path
from typing import Final, NoReturn

from benchassist.core.entry import Entry, RunStarted
from benchassist.core.personal import blotted_entry, blotted_header
from benchassist.core.trace import Traces
from benchassist.core.visit import VisitHeader
from benchassist.errors import BenchError, InputError
from benchassist.storage.codec import Plain
from benchassist.storage.exchange import (
    BUNDLE_FORMAT,
    VERSION,
    VISIT_FORMAT,
    export_visit,
    read_export,
    read_runs,
)
from benchassist.storage.json_shape import shape_of
from benchassist.storage.photo_account import PhotoParcel, read_photos
from benchassist.storage.row import Row, entry_row, machine_row
from benchassist.storage.run_record import RunRecord

MOST_BYTES: Final = 256 * 2**20
DEEPEST: Final = 64
"""Levels of lists and objects; this program's own are under twenty."""
MOST_PARTS: Final = 5_000_000
"""Lists and objects; an empty one is three bytes in the file and sixty in memory."""
MOST_TEXTS: Final = 15_000_000

LONGEST_ID: Final = 36
LONGEST_NUMBER: Final = 40
LONGEST_REASON: Final = 16
LONGEST_WHOLE: Final = 18
"""Digits of a whole number; more do not fit into 64 bits."""

SHAPELESS: Final = (ArithmeticError, AttributeError, LookupError, TypeError, ValueError)
"""What a document of another shape leads to, wherever in the reading it is first missed."""


@dataclass(frozen=True, slots=True, eq=False)
class Parcel:
    """A visit from elsewhere that replays, and its rows as the tables take them."""

    header: VisitHeader
    entries: tuple[Entry, ...]
    runs: tuple[RunRecord, ...]
    machine: Row
    rows: tuple[Row, ...]
    photos: tuple[PhotoParcel, ...] = ()

    @classmethod
    def of(
        cls,
        header: VisitHeader,
        entries: tuple[Entry, ...],
        runs: tuple[RunRecord, ...] = (),
        photos: tuple[PhotoParcel, ...] = (),
    ) -> "Parcel":
        """A visit with its rows. Raises StoreError as `encode`."""
        return cls(
            header=header,
            entries=entries,
            runs=runs,
            machine=machine_row(header.machine),
            rows=tuple(entry_row(entry) for entry in entries),
            photos=photos,
        )

    def without(self, traces: Traces) -> "Parcel":
        """The same without what tells who its customer is. Raises StoreError as `encode`."""
        entries = tuple(blotted_entry(entry, traces) for entry in self.entries)
        return Parcel.of(blotted_header(self.header, traces), entries, self.runs)


def read_parcels(path: Path) -> tuple[Parcel, ...]:
    """Return the visits of an export, in its order.

    Raises InputError in one line for a file that is no export, or not one to be read here.
    """
    try:
        return tuple(_parcel(told) for told in _documents(_parsed(_bytes_of(path))))
    except BenchError as error:
        raise InputError(f"{path}: {error}") from None


def _bytes_of(path: Path) -> bytes:
    try:
        if not path.is_file():
            raise InputError(_("there is no such file: name one that 'visits export' wrote"))
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise InputError(_("the file cannot be read ({why})").format(why=why)) from None
    if len(data) > MOST_BYTES:
        raise InputError(
            _("the file is larger than {most} MB: export fewer visits at a time").format(
                most=MOST_BYTES // 2**20
            )
        )
    return data


def _parsed(data: bytes) -> object:
    shape = shape_of(data)
    if shape.deepest > DEEPEST or shape.parts > MOST_PARTS or shape.texts > MOST_TEXTS:
        raise InputError(_("the file is nested too deep or too full to be an export of visits"))
    text = _text_of(data)
    if not text.strip():
        raise InputError(_("the file is empty: choose a file that 'visits export' wrote"))
    try:
        return json.loads(
            text,
            object_pairs_hook=_object,
            parse_constant=_no_constant,
            parse_float=_number,
            parse_int=_whole,
        )
    except json.JSONDecodeError as error:
        if shape.begins_as_one and (shape.is_open or error.pos >= len(text.rstrip())):
            raise InputError(
                _("the file is cut short: its end is missing, export the visits again")
            ) from None
        raise InputError(
            _("this is not JSON (line {line}): choose a file that 'visits export' wrote").format(
                line=error.lineno
            )
        ) from None


def _text_of(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(
            _("this is not text in UTF-8: choose a file that 'visits export' wrote")
        ) from None


def _object(pairs: list[tuple[str, object]]) -> Plain:
    found = dict(pairs)
    if len(found) != len(pairs):
        (twice, _times), *_others = Counter(key for key, _value in pairs).most_common(1)
        raise InputError(_("'{key}' stands twice in one object").format(key=_short(twice)))
    return found


def _no_constant(name: str) -> NoReturn:
    raise InputError(_("{name} is not a number a visit can keep").format(name=name))


def _number(text: str) -> float:
    value = float(text)
    return value if isfinite(value) else _no_constant(_short(text))


def _whole(text: str) -> int:
    return int(text) if len(text) <= LONGEST_WHOLE else _no_constant(_short(text))


def _short(text: str) -> str:
    """A stranger's text in a line of ours: its beginning, on one line."""
    return "".join(c if c.isprintable() else "?" for c in text[:40])


def _documents(told: object) -> list[object]:
    """The documents of single visits. A newer file says so, whatever else is in it."""
    kind = told.get("format") if isinstance(told, dict) else None
    if not isinstance(told, dict) or kind not in (VISIT_FORMAT, BUNDLE_FORMAT):
        raise InputError(_("this is not an export of visits: choose one this program wrote"))
    version = told.get("version")
    if type(version) is int and version > VERSION:
        raise InputError(
            _(
                "the export is newer than this program (version {version}, known here up to "
                "{known}): update this program first"
            ).format(version=version, known=VERSION)
        )
    if type(version) is not int or version != VERSION:
        raise InputError(_("the export does not say a version that is known here"))
    if kind == VISIT_FORMAT:
        return [told]
    visits = told.get("visits")
    if not isinstance(visits, list):
        raise InputError(_("the export has no list of visits: export them again"))
    for visit in visits:
        if not isinstance(visit, dict) or visit.get("format") != VISIT_FORMAT:
            raise InputError(_("the export holds something that is not a visit: export it again"))
        _documents(visit)
    return visits


def _parcel(document: object) -> Parcel:
    """A visit that can be replayed, kept and told again; nothing of it is written yet."""
    assert isinstance(document, dict)  # noqa: S101 - `_documents` has seen to it
    try:
        ((header, entries),) = read_export(document)
        runs = tuple(read_runs(document))
        _refuse_misfits(header, entries, runs)
        export_visit(header, entries)
        return Parcel.of(header, entries, runs, read_photos(document, entries))
    except (BenchError, *SHAPELESS) as error:
        raise InputError(
            _("visit {number} cannot be read: {why}").format(
                number=_name(document),
                why=error if isinstance(error, BenchError) else _("it is not as exports are"),
            )
        ) from None


def _name(document: Plain) -> str:
    visit = document.get("visit")
    number = visit.get("slip_number") if isinstance(visit, dict) else None
    return _short(number) if isinstance(number, str) else "?"


def _refuse_misfits(
    header: VisitHeader, entries: tuple[Entry, ...], runs: tuple[RunRecord, ...]
) -> None:
    """Refuse what replays and still cannot stand in a shop."""
    _require_ids([header.id, header.machine.id, *(e.stamp.id for e in entries)])
    number = header.slip_number
    if not 0 < len(number) <= LONGEST_NUMBER or not number.isprintable():
        raise InputError(_("its slip number is none"))
    if len({e.stamp.id for e in entries}) != len(entries):
        raise InputError(_("two of its entries have one id"))
    if any(e.stamp.visit_id != header.id for e in entries):
        raise InputError(_("an entry of another visit stands in it"))
    _require_ids([run.header.id for run in runs])
    begun = {e.run_id for e in entries if isinstance(e, RunStarted)}
    # A run that was on when a visit was parted is in both.
    visits = {"", header.id, header.apart_of}
    for run in runs:
        if run.header.id not in begun or run.header.visit_id not in visits:
            raise InputError(_("samples of a run that it has not begun stand in it"))
        if any(len(gap.reason) > LONGEST_REASON for gap in run.gaps):
            raise InputError(_("a gap of a run has a reason that is none"))


def _require_ids(ids: Iterable[str]) -> None:
    for one in ids:
        if not 0 < len(one) <= LONGEST_ID or not one.isprintable():
            raise InputError(_("an id in it is none: '{id}'").format(id=_short(one)))
