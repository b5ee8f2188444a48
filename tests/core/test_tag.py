from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.tag import check_character, code_of, read_code

SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
TAGS = st.text(SIGNS + "-", min_size=1, max_size=16).filter(lambda t: any(c.isalnum() for c in t))


@given(TAGS)
def test_a_code_is_read_back(tag: str) -> None:
    """Tag and check character fit, whatever the case they are typed in."""
    for typed in (code_of(tag), f"  {code_of(tag).lower()} "):
        code = read_code(typed)
        assert code is not None
        assert (code.tag.upper(), code.fits) == (tag, True)


@given(TAGS, st.data())
def test_one_wrong_character_is_always_caught(tag: str, data: st.DataObject) -> None:
    """Any letter or digit of the tag taken for another."""
    at = data.draw(st.sampled_from([i for i, c in enumerate(tag) if c.isalnum()]))
    other = data.draw(st.sampled_from([c for c in SIGNS if c != tag[at]]))
    wrong = tag[:at] + other + tag[at + 1 :]
    code = read_code(f"{wrong}.{check_character(tag)}")
    assert code is not None
    assert not code.fits


def test_swapped_neighbours_are_nearly_always_caught() -> None:
    """Of all pairs in the middle of a tag, fewer than one in a hundred swaps goes unseen."""
    pairs = [(a, b) for a, b in product(SIGNS, SIGNS) if a != b]
    missed = [
        p for p in pairs if check_character(f"M{p[0]}{p[1]}") == check_character(f"M{p[1]}{p[0]}")
    ]
    assert len(missed) < len(pairs) / 100


@pytest.mark.parametrize(
    "text", ["", "M-014", "M-014.", ".K", "yard washer", "st. 4", "-.K", "M.KK"]
)
def test_words_are_no_codes(text: str) -> None:
    """Without a tag, a dot and one character there is no code to refuse."""
    assert read_code(text) is None


def test_a_letter_the_standard_lacks_counts_too() -> None:
    """Tags in another script have a check character, another for another letter."""
    assert check_character("Ж-1") != check_character("Д-1")
    assert len(check_character("Ж-1")) == 1
