"""Decoding a few thousand blocks, each family against a bare splitter over the same bytes."""

from collections.abc import Callable, Iterator

from tests.benchmarks.figure import Figure, side_by_side
from tests.meters.fuzz.target import target, targets, valid_blocks

BLOCKS = 4000
CHUNK = 4096
ROUNDS = 15
FIXED = {"ascii-14": 14, "segment-14": 14, "stx-16": 16}
"""Length of the blocks that are not cut at line ends."""


def figures() -> Iterator[Figure]:
    """Time to decode, to the same pieces cut and counted without being read."""
    for name in targets():
        blocks = valid_blocks(name)
        stream = b"".join(blocks[at % len(blocks)] for at in range(BLOCKS))
        pieces = [stream[at : at + CHUNK] for at in range(0, len(stream), CHUNK)]
        found = side_by_side(decode(name, pieces), split(name, pieces), ROUNDS)
        megabytes = len(stream) / 1e6
        yield Figure(
            name=f"decode {name}",
            ours=megabytes / found.ours,
            baseline=megabytes / found.baseline,
            ratio=found.ratio,
            unit="MB/s",
            note=f"{BLOCKS / found.ours:,.0f} blocks a second; ratio of times, not of speeds",
        )


def decode(name: str, pieces: list[bytes]) -> Callable[[], object]:
    """What a link does with them, without the checks of the fuzzers."""

    def run() -> int:
        feed = target(name).under_fire.feed
        return sum(len(feed(piece, at / 10)) for at, piece in enumerate(pieces))

    return run


def split(name: str, pieces: list[bytes]) -> Callable[[], object]:
    """Cut at line ends, or every so many bytes, keeping what is over for the next piece."""
    length = FIXED.get(name)

    def fixed() -> int:
        count, rest = 0, b""
        assert length is not None
        for piece in pieces:
            data = rest + piece
            whole = len(data) // length * length
            count += len([data[at : at + length] for at in range(0, whole, length)])
            rest = data[whole:]
        return count

    def lines() -> int:
        count, rest = 0, b""
        end = b"\r" if name == "poll-14" else b"\n"
        for piece in pieces:
            *whole, rest = (rest + piece).split(end)
            count += len(whole)
        return count

    return lines if length is None else fixed
