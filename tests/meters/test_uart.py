"""Wrong rates, bits and parities: no family reads a number from them."""

import pytest

from benchassist.core.reading import Reading
from benchassist.meters.port import LineSetting
from benchassist.meters.roster import family
from tests.meters.fuzz.target import valid_blocks
from tests.meters.sender import SENDERS, display, with_parity
from tests.meters.uart import carried, heard, levels

LINES = (
    *("1200-7N2", "1200-8N1", "2400-7O1", "2400-7E1", "2400-8N1", "4800-8N1"),
    *("9600-8N1", "9600-7O1", "19200-7O1", "19200-8N1", "38400-8N1"),
)
READS_ALIKE = {("7O1", "8N1")}
"""Sent with odd parity, read with eight bits: the nibble families find the parity in bit 7."""


def bytes_of(name: str) -> bytes:
    """A meter of the family for a while."""
    return b"".join(SENDERS[name](display(name, 300 + 37 * n, n % 3)) for n in range(24))


def read(name: str, data: bytes) -> list[Reading]:
    """What its decoder makes of bytes."""
    return family(name).make_decoder("A").feed(data, 0.0)


@pytest.mark.parametrize("name", SENDERS)
def test_the_right_line_reads_everything(name: str) -> None:
    """The simulated line carries every byte of a family's own setting."""
    line = family(name).line
    data = b"".join(valid_blocks(name)[:20]) if "nibble" not in name else bytes_of(name)
    assert carried(data, line, line) == data
    assert len(read(name, carried(bytes_of(name), line, line))) == 24


@pytest.mark.parametrize("received", LINES)
@pytest.mark.parametrize("name", SENDERS)
def test_a_wrong_line_reads_nothing(name: str, received: str) -> None:
    """Another rate, other bits or another parity: not one number."""
    sent = family(name).line
    if sent == received:
        return
    found = read(name, carried(bytes_of(name), sent, received))
    same_rate = sent.split("-")[0] == received.split("-", maxsplit=1)[0]
    if same_rate and (sent[-3:], received[-3:]) in READS_ALIKE:
        assert len(found) == 24
    else:
        assert found == []


@pytest.mark.parametrize("name", ["nibble-11", "nibble-14"])
def test_eight_bits_read_the_parity_along(name: str) -> None:
    """What an adapter without parity hands on is what the decoders check and mask."""
    sent = family(name).line
    eight = sent.split("-")[0] + "-8N1"
    assert carried(bytes_of(name), sent, eight) == with_parity(bytes_of(name))


@pytest.mark.parametrize("name", ["nibble-11", "nibble-14"])
def test_a_flipped_bit_on_a_line_with_parity_reads_as_zero(name: str) -> None:
    """Any one data or parity bit of a frame: the byte reads as 0x00, and the frame is none."""
    line = LineSetting.read(family(name).line)
    frame = SENDERS[name](display(name, 1234, 1))
    whole = levels(frame, line)
    first = whole.index(0)
    for at in range(first, first + len(frame) * 10):
        if (at - first) % 10 in {0, 9}:  # start and stop are no data
            continue
        hurt = [*whole[:at], 1 - whole[at], *whole[at + 1 :]]
        data = heard(hurt, line.baud, line)
        assert data.count(0) == 1
        assert read(name, data) == []


@pytest.mark.parametrize("name", SENDERS)
def test_a_stop_bit_that_fails_never_makes_a_number(name: str) -> None:
    """A framing fault puts the receiver out of step: the frame is lost or what was sent."""
    line = LineSetting.read(family(name).line)
    frame = SENDERS[name](display(name, 1234, 1))
    sent = {r.value for r in read(name, frame)}
    whole = levels(frame, line)
    width = 1 + line.bits + (line.parity != "N") + round(line.stop)
    first = whole.index(0)
    for number in range(1, len(frame) + 1):
        at = first + number * width - round(line.stop)
        hurt = [*whole[:at], 0, *whole[at + 1 :]]
        found = {r.value for r in read(name, heard(hurt, line.baud, line))}
        assert found <= sent
