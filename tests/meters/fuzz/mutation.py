"""Streams to throw at a decoder: bytes at random, and what a meter sends, damaged."""

import random
from collections.abc import Iterator

CHUNK = 4096


def random_bytes(source: random.Random, total: int) -> Iterator[bytes]:
    """Bytes at random, in pieces of any size."""
    while total > 0:
        piece = source.randbytes(min(total, source.randint(1, 2 * CHUNK)))
        total -= len(piece)
        yield piece


def damaged(source: random.Random, blocks: tuple[bytes, ...], total: int) -> Iterator[bytes]:
    """Valid blocks, every other one with one to three faults, cut without regard to blocks."""
    buffer = bytearray()
    while total > 0:
        while len(buffer) < 2 * CHUNK:
            block = source.choice(blocks)
            buffer += damage(source, block) if source.random() < 0.5 else block
        size = min(total, source.randint(1, 2 * CHUNK))
        piece = bytes(buffer[:size])
        del buffer[:size]
        total -= len(piece)
        yield piece


def damage(source: random.Random, block: bytes) -> bytes:
    """One to three faults in a block."""
    hurt = bytearray(block)
    for _fault in range(source.randint(1, 3)):
        at = source.randrange(len(hurt)) if hurt else 0
        match source.randrange(8):
            case 0 | 1:
                hurt[at : at + 1] = bytes(
                    byte ^ 1 << source.randrange(8) for byte in hurt[at : at + 1]
                )
            case 2:
                del hurt[at : at + 1]
            case 3:
                hurt.insert(at, source.randrange(256))
            case 4:
                hurt[at : at + 1] = source.randbytes(1)
            case 5:
                hurt[at:at] = hurt[at : at + source.randint(1, 4)]
            case 6:
                del hurt[at:]
            case _:
                hurt[at:at] = source.choice((b"\r", b"\n", b"\r\n", b"\x00", b"\xff", b" ", b"L"))
    return bytes(hurt)
