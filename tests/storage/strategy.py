"""Hypothesis strategies for everything a visit writes down, built from the classes' type hints."""

from dataclasses import fields, is_dataclass
from datetime import UTC, datetime
from enum import StrEnum
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from hypothesis import strategies as st

from benchassist.core.band import Band
from benchassist.core.entry import Entry
from benchassist.core.procedure import Check, Procedure
from benchassist.core.reading import Reading
from benchassist.core.stake import Stake
from benchassist.core.visit import VisitHeader
from benchassist.storage.codec import ENTRY_KINDS

floats = st.floats(allow_nan=False, allow_infinity=False)
texts = st.text(st.characters(exclude_characters="\x00", codec="utf-8"), max_size=20)
times = st.datetimes(min_value=datetime(1971, 1, 1), max_value=datetime(2100, 1, 1)).map(  # noqa: DTZ001
    lambda moment: moment.replace(tzinfo=UTC)
)

Drawn = st.SearchStrategy[Any]

SCALARS: dict[object, Drawn] = {
    str: texts,
    float: floats,
    int: st.integers(-(2**31), 2**31 - 1),
    bool: st.booleans(),
    datetime: times,
}


def of(hint: object) -> Drawn:
    """Return values of a type hint that keep its class's own rules."""
    arguments = get_args(hint)
    match get_origin(hint):
        case origin if origin in (UnionType, Union):
            drawn: Drawn = st.none() | of(next(a for a in arguments if a is not NoneType))
        case origin if origin is tuple and arguments[-1] is not Ellipsis:
            drawn = st.tuples(*map(of, arguments))
        case origin if origin is tuple:
            drawn = st.lists(of(arguments[0]), max_size=2).map(tuple)
        case origin if origin is frozenset:
            drawn = st.frozensets(of(arguments[0]))
        case _ if isinstance(hint, type) and issubclass(hint, StrEnum):
            drawn = st.sampled_from(list(hint))
        case _ if isinstance(hint, type) and is_dataclass(hint):
            drawn = built(hint)
        case _:
            drawn = SCALARS[hint]
    return drawn


def built(kind: type[Any]) -> Drawn:
    """Return instances of a dataclass, every field drawn."""
    hints = get_type_hints(kind)
    drawn = {field.name: of(hints[field.name]) for field in fields(kind)}
    if kind is Reading:
        values = st.none() | floats
        return values.flatmap(
            lambda value: st.builds(
                Reading, **drawn | {"value": st.just(value), "overload": st.just(value is None)}
            )
        )
    if kind is Band:
        pairs = st.tuples(st.none() | floats, st.none() | floats).filter(in_order)
        return pairs.flatmap(
            lambda pair: st.builds(
                Band, **drawn | {"low": st.just(pair[0]), "high": st.just(pair[1])}
            )
        )
    if kind is Stake:
        amounts = st.floats(0.0, 1e6)
        drawn = dict.fromkeys(drawn, amounts) | {"currency": drawn["currency"]}
        drawn["poor_part"] = st.floats(0.0, 0.99)
    if kind is Procedure:
        drawn["checks"] = st.lists(of(Check), min_size=1, max_size=2).map(tuple)
    return st.builds(kind, **drawn)


def in_order(pair: tuple[float | None, float | None]) -> bool:
    """Whether a band can have these limits."""
    low, high = pair
    return (low is None or high is None or low < high) and pair != (None, None)


def entries() -> st.SearchStrategy[Entry]:
    """Return entries of every kind."""
    return st.one_of([of(kind) for kind in ENTRY_KINDS.values()])


def headers() -> st.SearchStrategy[VisitHeader]:
    """Return visit headers."""
    return of(VisitHeader)
