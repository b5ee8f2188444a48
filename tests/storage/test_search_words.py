"""Words as they are compared: what counts in a text and what does not."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.storage.search_words import (
    LONGEST,
    MOST_WORDS,
    SHORTEST,
    Field,
    ends_of,
    folded,
    phone_words,
    places_of,
    words_of,
)
from tests.storage.case import machine


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Tallow Hill", {"tallow", "hill"}),
        ("C-210", {"c", "210", "c210"}),
        ("O’Brien & Söhne", {"o", "brien", "obrien", "sohne"}),
        ("MÜLLER Straße", {"muller", "strasse"}),
        ("Łódź Ørsted", {"lodz", "orsted"}),
        ("cafe\u0301", {"cafe"}),
        ("½-inch ﬁtting", {"1", "2", "inch", "12inch", "fitting"}),
        ("水泵", {"水泵"}),
        (" -- ?! ", set()),
        ("<b>50%</b>", {"b", "50", "b50b"}),
    ],
)
def test_case_accents_and_marks_do_not_count(text: str, words: set[str]) -> None:
    """What was written with marks in it counts in its parts and as one."""
    assert words_of(text) == words


def test_a_phone_number_is_one_word() -> None:
    """Its tail is an end of it; a name beside it is a word."""
    assert phone_words("+44 (0) 555-0142 Ann") == {"4405550142", "ann"}
    assert phone_words("none") == {"none"}
    assert phone_words("") == set()


def test_places_of_a_machine_are_named_by_their_field() -> None:
    """Its class and its id are no words; a serial number in groups is one word too."""
    known = machine(
        "TH-07", customer="Tallow", phone="0142", unit="Pump", engine="C-2", serial="1 2"
    )
    assert places_of(known) == {
        *((word, Field.TAG) for word in ("th", "07", "th07")),
        *((word, Field.OWNER) for word in ("tallow", "0142", "1", "2", "12")),
        *((word, Field.MACHINE) for word in ("pump", "c", "2", "c2")),
    }


@given(st.text(max_size=60))
def test_a_text_and_its_words_compare_alike(text: str) -> None:
    """Words hold letters and digits alone, folded once for all, and none is too long."""
    for word in words_of(text):
        assert word.isalnum()
        assert 0 < len(word) <= LONGEST
        assert folded(word) == word
    assert words_of(text.swapcase().swapcase()) >= words_of("") == set()


def test_a_text_of_a_megabyte_is_cut() -> None:
    """A hostile name makes few words, and none of a length that an index refuses."""
    assert words_of("x" * 1_000_000) == {"x" * LONGEST}
    assert len(words_of("ab-" * 300_000)) <= MOST_WORDS + 1
    assert len(words_of(" ".join(f"w{i}" for i in range(100_000)))) <= 2 * MOST_WORDS


@given(st.text("abc12", min_size=1, max_size=12))
def test_every_part_of_a_word_begins_one_of_its_ends(word: str) -> None:
    """From the shortest part on; the word itself is one of its ends, however short."""
    ends = ends_of(word)
    assert ends[0] == word
    for start in range(len(word)):
        for end in range(start + SHORTEST, len(word) + 1):
            assert any(tail.startswith(word[start:end]) for tail in ends)
