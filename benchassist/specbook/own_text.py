"""The text of a profile with one figure changed: every comment and blank line else stays.

What comes out is TOML again, whatever was typed: tomlkit quotes it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.items import AoT, InlineTable, Table

from benchassist.core.spec_entry import Stated
from benchassist.specbook.fault import Where
from benchassist.specbook.figure import Figure
from benchassist.specbook.position import Lines


@dataclass(frozen=True, slots=True)
class Draft:
    """A file as a change would leave it, and where the changed sheet stands in it."""

    path: Path
    text: str | None
    above: Where = ()


def changed(text: str, above: Where, figure: Figure, stated: Stated) -> str:
    """The text with the figure of the sheet at `above` stated otherwise."""
    document: Any = tomlkit.parse(text)
    where, noted = (*above, *figure.where), (*above, *figure.noted)
    _put(_table(document, where), figure.field, _value(figure, stated.value))
    table = _table(document, noted)
    if stated.source or figure.stated.source:
        _put(table, "source", stated.source)
    if figure.drawer == "causes" and not figure.noted:
        table["note"] = stated.note  # a book must have one: its audit tells an empty one
    else:
        _put(table, "note", stated.note)
    says_where = figure.says_where and bool(stated.value)
    if figure.says_where or stated.measured != figure.stated.measured:
        is_own = says_where or stated.measured != figure.inherited
        _put(table, "probe_points", stated.measured if is_own else "")
    _drop_if_empty(document, where)
    return tomlkit.dumps(document)


def slice_of(text: str, where: Where) -> str:
    """One table of a list of tables, `[[check]]`, with the comment that stands right above it."""
    name, number = where
    lines = text.splitlines(keepends=True)
    begin = _begin(text, lines, (name, number))
    document: Any = tomlkit.parse(text)
    last = number == len(document[str(name)]) - 1
    end = len(lines) if last else _begin(text, lines, (name, int(number) + 1))
    return "".join(lines[begin:end]).strip("\n") + "\n"


def without(text: str, where: Where) -> str:
    """The text less one table of a list of tables; empty where none is left."""
    name, number = where
    document: Any = tomlkit.parse(text)
    if len(document[str(name)]) == 1:
        return ""
    return text.replace(slice_of(text, (name, number)), "", 1)


def count(text: str, name: str) -> int:
    """How many tables a list of tables has."""
    return len(tomlkit.parse(text).get(name, []))


def _begin(text: str, lines: list[str], where: Where) -> int:
    """The first line (from 0) of a table: of the comment right above its header."""
    begin = Lines(text).of(where) - 1
    while begin > 0 and lines[begin - 1].lstrip().startswith("#"):
        begin -= 1
    return begin


def _table(document: Any, where: Where) -> Any:  # noqa: ANN401 - tomlkit's containers
    """The table at a place; it is made where it is missing."""
    here = document
    for step in where:
        if isinstance(step, str) and step not in here:
            here[step] = tomlkit.table()
        here = here[step]
    return here


def _put(table: Any, key: str, value: str | float) -> None:  # noqa: ANN401
    if value == "":
        if key in table:
            del table[key]
    elif key in table or isinstance(table, InlineTable) or not any(_tables_in(table)):
        table[key] = value
    else:
        _put_before_tables(table, key, value)


def _tables_in(table: Any) -> Iterator[str]:  # noqa: ANN401
    return (key for key, item in table.items() if isinstance(item, Table | AoT))


def _put_before_tables(table: Any, key: str, value: str | float) -> None:  # noqa: ANN401
    """A new key of a table that has tables below it: it must stand before them."""
    below = {name: table[name] for name in list(_tables_in(table))}
    for name in below:
        del table[name]
    table[key] = value
    for name, item in below.items():
        table[name] = item


def _value(figure: Figure, text: str) -> str | float:
    """A number where the figure may be one and the text is one, else the text."""
    if not figure.number:
        return text
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return text


def _drop_if_empty(document: Any, where: Where) -> None:  # noqa: ANN401
    """A table that says nothing any more says that best by not being there."""
    if where and isinstance(where[-1], str) and not _table(document, where):
        del _table(document, where[:-1])[where[-1]]
