"""A frame family: how its line is set, how its bytes are cut and read, and who speaks first."""

from collections.abc import Callable
from dataclasses import dataclass

from benchassist.core.link import ProtocolInfo
from benchassist.meters.decoder import Decoder, Parse
from benchassist.meters.framing import Splitter


@dataclass(frozen=True, slots=True, kw_only=True)
class Poll:
    """A meter that sends only when asked: what to ask, how often at most, how long to wait."""

    ask: bytes
    every_s: float = 1.0
    patience_s: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """A frame family. `line` is its default line as '2400-7O1'.

    `dtr` and `rts` are set before the port opens: many leads draw their power from them.
    `make_splitter` and `parse` are None for a meter that is spoken to in SCPI.
    """

    name: str
    line: str
    make_splitter: Callable[[], Splitter] | None = None
    parse: Parse | None = None
    doubled: bool = False
    poll: Poll | None = None
    dtr: bool = True
    rts: bool = False
    settle_s: float = 0.2

    @property
    def info(self) -> ProtocolInfo:
        """What a list of families says of it."""
        return ProtocolInfo(name=self.name, line=self.line, doubled=self.doubled)

    def make_decoder(self, channel: str) -> Decoder:
        """A new decoder for a channel. Raises ValueError for a family that answers questions."""
        if self.make_splitter is None or self.parse is None:
            raise ValueError(f"{self.name} answers questions and sends no frames")
        return Decoder(self.make_splitter(), self.parse, channel=channel, doubled=self.doubled)
