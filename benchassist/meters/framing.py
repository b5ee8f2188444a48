"""A stream of bytes cut into blocks, however the bytes were split on their way.

Every splitter holds at most `BUFFER` bytes and drops a block that was begun and not finished
within twice the usual pause between blocks.
"""

import re
from collections import deque
from collections.abc import Callable
from math import inf
from typing import Final, NamedTuple, Protocol

BUFFER: Final = 4096
LEAST_PATIENCE_S: Final = 0.5
FIRST_PATIENCE_S: Final = 2.0
"""Before a pause between blocks was measured."""


class Block(NamedTuple):
    """Raw bytes between two ends, and when the first of them came."""

    data: bytes
    start_s: float


class Splitter(Protocol):
    """Cuts bytes into blocks. `spilt` counts bytes thrown away because they fitted no block."""

    spilt: int

    def feed(self, data: bytes, t_s: float) -> list[Block]:
        """Blocks completed by these bytes, which came at `t_s`."""
        ...

    def reset(self) -> None:
        """Forget a block begun."""
        ...


class Patience:
    """How long a block may stay unfinished: twice the usual pause, learned from the last few.

    `byte_s` is when the last byte came, `end_s` when the last block ended.
    """

    def __init__(self) -> None:
        self.byte_s = inf
        self.end_s: float | None = None
        self.limit_s = FIRST_PATIENCE_S
        self._pauses: deque[float] = deque(maxlen=8)

    def began(self, t_s: float) -> None:
        """A block begins; the pause before it is one more to learn from."""
        if self.end_s is not None:
            self._pauses.append(t_s - self.end_s)
            # The longest: blocks that come twice have a short pause and a long one in turn.
            self.limit_s = max(2.0 * max(self._pauses), LEAST_PATIENCE_S)

    def ran_out(self, t_s: float) -> bool:
        """Whether the byte that comes now is too late for a block begun."""
        late = t_s - self.byte_s > self.limit_s
        self.byte_s = t_s
        return late


class LineSplitter:
    """Blocks that end with one of a few bytes, which stays on the block.

    `mask` is laid over a byte before it is compared with the ends, for lines whose parity arrives
    in bit 7. A block longer than `longest` is thrown away up to its end; an end alone is no block.
    `opening` is for blocks that could be the tail of a longer one: where the end before it was not
    seen, a block that does not match it is thrown away.
    """

    def __init__(
        self,
        ends: bytes,
        *,
        longest: int = 256,
        mask: int = 0xFF,
        opening: re.Pattern[bytes] | None = None,
    ) -> None:
        self.spilt = 0
        self._opening = opening
        self._saw_end = False
        ending = bytes(b for b in range(256) if b & mask in ends)
        self._find_end = re.compile(b"[" + re.escape(ending) + b"]").search
        self._longest = min(longest, BUFFER)
        self._patience = Patience()
        self._begun = bytearray()
        self._start_s = 0.0
        self._too_long = False

    def feed(self, data: bytes, t_s: float) -> list[Block]:
        """Blocks completed by these bytes, which came at `t_s`."""
        blocks: list[Block] = []
        if not data:
            return blocks
        if self._patience.ran_out(t_s):
            self.spilt += len(self._begun)
            self.reset()
        done = 0
        while end := self._find_end(data, done):
            self._add(data[done : end.end()], t_s)
            done = end.end()
            block = bytes(self._begun)
            self._begun.clear()
            if len(block) > 1:
                if self._saw_end or self._opening is None or self._opening.match(block):
                    blocks.append(Block(block, self._start_s))
                else:
                    self.spilt += len(block)
            self._too_long, self._saw_end = False, True
            self._patience.end_s = t_s
        if done < len(data):
            self._add(data[done:], t_s)
        return blocks

    def reset(self) -> None:
        """Forget a block begun."""
        self._begun.clear()
        self._too_long = self._saw_end = False

    def _add(self, piece: bytes, t_s: float) -> None:
        if not self._begun and not self._too_long:
            self._start_s = t_s
            self._patience.began(t_s)
        self._begun += piece
        self._too_long = self._too_long or len(self._begun) > self._longest
        if self._too_long:
            self.spilt += len(self._begun)
            self._begun.clear()


class WindowSplitter:
    """Blocks of a fixed length without an end of their own: a window slides until it fits.

    `fits` says whether exactly that many bytes are a block.
    """

    def __init__(self, length: int, fits: Callable[[bytes], bool]) -> None:
        self.spilt = 0
        self._length = length
        self._fits = fits
        self._patience = Patience()
        self._begun = bytearray()
        self._starts: deque[float] = deque()

    def feed(self, data: bytes, t_s: float) -> list[Block]:
        """Blocks completed by these bytes, which came at `t_s`."""
        blocks: list[Block] = []
        if not data:
            return blocks
        if self._patience.ran_out(t_s):
            self.spilt += len(self._begun)
            self.reset()
        for byte in data:
            if not self._begun:
                self._patience.began(t_s)
            self._begun.append(byte)
            self._starts.append(t_s)
            if len(self._begun) < self._length:
                continue
            window = bytes(self._begun)
            if self._fits(window):
                blocks.append(Block(window, self._starts[0]))
                self._patience.end_s = t_s
                self.reset()
            else:
                del self._begun[0]
                self._starts.popleft()
                self.spilt += 1
        return blocks

    def reset(self) -> None:
        """Forget a block begun."""
        self._begun.clear()
        self._starts.clear()
