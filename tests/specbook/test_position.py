"""Lines of values: right for whatever TOML allows, near where the value is missing."""

import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from benchassist.specbook.fault import Where
from benchassist.specbook.loader import shipped_folder
from benchassist.specbook.position import Lines

TRICKY = '''\
# key = "in a comment"
name = "x" # key = "behind a value"
key = """
[not.a.table]
key = 1
"""

[a.b] # key
key = [ # key
  "one",
  # key
  { key = "two", other = [1,
    2] },
  "one",
]
"quoted key" = 'x'

[[list]]
key = 1
[list.under]
key = 2

  [[list]]
  key = 3
last = true
'''

WANTED: dict[Where, int] = {
    ("name",): 2,
    ("key",): 3,
    ("a", "b"): 8,
    ("a", "b", "key"): 9,
    ("a", "b", "key", 0): 10,
    ("a", "b", "key", 1, "key"): 12,
    ("a", "b", "key", 1, "other", 1): 13,
    ("a", "b", "key", 2): 14,
    ("a", "b", "quoted key"): 16,
    ("list", 0): 18,
    ("list", 0, "key"): 19,
    ("list", 0, "under"): 20,
    ("list", 0, "under", "key"): 21,
    ("list", 1): 23,
    ("list", 1, "key"): 24,
    ("list", 1, "last"): 25,
}


@pytest.mark.parametrize(("where", "line"), WANTED.items())
def test_a_value_is_found_on_its_line(where: Where, line: int) -> None:
    """Comments, multi-line texts and nested lists do not mislead it."""
    assert Lines(TRICKY).of(where) == line


@pytest.mark.parametrize(
    ("where", "line"), [(("list", 1, "gone"), 23), (("a", "b", "key", 9), 9), (("gone",), 1)]
)
def test_a_missing_value_is_told_at_the_nearest_table(where: Where, line: int) -> None:
    """A key that is not there is told where it belongs."""
    assert Lines(TRICKY).of(where) == line


def test_a_file_that_is_no_toml_has_a_first_line() -> None:
    """Where there is no structure the line is 1."""
    assert Lines("= = =").of(("a", "b")) == 1


def values(node: object, above: Where = ()) -> Iterator[tuple[Where, object]]:
    """Every plain value of a parsed file, with the way to it."""
    if isinstance(node, dict):
        for key, inner in node.items():
            yield from values(inner, (*above, key))
    elif isinstance(node, list):
        for number, inner in enumerate(node):
            yield from values(inner, (*above, number))
    else:
        yield above, node


@pytest.mark.parametrize(
    "path", sorted(shipped_folder().rglob("*.toml")), ids=lambda path: path.stem
)
def test_every_value_of_a_shipped_profile_is_found(path: Path) -> None:
    """The line told for a value holds that value."""
    text = path.read_text(encoding="utf-8")
    rows, lines = text.splitlines(), Lines(text)
    for where, value in values(tomllib.loads(text)):
        written = str(value).lower() if isinstance(value, bool) else str(value)
        assert written in rows[lines.of(where) - 1], where
