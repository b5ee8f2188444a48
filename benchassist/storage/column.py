"""A column of numbers as few bytes, exact to the last bit.

Whole numbers are kept as their differences from a common step, the low bytes of all of them first,
then the next bytes, deflated: what does not change costs nothing, what is noise costs its noise.
Numbers as meters give them are whole counts of a power of ten and are kept as such; any others by
the bits of the float.
"""

import struct
import zlib
from typing import Final

import numpy as np
from numpy.typing import NDArray

Whole = NDArray[np.int64]
Real = NDArray[np.float64]

HEAD: Final = struct.Struct("<qqB")
"""First number, step, bytes a difference (0: every difference is the step)."""

SIZE: Final = struct.Struct("<I")
"""Before each plane of bytes: how many follow; as many as there are differences: not deflated."""

WORTH: Final = 0.7
"""A plane is deflated where that makes it smaller than so much of itself: noise reads at once."""

WIDTHS: Final = (1, 2, 4, 8)
MIDDLE: Final = 128
"""Added to a difference, so that small ones of either sign have all their upper bytes zero."""

LEVEL: Final = 6

POWERS: Final = range(-9, 16)
"""Decimal places that a count is looked for in; negative ones stand before the point."""

BITS: Final = 127
"""In place of decimal places: these are the bits of floats."""

EXACT: Final = 2.0**53
GLANCE: Final = 64


def pack_whole(numbers: Whole) -> bytes:
    """Return whole numbers as bytes."""
    if not len(numbers):
        return b""
    with np.errstate(over="ignore"):
        steps = np.diff(numbers)
        step = np.partition(steps, len(steps) // 2)[len(steps) // 2] if len(steps) else np.int64(0)
        steps -= step
        width = _width(steps)
        head = HEAD.pack(int(numbers[0]), int(step), width)
        if not width:
            return head
        steps += MIDDLE
    planes = steps.astype(f"<u{width}").view(np.uint8).reshape(-1, width).T
    return head + b"".join(map(_pack_plane, planes))


def unpack_whole(data: bytes | memoryview, count: int) -> Whole:
    """Return the whole numbers `pack_whole` made bytes of. Raises ValueError where it did not."""
    if not count:
        return np.empty(0, np.int64)
    numbers = np.empty(count, np.int64)
    try:
        numbers[0], step, width = HEAD.unpack_from(data)
        planes = _unpack_planes(data, width, count - 1)
    except (struct.error, zlib.error) as error:
        raise ValueError(str(error)) from None
    if not width:
        return numbers[0] + step * np.arange(count) if step else np.full(count, numbers[0])
    unsigned = np.dtype(f"<u{width}")
    steps = planes[0] if width == 1 else np.stack(planes, axis=1).view(unsigned).ravel()
    steps = (steps - unsigned.type(MIDDLE)).view(f"<i{width}")
    np.add(steps, np.int64(step), out=numbers[1:], dtype=np.int64)
    np.cumsum(numbers, out=numbers)
    return numbers


def pack_real(numbers: Real) -> bytes:
    """Return numbers as bytes."""
    power = _decimal_places(numbers)
    if power is None:
        return struct.pack("b", BITS) + pack_whole(numbers.view(np.int64))
    return struct.pack("b", power) + pack_whole(_counts(numbers, power).astype(np.int64))


def unpack_real(data: bytes | memoryview, count: int) -> Real:
    """Return the numbers `pack_real` made bytes of. Raises ValueError where it did not."""
    try:
        (power,) = struct.unpack_from("b", data)
    except struct.error as error:
        raise ValueError(str(error)) from None
    counts = unpack_whole(data[1:], count)
    return counts.view(np.float64) if power == BITS else _numbers(counts.astype(float), power)


def _pack_plane(plane: NDArray[np.uint8]) -> bytes:
    raw = plane.tobytes()
    deflated = zlib.compress(raw, LEVEL)
    kept = deflated if len(deflated) < WORTH * len(raw) else raw
    return SIZE.pack(len(kept)) + kept


def _unpack_planes(data: bytes | memoryview, width: int, count: int) -> list[NDArray[np.uint8]]:
    planes, at = [], HEAD.size
    for _plane in range(width):
        (size,) = SIZE.unpack_from(data, at)
        kept = data[at + SIZE.size : at + SIZE.size + size]
        # No more than is asked for, whatever it says: a few bytes can be a gigabyte of zeros.
        raw = kept if size == count else zlib.decompressobj().decompress(kept, count + 1)
        if len(raw) != count:
            raise ValueError("a column of another length")
        planes.append(np.frombuffer(raw, np.uint8, count))
        at += SIZE.size + size
    return planes


def _width(steps: Whole) -> int:
    """The fewest bytes that hold every difference."""
    if not steps.any():
        return 0
    low, high = int(steps.min()), int(steps.max())
    return next(w for w in WIDTHS if -(1 << 8 * w - 1) <= low and high < 1 << 8 * w - 1)


def _decimal_places(numbers: Real) -> int | None:
    """The fewest decimal places in which every number is whole counts, exactly; None for none."""
    if not np.isfinite(numbers).all() or (np.signbit(numbers) & (numbers == 0.0)).any():
        return None
    glance = numbers[:: max(1, len(numbers) // GLANCE)]
    return next(
        (p for p in POWERS if _is_counts(glance, p) and _is_counts(numbers, p)),
        None,
    )


def _is_counts(numbers: Real, power: int) -> bool:
    with np.errstate(over="ignore"):
        counts = _counts(numbers, power)
        whole = np.abs(counts) < EXACT
        return bool(whole.all() and (_numbers(counts, power) == numbers).all())


def _counts(numbers: Real, power: int) -> Real:
    # 10**22 is the highest power of ten that a float holds exactly.
    return np.rint(numbers * 10.0**power if power >= 0 else numbers / 10.0**-power)


def _numbers(counts: Real, power: int) -> Real:
    """Rounded once, as a decoder rounds: 386 counts of 0.001 are 0.386, not 386 times 0.001."""
    return counts / 10.0**power if power >= 0 else counts * 10.0**-power
