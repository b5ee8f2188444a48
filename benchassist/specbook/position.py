"""Lines of values in a TOML file, found only when there is a fault to point at.

tomlkit keeps every character of a file, so a value's place is found by walking its document in
order while a cursor moves along the text past all that has been seen.
"""

import tomlkit
from tomlkit.container import Container
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, InlineTable, Item, Key, Table

from benchassist.specbook.fault import Where


class Lines:
    """Where the values of one file stand."""

    def __init__(self, text: str) -> None:
        self._text = text
        try:
            self._places = _Walk(text).through(tomlkit.parse(text))
        except TOMLKitError:
            self._places = {}

    def of(self, where: Where) -> int:
        """The line (from 1) of the value; that of the nearest table if it is missing."""
        for length in range(len(where), 0, -1):
            if (place := self._places.get(where[:length])) is not None:
                return self._text.count("\n", 0, place) + 1
        return 1


class _Walk:
    """A cursor in the text, and the offsets of the values it has met."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._cursor = 0
        self._places: dict[Where, int] = {}

    def through(self, document: Container) -> dict[Where, int]:
        self._container(document, ())
        return self._places

    def _past(self, written: str) -> int:
        """Move past the next occurrence of what is written; its offset."""
        at = self._text.find(written, self._cursor)
        if at < 0:
            return self._cursor
        self._cursor = at + len(written)
        return at

    def _container(self, container: Container, above: Where) -> None:
        for key, item in container.body:
            if key is None:
                self._past(item.as_string())
            else:
                self._entry(key, item, above)

    def _entry(self, key: Key, item: Item, above: Where) -> None:
        here = (*above, key.key)
        if isinstance(item, AoT):
            for number, table in enumerate(item.body):
                self._table(table, (*here, number))
        elif isinstance(item, Table):
            self._table(item, here)
        else:
            self._places[here] = self._past(key.as_string())
            self._value(item, here)
            trivia = item.trivia
            self._past(trivia.comment_ws + trivia.comment + trivia.trail)

    def _table(self, table: Table, here: Where) -> None:
        if not table.is_super_table():
            self._places[here] = self._past("[")
            self._past("\n")
        self._container(table.value, here)

    def _value(self, item: Item, here: Where) -> None:
        """What stands inside a list or an inline table, then the end of it."""
        start, written = self._cursor, item.as_string()
        if isinstance(item, Array):
            for number, element in enumerate(item):
                begin = self._text.find(element.as_string(), self._cursor)
                self._places[(*here, number)] = max(begin, self._cursor)
                self._value(element, (*here, number))
        elif isinstance(item, InlineTable):
            for key, element in item.value.body:
                if key is not None:
                    self._places[(*here, key.key)] = self._past(key.as_string())
                    self._value(element, (*here, key.key))
        self._cursor = start
        self._past(written)
