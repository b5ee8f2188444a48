"""Entries and visit headers as JSON text and back, driven by the type hints of their classes.

Exact: a float comes back as the same float. Strict: an unknown name is refused, so nothing a newer
program wrote is dropped in silence. Tolerant: a name that is missing takes the class's default, so
what an older program wrote still reads.
"""

import json
from collections.abc import Callable, Hashable, Iterable
from dataclasses import MISSING, dataclass, fields, is_dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType, NoneType, UnionType
from typing import Any, Final, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from benchassist.core import entry as core
from benchassist.core.entry import Entry
from benchassist.storage.scalar import SCALARS, Codec, MisfitError, choice, unreadable

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
        "part_marked": core.PartMarked,
        "photo_added": core.PhotoAdded,
        "photo_removed": core.PhotoRemoved,
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
class Ready:
    """A value that was decoded already, standing in an object that is decoded now."""

    value: object


def encode(value: object) -> Plain:
    """Return a dataclass of core as an object for JSON. Raises StoreError for inf, nan and NUL."""
    written: Plain = _codec(cast("Hashable", type(value))).write(value)
    return written


def decode(kind: type[T], data: object) -> T:
    """Return the dataclass `encode` wrote. Raises ShopFileError naming what cannot be read."""
    try:
        value: T = _codec(cast("Hashable", kind)).read(data)
    except MisfitError as misfit:
        raise misfit.refusal(kind.__name__) from None
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
        raise unreadable("entry", f"one of {', '.join(ENTRY_KINDS)} as its kind")
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
        raise unreadable("record", "JSON text") from None


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
            codec = choice(hint)
        case _:
            codec = SCALARS[hint]
    return codec


def _optional(inner: Codec) -> Codec:
    write, read = inner.write, inner.read
    return Codec(
        lambda value: None if value is None else write(value),
        lambda data: None if data is None else read(data),
    )


def _sequence(
    inner: Codec,
    collect: Callable[[Iterable[Any]], Any],
    order: Callable[[Iterable[Any]], list[Any]],
) -> Codec:
    write, read = inner.write, inner.read

    def read_all(data: object) -> object:
        if not isinstance(data, list):
            raise MisfitError("a list")
        found: list[Any] = []
        try:
            for item in data:
                found.append(read(item))  # noqa: PERF401 - its length tells where it stopped
        except MisfitError as misfit:
            misfit.steps.append(f"[{len(found)}]")
            raise
        return collect(found)

    return Codec(lambda value: order([write(item) for item in value]), read_all)


def _fixed(inner: tuple[Codec, ...]) -> Codec:
    def read_all(data: object) -> object:
        if not isinstance(data, list) or len(data) != len(inner):
            raise MisfitError(f"a list of {len(inner)}")
        return tuple(c.read(item) for c, item in zip(inner, data, strict=True))

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

    def read(data: object) -> object:
        if not isinstance(data, dict):
            if isinstance(data, Ready):
                return data.value
            raise MisfitError("an object")
        values: Plain = {}
        name = ""
        try:
            for name, value in data.items():
                values[name] = readers[name](value)
        except MisfitError as misfit:
            misfit.steps.append(f".{name}")
            raise
        except KeyError:
            raise MisfitError("", f".{name}") from None
        try:
            return kind(**values)
        except TypeError:
            missing = next((name for name in needed if name not in values), None)
            if missing is None:
                raise
            raise MisfitError(f"a '{missing}'") from None
        except ValueError as error:
            raise MisfitError(f"sound values ({error})") from None

    return Codec(lambda value: {name: write(getattr(value, name)) for name, write in writers}, read)


_TO_TEXT: Final = json.JSONEncoder(ensure_ascii=False, allow_nan=False, separators=(",", ":"))
