"""Strangers' text on a line of ours."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.plain_text import (
    JOINERS,
    MOST_MARKS,
    MOST_SHOWN,
    capital,
    is_kept,
    plain,
    typed,
)
from tests.hostile import HOSTILE, UNKEPT

ANY = st.text(st.characters(), max_size=80) | st.sampled_from([*HOSTILE.values(), *UNKEPT])


@given(ANY)
def test_nothing_steers_what_shows_it(text: str) -> None:
    """No control character, no forced order, half character or line break; no pile of marks."""
    shown = plain(text)
    assert len(shown) <= MOST_SHOWN + 1
    pile = 0
    for letter in shown:
        kind = unicodedata.category(letter)
        assert kind not in {"Cc", "Cs", "Zl", "Zp"}
        assert kind != "Cf" or letter in JOINERS
        pile = pile + 1 if kind[0] == "M" else 0
        assert pile <= MOST_MARKS
    assert plain(shown) == shown


@given(st.text(st.characters(whitelist_categories=("L", "N", "P", "S")), max_size=200))
def test_honest_text_stays(text: str) -> None:
    """Letters, figures and signs of any script are shown as they are."""
    assert plain(text) == text == typed(text)
    assert is_kept(text)


@given(ANY)
def test_what_was_typed_is_whole(text: str) -> None:
    """Only what cannot be seen is left out: nothing is cut, and it can be kept."""
    said = typed(text)
    assert is_kept(said)
    seen = [c for c in text if unicodedata.category(c) not in {"Cc", "Cf", "Cs", "Zl", "Zp"}]
    assert [c for c in said if c not in JOINERS and c != " "] == [c for c in seen if c != " "]


@pytest.mark.parametrize("text", UNKEPT, ids=ascii)
def test_what_no_database_keeps_is_known(text: str) -> None:
    """NUL, and half of a character."""
    assert not is_kept(text)
    assert is_kept(typed(text))


def test_what_begins_in_the_middle_of_a_line_begins_one() -> None:
    """The first letter alone changes, and only where there is another one."""
    told = {"": "", "no live reading": "No live reading", "5 kΩ": "5 kΩ", "'abc' is": "'abc' is"}
    assert {text: capital(text) for text in told} == told
