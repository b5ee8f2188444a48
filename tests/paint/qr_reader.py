"""Reads a square code from pixels, knowing nothing of the library that made it.

Written after ISO/IEC 18004: finders, format bits, masks, placement, modes. Versions 1 and 2 are one
block of codewords, which is all that a tag needs; nothing is corrected, a wrong module is an error.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from PySide6.QtGui import QImage

QUIET = 4
_ALPHANUMERIC = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
_MASKS: tuple[Callable[[int, int], bool], ...] = (
    lambda y, x: (y + x) % 2 == 0,
    lambda y, _x: y % 2 == 0,
    lambda _y, x: x % 3 == 0,
    lambda y, x: (y + x) % 3 == 0,
    lambda y, x: (y // 2 + x // 3) % 2 == 0,
    lambda y, x: y * x % 2 + y * x % 3 == 0,
    lambda y, x: (y * x % 2 + y * x % 3) % 2 == 0,
    lambda y, x: ((y + x) % 2 + y * x % 3) % 2 == 0,
)


@dataclass(frozen=True, slots=True)
class Symbol:
    """A code found in an image: its place and the width of a module in pixels, and its modules."""

    left: int
    top: int
    module: float
    modules: tuple[tuple[bool, ...], ...]

    @property
    def side(self) -> float:
        """Pixels across, without the quiet zone."""
        return self.module * len(self.modules)


def dark(image: QImage, x: int, y: int) -> bool:
    """Whether a pixel is nearer to black."""
    return image.pixelColor(x, y).lightness() < 128


def find_symbol(image: QImage) -> Symbol:
    """The code at the very left of an image, from its left finders."""
    columns = range(image.width())
    left = next(x for x in columns if any(dark(image, x, y) for y in range(image.height())))
    inside = left + 1
    rows = [y for y in range(image.height()) if dark(image, inside, y)]
    top, bottom = rows[0], rows[-1] + 1
    edge = top + 1
    right = next(x for x in range(inside, image.width()) if not dark(image, x, edge))
    count = round((bottom - top) / ((right - left) / 7.0))
    module = (bottom - top) / count
    modules = tuple(
        tuple(
            dark(image, int(left + (x + 0.5) * module), int(top + (y + 0.5) * module))
            for x in range(count)
        )
        for y in range(count)
    )
    return Symbol(left, top, module, modules)


def read_modules(modules: tuple[tuple[bool, ...], ...]) -> str:
    """The text that a code of version 1 or 2 holds."""
    count = len(modules)
    if count not in {21, 25}:
        raise ValueError(f"a code of {count} modules is not read here")
    row = modules[8]
    mask = (row[2] << 2 | row[3] << 1 | row[4]) ^ 0b101
    bits = [
        modules[y][x] ^ _MASKS[mask](y, x) for y, x in _path(count) if not _is_function(count, y, x)
    ]
    return _text(bits)


def _path(count: int) -> Iterator[tuple[int, int]]:
    """Pairs of columns from the right, up and down in turn; the timing column is stepped over."""
    upward = True
    for right in range(count - 1, 0, -2):
        pair = right if right > 6 else right - 1
        for step in range(count):
            y = count - 1 - step if upward else step
            yield y, pair
            yield y, pair - 1
        upward = not upward


def _is_function(count: int, y: int, x: int) -> bool:
    """Finders with format bits, timing, and the alignment pattern of version 2."""
    near, far = 9, count - 8
    if (y < near and (x < near or x >= far)) or (y >= far and x < near) or 6 in {y, x}:
        return True
    return count == 25 and 16 <= y <= 20 and 16 <= x <= 20


class _Bits:
    """Numbers from bits, the highest first."""

    def __init__(self, bits: list[bool]) -> None:
        self._bits, self._at = bits, 0

    def take(self, count: int) -> int:
        """The next number of so many bits."""
        here, self._at = self._at, self._at + count
        if self._at > len(self._bits):
            raise ValueError("the code ends too soon")
        return sum(bit << (count - 1 - i) for i, bit in enumerate(self._bits[here : self._at]))

    def digits(self) -> str:
        """A numeric segment."""
        groups = [min(3, left) for left in range(self.take(10), 0, -3)]
        return "".join(f"{self.take(3 * n + 1):0{n}d}" for n in groups)

    def signs(self) -> str:
        """An alphanumeric segment."""
        count = self.take(9)
        pairs = [divmod(self.take(11), 45) for _pair in range(count // 2)]
        text = "".join(_ALPHANUMERIC[high] + _ALPHANUMERIC[low] for high, low in pairs)
        return text + (_ALPHANUMERIC[self.take(6)] if count % 2 else "")

    def octets(self, encoding: str) -> str:
        """A byte segment."""
        return bytes(self.take(8) for _byte in range(self.take(8))).decode(encoding)


def _text(bits: list[bool]) -> str:
    data, text, encoding = _Bits(bits), "", "iso-8859-1"
    while mode := data.take(4):
        match mode:
            case 0b0001:
                text += data.digits()
            case 0b0010:
                text += data.signs()
            case 0b0100:
                text += data.octets(encoding)
            case 0b0111:
                encoding = {3: "iso-8859-1", 26: "utf-8"}[data.take(8)]
            case _:
                raise ValueError(f"mode {mode:04b} is not read here")
    return text
