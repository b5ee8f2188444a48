"""The check character of a tag against the standard's own family of examples."""

import pytest

from benchassist.core.tag import check_character


@pytest.mark.parametrize(
    ("text", "check"),
    [
        # The example of the Global Release Identifier, A1-2425G-ABC1234002-M, whose check is
        # ISO/IEC 7064 MOD 37,36. From memory.
        ("A1-2425G-ABC1234002", "M"),
    ],
)
def test_the_check_character_is_that_of_iso_7064(text: str, check: str) -> None:
    """MOD 37,36 over letters and digits gives the character that the identifier ends in."""
    assert check_character(text) == check


def test_the_hybrid_rule_holds_for_every_tag() -> None:
    """The standard's test: products over all characters with the check come to 1 modulo 36.

    Computed the standard's other way round, from its rule for verifying. From memory.
    """
    signs = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    for number in range(1000):
        tag = f"M{number:03d}"
        product = 36
        for character in tag:
            product = (((product + signs.index(character)) % 36 or 36) * 2) % 37
        assert (product + signs.index(check_character(tag))) % 36 == 1
