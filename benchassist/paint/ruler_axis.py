"""Where the parts of a ruler lie along its axis, for the full ruler and the mini one alike."""

from dataclasses import dataclass

from PySide6.QtGui import QPainterPath

from benchassist.core.ruler import Ruler, Scale, scale_of
from benchassist.paint.lozenge import Lozenge
from benchassist.paint.stroke import polygon

MINIMUM_HALF_WIDTH = 5.0
ZIGZAG_DEPTH, ZIGZAG_PITCH = 9.0, 7.0


@dataclass(frozen=True, slots=True)
class Block:
    """The band along the axis. A post stands at an end that is a real limit on the scale.

    `low_cut`, `high_cut`: the block runs off the scale there.
    """

    left: float
    right: float
    low_post: bool
    high_post: bool
    low_cut: bool
    high_cut: bool

    @property
    def width(self) -> float:
        """Its length in pixels."""
        return self.right - self.left

    def path(self, top: float, bottom: float, *, depth: float = ZIGZAG_DEPTH) -> QPainterPath:
        """Its outline from `top` to `bottom`, zig-zag where it is cut."""
        left = _end(self.left, top, bottom, depth if self.low_cut else 0.0)
        right = _end(self.right, top, bottom, -depth if self.high_cut else 0.0)
        return polygon([*left, *reversed(right)])


def _end(x: float, top: float, bottom: float, depth: float) -> list[tuple[float, float]]:
    """The points of one end from the top down; `depth` is how far its teeth go in."""
    if not depth:
        return [(x, top), (x, bottom)]
    teeth = max(2, 2 * round((bottom - top) / (2.0 * ZIGZAG_PITCH)))
    pitch = (bottom - top) / teeth
    return [(x + (depth if i % 2 else 0.0), top + i * pitch) for i in range(teeth + 1)]


@dataclass(frozen=True, slots=True)
class Axis:
    """A ruler laid along `width` pixels with the ends of its scale `inset` from both ends."""

    ruler: Ruler
    scale: Scale
    width: float
    inset: float

    @classmethod
    def of(cls, ruler: Ruler, width: float, inset: float) -> "Axis":
        """The axis that shows this ruler."""
        return cls(ruler, scale_of(ruler), width, inset)

    def x(self, value: float) -> float:
        """Where a value lies, in pixels from the left end; outside 0..width beyond the ends."""
        return self.inset + self.scale.place(value) * (self.width - 2.0 * self.inset)

    def shows(self, value: float) -> bool:
        """Whether a value lies on the axis."""
        return 0.0 <= self.x(value) <= self.width

    @property
    def tick(self) -> float | None:
        """Where the reading's tick stands, None without a reading or with it off the scale."""
        value = self.ruler.value
        return None if value is None or not self.shows(value) else self.x(value)

    @property
    def beyond(self) -> int:
        """1 where the reading lies beyond the right end, -1 the left, 0 where it does not."""
        value = self.ruler.value
        if value is None:
            return 1 if self.ruler.overload else 0
        if self.shows(value):
            return 0
        return -1 if self.x(value) < 0.0 else 1

    def lozenge(self, middle: float, half_height: float) -> Lozenge | None:
        """The lozenge about the reading, at least five pixels to each side; None if none shows."""
        value, doubt = self.ruler.value, self.ruler.doubt
        if value is None:
            return None
        half = max(MINIMUM_HALF_WIDTH, self.x(value + doubt) - self.x(value))
        made = Lozenge(
            centre=self.x(value),
            half_width=half,
            middle=middle,
            half_height=half_height,
            left=0.0,
            right=self.width,
        )
        left, right = made.ends
        return made if left < right else None

    @property
    def block(self) -> Block | None:
        """The band, None where there is none or it lies wholly off the scale."""
        low, high = self.ruler.low, self.ruler.high
        if low is None and high is None:
            return None
        if low is None:
            zero = self.ruler.floor_at_zero and self.scale.start <= 0.0
            left = self.x(0.0) if zero else 0.0
            low_post, low_cut = False, not zero
        else:
            left, low_post = max(0.0, self.x(low)), self.x(low) >= 0.0
            low_cut = not low_post
        right = self.width if high is None else min(self.width, self.x(high))
        high_post = high is not None and self.x(high) <= self.width
        if right < 0.0 or left > self.width:
            return None
        return Block(left, right, low_post, high_post, low_cut, not high_post)
