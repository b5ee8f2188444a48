"""Blocks to readings: what every frame family has in common."""

from collections.abc import Callable
from enum import Enum, auto
from typing import Final

from benchassist.core.reading import Reading
from benchassist.meters.framing import Block, Splitter
from benchassist.meters.shown import Display

TWIN_S: Final = 0.100
"""On a family whose blocks come twice, a second one that starts within this is the same display."""


class Unread(Enum):
    """A well-formed block that gives no reading."""

    FUNCTION = auto()
    """The meter stands on a function that this program does not read."""
    ASIDE = auto()
    """A second display, or one without digits; it says nothing against the main one."""


Parse = Callable[[bytes], Display | Unread | None]
"""Reads one block, its ends included; None where it is not one of the family."""


class Decoder:
    """Bytes of one meter to readings of one channel; pure but for what it still has to complete.

    `good_bytes` and `bad_bytes` count what was and was not part of a block of the family, `blocks`
    those blocks. `unread` says that the last block was well-formed and of no function read here.
    """

    def __init__(
        self, splitter: Splitter, parse: Parse, *, channel: str, doubled: bool = False
    ) -> None:
        self.good_bytes = 0
        self.blocks = 0
        self.unread = False
        self._spoiled = 0
        self._splitter = splitter
        self._parse = parse
        self._channel = channel
        self._doubled = doubled
        self._kept: Block | None = None

    @property
    def bad_bytes(self) -> int:
        """Bytes so far that were part of no block of the family."""
        return self._spoiled + self._splitter.spilt

    def feed(self, data: bytes, t_s: float) -> list[Reading]:
        """Readings completed by these bytes, which came at `t_s`; the same however they split."""
        readings: list[Reading] = []
        for block in self._splitter.feed(data, t_s):
            shown = self._parse(block.data)
            if shown is None:
                self._spoiled += len(block.data)
                continue
            self.good_bytes += len(block.data)
            self.blocks += 1
            if shown is not Unread.ASIDE:
                self.unread = shown is Unread.FUNCTION
            if not isinstance(shown, Unread) and not (self._doubled and self._is_twin(block)):
                readings.append(shown.reading(t_s=t_s, channel=self._channel))
        return readings

    def reset(self) -> None:
        """Forget a block begun: no reading is put together across a cut."""
        self._splitter.reset()
        self._kept = None

    def _is_twin(self, block: Block) -> bool:
        """Whether this is the second of two blocks for one display; never two running."""
        kept, self._kept = self._kept, None
        if kept is not None and kept.data == block.data and block.start_s - kept.start_s <= TWIN_S:
            return True
        self._kept = block
        return False
