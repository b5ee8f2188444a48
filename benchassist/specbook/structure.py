"""Parsed TOML to sheets, strictly: no value is coerced, and every fault of a table is kept."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType
from typing import Any, Final, TypeVar, get_args, get_origin

from cattrs import Converter
from cattrs.cols import list_structure_factory
from cattrs.errors import (
    AttributeValidationNote,
    ForbiddenExtraKeysError,
    IterableValidationError,
    IterableValidationNote,
)
from cattrs.gen import make_dict_structure_fn

from benchassist.core.cause import CostClass
from benchassist.core.plain_text import brief
from benchassist.core.procedure import CheckKind, Leaning
from benchassist.core.quantity import Quantity
from benchassist.core.run import HeatedPart, RunKind
from benchassist.specbook.cause_sheet import Weight, WeightWord
from benchassist.specbook.fault import Where, _, unknown
from benchassist.specbook.sheet import Origin, Sketch

Problem = tuple[Where, str]
"""Where in a table, and what is wrong there."""

SheetT = TypeVar("SheetT")

_WORDS: Final[Mapping[type[StrEnum], str]] = MappingProxyType(
    {
        CheckKind: _("kind"),
        CostClass: _("cost class"),
        HeatedPart: _("part"),
        Leaning: _("leaning"),
        Origin: _("source"),
        Quantity: _("quantity"),
        RunKind: _("kind of run"),
        Sketch: _("sketch"),
        WeightWord: _("weight"),
    }
)
"""Words with a fixed choice, and what a fault calls them."""


class _WrongValueError(ValueError):
    """A value that is not of the kind its key asks for; the message says what would be right."""


def structured(value: object, sheet: type[SheetT]) -> SheetT | tuple[Problem, ...]:
    """The sheet that a TOML table describes, or everything that is wrong with the table."""
    try:
        return _converter().structure(value, sheet)
    except (ExceptionGroup, _WrongValueError) as error:
        return tuple(_problems(error, ()))


def _problems(error: Exception, above: Where) -> Iterator[Problem]:
    """Every fault under an error, with the way to it that cattrs noted."""
    here = above
    for note in getattr(error, "__notes__", ()):
        if isinstance(note, AttributeValidationNote):
            here = (*here, note.name)
        elif isinstance(note, IterableValidationNote):
            here = (*here, note.index)
    if isinstance(error, ExceptionGroup):
        for inner in error.exceptions:
            yield from _problems(inner, here)
    elif isinstance(error, ForbiddenExtraKeysError):
        known = [field.name for field in fields(error.cl)]
        for name in sorted(error.extra_fields):
            yield (*here, name), unknown(_("key"), name, known)
    elif isinstance(error, KeyError):
        yield here, _("the key '{key}' is missing").format(key=here[-1])
    else:
        yield here, str(error)


@cache
def _converter() -> Converter:
    converter = Converter(forbid_extra_keys=True, detailed_validation=True)
    converter.register_structure_hook(str, _exactly(str, _("a text in quotes")))
    converter.register_structure_hook(bool, _exactly(bool, _("true or false")))
    converter.register_structure_hook(int, _exactly(int, _("a whole number")))
    converter.register_structure_hook(float, _number)
    # One by one: a StrEnum is a str, and the hook of str would be found for it.
    for kind in _WORDS:
        converter.register_structure_hook(kind, _word)
    converter.register_structure_hook(Weight, _weight)
    converter.register_structure_hook_factory(is_dataclass, _table)
    converter.register_structure_hook_factory(_is_a(tuple), _list)
    converter.register_structure_hook_factory(_is_a(dict), _map)
    return converter


def _is_a(origin: object) -> Callable[[object], bool]:
    return lambda kind: get_origin(kind) is origin


def _wrong(value: object, wanted: str) -> _WrongValueError:
    given = brief(repr(value))
    if isinstance(value, dict | list):
        given = _("a table") if isinstance(value, dict) else _("a list")
    return _WrongValueError(_("must be {wanted}, not {given}").format(wanted=wanted, given=given))


def _exactly(kind: type[SheetT], wanted: str) -> Callable[[object, object], SheetT]:
    def hook(value: object, _kind: object) -> SheetT:
        if type(value) is not kind:
            raise _wrong(value, wanted)
        return value

    return hook


def _number(value: object, _kind: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise _wrong(value, _("a number"))
    return float(value)


def _word(value: object, kind: type[StrEnum]) -> StrEnum:
    words = [str(member) for member in kind]
    if not isinstance(value, str):
        raise _wrong(value, _("one of {words}").format(words=", ".join(words)))
    if value not in words:
        raise _WrongValueError(unknown(_WORDS[kind], value, words))
    return kind(value)


def _weight(value: object, _kind: object) -> Weight:
    return WeightWord(_word(value, WeightWord)) if isinstance(value, str) else _number(value, float)


def _table(kind: type[Any], converter: Converter) -> Callable[[object, object], object]:
    inner = make_dict_structure_fn(
        kind, converter, _cattrs_forbid_extra_keys=True, _cattrs_detailed_validation=True
    )
    return _after(lambda value: isinstance(value, dict), _("a table of keys"), inner)


def _map(kind: type[Any], converter: Converter) -> Callable[[object, object], object]:
    key_kind, value_kind = get_args(kind)

    def inner(value: dict[str, object], _kind: object) -> dict[object, object]:
        made: dict[object, object] = {}
        errors: list[Exception] = []
        for key, element in value.items():
            try:
                made[converter.structure(key, key_kind)] = converter.structure(element, value_kind)
            except (ExceptionGroup, _WrongValueError) as error:
                error.add_note(IterableValidationNote(key, key, value_kind))
                errors.append(error)
        if errors:
            raise IterableValidationError("", errors, kind)
        return made

    return _after(lambda value: isinstance(value, dict), _("a table of keys"), inner)


def _list(kind: type[Any], converter: Converter) -> Callable[[object, object], object]:
    element = get_args(kind)[0]
    inner = list_structure_factory(list[element], converter)  # type: ignore[valid-type]
    wanted = _("a list in square brackets")
    checked = _after(lambda value: isinstance(value, list), wanted, inner)
    return lambda value, _kind: tuple(checked(value, list[element]))  # type: ignore[valid-type]


def _after(
    fits: Callable[[object], bool], wanted: str, inner: Callable[[Any, Any], Any]
) -> Callable[[object, object], Any]:
    def hook(value: object, kind: object) -> Any:  # noqa: ANN401 - cattrs' hooks are untyped
        if not fits(value):
            raise _wrong(value, wanted)
        return inner(value, kind)

    return hook
