"""Tapes: what a meter sent, piece by piece, and what is to be read from it.

A tape is named after its family. Lines: seconds, bytes in hex, then values in base units or OL.
"""

import re
from pathlib import Path

import pytest

from benchassist.meters.roster import family

TAPES = sorted((Path(__file__).parents[1] / "tapes").glob("*.tape"))
PIECE = re.compile(r"(\d+\.\d+)  ((?:[0-9A-F]{2} ?)+)(?:\s\s+(\S.*))?")


def test_there_are_tapes() -> None:
    """The folder is found."""
    assert TAPES


@pytest.mark.parametrize("path", TAPES, ids=lambda path: path.stem)
def test_a_tape_is_read_as_it_says(path: Path) -> None:
    """Every piece gives the values written beside it and no others."""
    decoder = family(path.stem).make_decoder("A")
    lines = [line for line in path.read_text("ascii").splitlines() if not line.startswith("#")]
    for line in lines:
        piece = PIECE.fullmatch(line)
        assert piece, f"not a line of a tape: {line!r}"
        found = decoder.feed(bytes.fromhex(piece[2]), float(piece[1]))
        shown = ["OL" if r.value is None else f"{r.value:g}" for r in found]
        assert shown == (piece[3] or "").split(), line
