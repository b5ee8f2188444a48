"""What is fuzzed: every decoder and the reading of SCPI answers, with what must always hold."""

from dataclasses import dataclass, field
from decimal import Decimal
from itertools import pairwise
from math import isfinite

from benchassist.core.reading import Reading
from benchassist.meters import scpi
from benchassist.meters.decoder import Decoder
from benchassist.meters.framing import BUFFER, LineSplitter, WindowSplitter
from benchassist.meters.roster import FAMILIES, family
from tests.meters.sample import SAMPLES
from tests.meters.sender import SENDERS, display, with_parity

SCPI_ANSWERS = (
    *(b"+3.86000000E+03\n", b"-1.234e-3\r\n", b"100\n", b"101.234e-3 V DC\n", b"9.9E37\n"),
    *(b"+9.91000000E+37\n", b"OVLOAD\n", b"NAN\n", b"GENERIC,DMM,1,1\n", b'+0,"No error"\n'),
    *(b'-113,"Undefined header"\n', b'"RES +1.0E+4,+3.0E-3"\n', b"#247-4.98,3.0\n", b'"VOLT:AC"\n'),
)
SETTINGS = (
    scpi.Set(),
    scpi.Set(function=scpi.BY_HEADER["RES"], full_scale=Decimal("1E4"), resolution=Decimal("3E-3")),
)


class BrokenError(AssertionError):
    """Something that must always hold does not."""


class ScpiReader:
    """Answers cut into lines and read in every way that a session reads them."""

    def __init__(self) -> None:
        self._splitter = LineSplitter(b"\r\n")

    def feed(self, data: bytes, t_s: float) -> list[Reading]:
        """Readings that a session would make of these lines if each answered READ?."""
        found = []
        for block in self._splitter.feed(data, t_s):
            text = block.data.translate(None, b"\x00\xff").decode("latin-1").strip()
            scpi.identity(text)
            scpi.error(text)
            scpi.is_no_number(text)
            said = scpi.configuration(text)
            shown = [scpi.shown(text, setting) for setting in (*SETTINGS, said)]
            found += [s.reading(t_s=t_s, channel="A") for s in shown[:1] if s is not None]
        return found


@dataclass(slots=True)
class Target:
    """One decoder under fire; counts what it was fed and what it accepted."""

    name: str
    under_fire: Decoder | ScpiReader
    fed: int = 0
    accepted: int = 0
    overloads: int = 0
    largest_hold: int = 0
    t_s: float = field(default=0.0)

    def feed(self, data: bytes, *, after_s: float = 0.05) -> list[Reading]:
        """Feed bytes and check every reading. Raises BrokenError."""
        self.t_s += after_s
        found = self.under_fire.feed(data, self.t_s)
        self.fed += len(data)
        self.accepted += len(found)
        for reading in found:
            self.overloads += reading.overload
            check(reading)
        splitter = self.under_fire._splitter
        assert isinstance(splitter, LineSplitter | WindowSplitter)
        self.largest_hold = max(self.largest_hold, len(splitter._begun))
        if self.largest_hold > BUFFER:
            raise BrokenError(f"{self.name} holds {self.largest_hold} bytes")
        return found


def targets() -> tuple[str, ...]:
    """The names of all there is to fuzz."""
    return tuple(known.name for known in FAMILIES)


def target(name: str) -> Target:
    """A new one of that name."""
    return Target(name, ScpiReader() if name == "scpi" else family(name).make_decoder("A"))


def valid_blocks(name: str) -> tuple[bytes, ...]:
    """Blocks that the family's meters send."""
    if name == "scpi":
        return SCPI_ANSWERS
    made = [SENDERS[name](display(name, counts, counts)) for counts in range(7, 3900, 211)]
    blocks = [*(sample.block for sample in SAMPLES[name]), *made]
    if name.startswith("nibble"):
        blocks += [with_parity(block) for block in blocks[:9]]
    return tuple(blocks)


def check(reading: Reading) -> None:
    """Hold a reading to what is true of every one. Raises BrokenError."""
    numbers = (reading.value, reading.resolution, reading.full_scale)
    if any(number is not None and not isfinite(number) for number in numbers):
        raise BrokenError(f"not finite: {reading}")
    if reading.overload is not (reading.value is None):
        raise BrokenError(f"overload or value, never both: {reading}")
    if any(size is not None and size <= 0.0 for size in numbers[1:]):
        raise BrokenError(f"a count or range of nothing: {reading}")
    if reading.value is not None and abs(reading.value) >= 9e37:
        raise BrokenError(f"over range as a number: {reading}")
    if not -12 <= reading.exponent <= 9:
        raise BrokenError(f"no prefix: {reading}")


def check_split(name: str, data: bytes, cuts: list[int]) -> None:
    """Raise BrokenError unless these bytes read alike in one piece and cut at these places."""
    whole, cut = target(name), target(name)
    in_one = whole.feed(data, after_s=0.0)
    edges = sorted({0, len(data), *(at % (len(data) + 1) for at in cuts)})
    in_pieces = [r for a, b in pairwise(edges) for r in cut.feed(data[a:b], after_s=0.0)]
    if in_one != in_pieces:
        raise BrokenError(f"{name} reads {data!r} otherwise when cut at {edges}")
