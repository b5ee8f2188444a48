import os
from pathlib import Path

import pytest

from benchassist.core.file_name import LONGEST_NAME, MOST_NAMED, file_part, is_named
from tests.hostile import HOSTILE


@pytest.mark.parametrize(
    ("path", "may_be"),
    [
        ("visits.json", True),
        ("a" * LONGEST_NAME, True),
        ("a" * (LONGEST_NAME + 1), False),
        ("µ" * 128, False),
        ("/a" * 2100, False),
        ("vis\x00its.json", False),
        ("\ud83d.json", False),
        (os.fsdecode(b"\xff.json"), True),
    ],
    ids=["plain", "longest", "too long", "too many bytes", "too deep", "NUL", "half", "no text"],
)
def test_a_path_that_no_file_can_have_is_known(path: str, may_be: bool) -> None:
    """Before anybody looks for it: of others the system says that there is none."""
    assert is_named(path) is may_be
    with pytest.raises((OSError, ValueError)) as refused:
        Path(path).stat()
    assert (refused.type is FileNotFoundError) is may_be


def test_a_part_of_a_name_is_letters_and_not_many() -> None:
    """Whatever a tag says, it leads to no other folder."""
    assert file_part("../A 7") == "___A_7"
    assert len(file_part("x" * 10_000)) == MOST_NAMED


@pytest.mark.parametrize("name", HOSTILE)
def test_a_part_of_a_name_leads_nowhere(name: str, tmp_path: Path) -> None:
    """Whatever the text, it is one name beside others, and a file can have it."""
    made = tmp_path / f"slip-{file_part(HOSTILE[name])}.pdf"
    assert made.parent == tmp_path
    assert made.resolve() == made
    assert is_named(str(made))
    made.write_bytes(b"")
