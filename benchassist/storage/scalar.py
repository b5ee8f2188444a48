"""How single values are written as JSON and read back: numbers, texts, times, choices.

Exact: a float comes back as the same float. Anything else than what was written is refused.
"""

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from gettext import gettext as _
from math import isfinite
from types import MappingProxyType
from typing import Any, Final

from benchassist.core.plain_text import is_kept
from benchassist.errors import ShopFileError, StoreError


@dataclass(frozen=True, slots=True)
class Codec:
    """How one type is written and read. `read` raises MisfitError."""

    write: Callable[[Any], Any]
    read: Callable[[object], Any]


class MisfitError(Exception):
    """Data is not what its type asks for; what it stands in adds where, on the way out."""

    def __init__(self, wanted: str, *steps: str) -> None:
        """`wanted` says what it should hold; empty: its name is not known."""
        super().__init__(wanted)
        self.wanted = wanted
        self.steps = list(steps)

    def refusal(self, root: str) -> ShopFileError:
        """In one line, for a record that is called so."""
        where = "".join((root, *reversed(self.steps)))
        if self.wanted:
            return unreadable(where, self.wanted)
        return ShopFileError(
            _("the record's '{where}' is unknown here: update this program first").format(
                where=where
            )
        )


def choice(kind: type[StrEnum]) -> Codec:
    """The codec of a choice among names."""
    names = {member.value: member for member in kind}
    values = {member: member.value for member in kind}

    def read(data: object) -> StrEnum:
        try:
            return names[data]  # type: ignore[index]  # anything else is not found
        except (KeyError, TypeError):
            raise MisfitError(f"one of {', '.join(names)}") from None

    def write(value: StrEnum) -> str:
        return values[value]

    return Codec(write, read)


def _write_float(value: float) -> float:
    if not isfinite(value):
        raise StoreError(
            _("{value} is not a number a visit can keep: take the reading again").format(
                value=value
            )
        )
    return float(value)


def _read_float(data: object) -> float:
    if type(data) is float and isfinite(data):
        return data
    if type(data) is int and isfinite(data):
        return float(data)
    raise MisfitError("a number")


def _write_text(value: str) -> str:
    if not is_kept(value):
        raise StoreError(
            _("{text} holds a character that cannot be kept: type it again").format(
                text=repr(value)
            )
        )
    return value


def _write_time(value: datetime) -> str:
    if value.tzinfo is None:
        raise StoreError(_("the time {time} has no zone: a visit keeps UTC").format(time=value))
    return value.astimezone(UTC).isoformat()


def _read_time(data: object) -> datetime:
    try:
        value = datetime.fromisoformat(str(data))
    except ValueError:
        raise MisfitError("a time such as 2025-03-01T09:30:00+00:00") from None
    if value.tzinfo is UTC:
        return value
    if value.tzinfo is None:
        raise MisfitError("a time with its zone")
    return value.astimezone(UTC)


def _exactly(kind: type, words: str) -> Callable[[object], Any]:
    def read(data: object) -> object:
        if type(data) is not kind:
            raise MisfitError(words)
        return data

    return read


def unreadable(where: str, wanted: str) -> ShopFileError:
    """What is told of a record that cannot be read at a place."""
    return ShopFileError(
        _("the record's '{where}' cannot be read: it should hold {wanted}").format(
            where=where, wanted=wanted
        )
    )


SCALARS: Final[Mapping[Hashable, Codec]] = MappingProxyType(
    {
        str: Codec(_write_text, _exactly(str, "text")),
        float: Codec(_write_float, _read_float),
        int: Codec(int, _exactly(int, "a whole number")),
        bool: Codec(bool, _exactly(bool, "true or false")),
        datetime: Codec(_write_time, _read_time),
    }
)
