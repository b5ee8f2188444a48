"""Entries and visit headers as JSON text and back, driven by the type hints of their classes.

Exact: a float comes back as the same float. Strict: an unknown name is refused, so nothing a newer
program wrote is dropped in silence. Tolerant: a name that is missing takes the class's default, so
what an older program wrote still reads.
"""

import json
from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import MISSING, dataclass, fields, is_dataclass
from datetime import UTC, datetime
from enum import StrEnum
from functools import cache
from gettext import gettext as _
from math import isfinite
from types import MappingProxyType, NoneType, UnionType
from typing import Any, Final, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from benchassist.core import entry as core
from benchassist.core.entry import Entry
from benchassist.errors import ShopFileError, StoreError

Plain = dict[str, Any]
"""An object as `json` reads and writes it."""

T = TypeVar("T")

ENTRY_KINDS: Final = MappingProxyType(
    {
        "taken": core.Taken,
        "looked": core.Looked,
        "struck": core.Struck,
        "skipped": core.Skipped,
        "moved_to": core.MovedTo,
        "noted": core.Noted,
        "option_chosen": core.OptionChosen,
        "temperature_set": core.TemperatureSet,
        "leads_zeroed": core.LeadsZeroed,
        "self_checked": core.SelfChecked,
        "did": core.Did,
        "run_started": core.RunStarted,
        "run_marked": core.RunMarked,
        "run_ended": core.RunEnded,
        "evidence_set": core.EvidenceSet,
        "swap_tried": core.SwapTried,
        "part_fitted": core.PartFitted,
        "serviced": core.Serviced,
        "decided": core.Decided,
        "proved": core.Proved,
        "closed": core.Closed,
        "reopened": core.Reopened,
    }
)
"""What each entry is called on disk. A name once given stays, whatever its class is called."""

OWN_KIND: Final = "mark"
"""What an entry's own field 'kind' is called on disk, where 'kind' tells the entries apart."""

KIND_OF: Final = MappingProxyType({kind: name for name, kind in ENTRY_KINDS.items()})


@dataclass(frozen=True, slots=True)
class Codec:
    """How one type is written and read. `read` is told where in the record it stands."""

    write: Callable[[Any], Any]
    read: Callable[[object, str], Any]


def encode(value: object) -> Plain:
    """Return a dataclass of core as an object for JSON. Raises StoreError for inf, nan and NUL."""
    written: Plain = _codec(cast("Hashable", type(value))).write(value)
    return written


def decode(kind: type[T], data: object) -> T:
    """Return the dataclass `encode` wrote. Raises ShopFileError naming what cannot be read."""
    value: T = _codec(cast("Hashable", kind)).read(data, kind.__name__)
    return value


def encode_entry(entry: Entry) -> Plain:
    """Return an entry with its kind. Raises StoreError as `encode` does."""
    written = encode(entry)
    if "kind" in written:
        written[OWN_KIND] = written.pop("kind")
    return {"kind": KIND_OF[type(entry)]} | written


def decode_entry(data: object) -> Entry:
    """Return the entry `encode_entry` wrote. Raises ShopFileError as `decode` does."""
    name = data.get("kind") if isinstance(data, dict) else None
    if not isinstance(data, dict) or not isinstance(name, str) or name not in ENTRY_KINDS:
        raise _unreadable("entry", f"one of {', '.join(ENTRY_KINDS)} as its kind")
    kind: type[Entry] = ENTRY_KINDS[name]
    own = {key: value for key, value in data.items() if key != "kind"}
    if OWN_KIND in own and any(field.name == "kind" for field in fields(kind)):
        own["kind"] = own.pop(OWN_KIND)
    return decode(kind, own)


def to_text(data: Plain) -> str:
    """Return one line of JSON."""
    return _TO_TEXT.encode(data)


def from_text(text: str) -> object:
    """Return what a line of JSON holds. Raises ShopFileError where it is not JSON."""
    try:
        return json.loads(text)
    except ValueError:
        raise _unreadable("record", "JSON text") from None


@cache
def _codec(hint: Hashable) -> Codec:
    """Build the codec of a type once; the cache lives as long as the program."""
    arguments = get_args(hint)
    match get_origin(hint):
        case origin if origin in (UnionType, Union):
            codec = _optional(_codec(next(a for a in arguments if a is not NoneType)))
        case origin if origin is tuple and arguments[-1] is not Ellipsis:
            codec = _fixed(tuple(_codec(a) for a in arguments))
        case origin if origin is tuple:
            codec = _sequence(_codec(arguments[0]), tuple, list)
        case origin if origin is frozenset:
            codec = _sequence(_codec(arguments[0]), frozenset, sorted)
        case _ if isinstance(hint, type) and is_dataclass(hint):
            codec = _record(hint)
        case _ if isinstance(hint, type) and issubclass(hint, StrEnum):
            codec = _choice(hint)
        case _:
            codec = _SCALARS[hint]
    return codec


def _optional(inner: Codec) -> Codec:
    write, read = inner.write, inner.read
    return Codec(
        lambda value: None if value is None else write(value),
        lambda data, where: None if data is None else read(data, where),
    )


def _sequence(
    inner: Codec,
    collect: Callable[[Iterable[Any]], Any],
    order: Callable[[Iterable[Any]], list[Any]],
) -> Codec:
    write, read = inner.write, inner.read

    def read_all(data: object, where: str) -> object:
        if not isinstance(data, list):
            raise _unreadable(where, "a list")
        return collect(read(item, f"{where}[{i}]") for i, item in enumerate(data))

    return Codec(lambda value: order(write(item) for item in value), read_all)


def _fixed(inner: tuple[Codec, ...]) -> Codec:
    def read_all(data: object, where: str) -> object:
        if not isinstance(data, list) or len(data) != len(inner):
            raise _unreadable(where, f"a list of {len(inner)}")
        return tuple(c.read(item, where) for c, item in zip(inner, data, strict=True))

    return Codec(
        lambda value: [c.write(item) for c, item in zip(inner, value, strict=True)], read_all
    )


def _record(kind: type[Any]) -> Codec:
    hints = get_type_hints(kind)
    parts = tuple((f.name, _codec(hints[f.name])) for f in fields(kind))
    writers = tuple((name, codec.write) for name, codec in parts)
    readers = {name: codec.read for name, codec in parts}
    needed = tuple(
        f.name for f in fields(kind) if f.default is MISSING and f.default_factory is MISSING
    )

    def read(data: object, where: str) -> object:
        if not isinstance(data, dict):
            raise _unreadable(where, "an object")
        for name in data.keys() - readers.keys():
            raise ShopFileError(
                _("the record's '{where}' is unknown here: update this program first").format(
                    where=f"{where}.{name}"
                )
            )
        for name in needed:
            if name not in data:
                raise _unreadable(where, f"a '{name}'")
        values = {name: readers[name](value, f"{where}.{name}") for name, value in data.items()}
        try:
            return kind(**values)
        except ValueError as error:
            raise _unreadable(where, f"sound values ({error})") from None

    return Codec(lambda value: {name: write(getattr(value, name)) for name, write in writers}, read)


def _choice(kind: type[StrEnum]) -> Codec:
    names = {member.value: member for member in kind}

    def read(data: object, where: str) -> StrEnum:
        if not isinstance(data, str) or data not in names:
            raise _unreadable(where, f"one of {', '.join(names)}")
        return names[data]

    return Codec(lambda value: kind(value).value, read)


def _write_float(value: float) -> float:
    if not isfinite(value):
        raise StoreError(
            _("{value} is not a number a visit can keep: take the reading again").format(
                value=value
            )
        )
    return float(value)


def _read_float(data: object, where: str) -> float:
    if isinstance(data, bool) or not isinstance(data, int | float) or not isfinite(data):
        raise _unreadable(where, "a number")
    return float(data)


def _write_text(value: str) -> str:
    if "\x00" in value or not (value.isascii() or _is_unicode(value)):
        raise StoreError(
            _("{text} holds a character that cannot be kept: type it again").format(
                text=repr(value)
            )
        )
    return value


def _is_unicode(value: str) -> bool:
    return not any("\ud800" <= letter <= "\udfff" for letter in value)


def _write_time(value: datetime) -> str:
    if value.tzinfo is None:
        raise StoreError(_("the time {time} has no zone: a visit keeps UTC").format(time=value))
    return value.astimezone(UTC).isoformat()


def _read_time(data: object, where: str) -> datetime:
    try:
        value = datetime.fromisoformat(str(data))
    except ValueError:
        raise _unreadable(where, "a time such as 2025-03-01T09:30:00+00:00") from None
    if value.tzinfo is None:
        raise _unreadable(where, "a time with its zone")
    return value.astimezone(UTC)


def _exactly(kind: type, words: str) -> Callable[[object, str], Any]:
    def read(data: object, where: str) -> object:
        if type(data) is not kind:
            raise _unreadable(where, words)
        return data

    return read


def _unreadable(where: str, wanted: str) -> ShopFileError:
    return ShopFileError(
        _("the record's '{where}' cannot be read: it should hold {wanted}").format(
            where=where, wanted=wanted
        )
    )


_TO_TEXT: Final = json.JSONEncoder(ensure_ascii=False, allow_nan=False, separators=(",", ":"))

_SCALARS: Final[Mapping[Hashable, Codec]] = MappingProxyType(
    {
        str: Codec(_write_text, _exactly(str, "text")),
        float: Codec(_write_float, _read_float),
        int: Codec(int, _exactly(int, "a whole number")),
        bool: Codec(bool, _exactly(bool, "true or false")),
        datetime: Codec(_write_time, _read_time),
    }
)
