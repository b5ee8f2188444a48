"""The contract of every decoder, run over all frame families."""

import random
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.reading import Reading
from benchassist.meters.decoder import Decoder, Unread
from benchassist.meters.family import Family
from benchassist.meters.framing import BUFFER, Block
from benchassist.meters.roster import FAMILIES, family
from tests.meters.sample import SAMPLES, Sample

FRAMED = [known for known in FAMILIES if known.parse is not None]
EACH_FAMILY = pytest.mark.parametrize("known", FRAMED, ids=lambda known: known.name)
EACH_SAMPLE = pytest.mark.parametrize(
    ("name", "sample"),
    [(name, sample) for name, samples in SAMPLES.items() for sample in samples],
    ids=lambda value: value if isinstance(value, str) else value.block.hex(),
)


def decoded(known: Family, *pieces: bytes) -> list[Reading]:
    """Readings of pieces that came a tenth of a second apart."""
    decoder = known.make_decoder("A")
    return [r for i, piece in enumerate(pieces) for r in decoder.feed(piece, i / 10)]


def expected(samples: tuple[Sample, ...]) -> list[Reading]:
    """What a family's samples show, all at time zero."""
    return [sample.shown.reading(t_s=0.0, channel="A") for sample in samples]


def stream(known: Family) -> bytes:
    """All samples of a family in a row."""
    return b"".join(sample.block for sample in SAMPLES[known.name])


def test_every_frame_family_has_samples() -> None:
    """A family without samples would pass the contract unseen."""
    assert {known.name for known in FRAMED} == set(SAMPLES)


@EACH_SAMPLE
def test_a_block_shows_what_the_display_showed(name: str, sample: Sample) -> None:
    """Value and count are exact to the digit; range, mode, flags and prefix travel with them."""
    (reading,) = decoded(family(name), sample.block)
    assert reading == sample.shown.reading(t_s=0.0, channel="A")


@EACH_FAMILY
def test_blocks_in_one_piece_all_come_out(known: Family) -> None:
    """Many blocks in one read give all their readings, in order."""
    assert decoded(known, stream(known)) == expected(SAMPLES[known.name])


@EACH_FAMILY
@given(cuts=st.lists(st.integers(min_value=0, max_value=400), max_size=40))
def test_the_split_of_bytes_does_not_matter(known: Family, cuts: list[int]) -> None:
    """The same bytes in any pieces give the same readings."""
    data = stream(known)
    edges = sorted({0, len(data), *(cut % len(data) for cut in cuts)})
    decoder = known.make_decoder("A")
    found = [
        reading for start, end in pairwise(edges) for reading in decoder.feed(data[start:end], 0.0)
    ]
    assert found == expected(SAMPLES[known.name])
    assert decoder.bad_bytes == 0


@EACH_FAMILY
def test_byte_by_byte(known: Family) -> None:
    """One byte at a time gives the same readings."""
    decoder = known.make_decoder("A")
    found = [r for byte in stream(known) for r in decoder.feed(bytes([byte]), 0.0)]
    assert found == expected(SAMPLES[known.name])


@EACH_FAMILY
@given(start=st.integers(min_value=1, max_value=60))
def test_a_start_in_the_middle_of_a_block_loses_that_block_only(known: Family, start: int) -> None:
    """Cut into a stream, every whole block that follows is read and nothing else."""
    data = stream(known)
    ends = [0]
    for sample in SAMPLES[known.name]:
        ends.append(ends[-1] + len(sample.block))
    first_whole = next(i for i, end in enumerate(ends) if end >= start)
    found = decoded(known, data[start:])
    # A text line without the counter it may begin with is still the whole display.
    whole = expected(SAMPLES[known.name])
    assert found in (whole[first_whole:], whole[first_whole - 1 :])


@EACH_FAMILY
@given(junk=st.binary(max_size=600))
def test_junk_is_counted_and_never_raises(known: Family, junk: bytes) -> None:
    """Any bytes at all are blocks, counted as bad, or still waited for."""
    decoder = known.make_decoder("A")
    decoder.feed(junk, 0.0)
    assert decoder.good_bytes + decoder.bad_bytes <= len(junk)
    assert len(junk) - decoder.good_bytes - decoder.bad_bytes <= BUFFER


@EACH_FAMILY
def test_a_block_without_end_is_bounded(known: Family) -> None:
    """A megabyte without an end is thrown away as it comes, and the next block is read."""
    decoder = known.make_decoder("A")
    for _piece in range(256):
        decoder.feed(b"7" * 4096, 0.0)
    assert decoder.bad_bytes > 1_000_000
    first = SAMPLES[known.name][0]
    assert decoder.feed(b"\r\n" + first.block, 0.0) == expected((first,))


@EACH_FAMILY
def test_a_block_begun_is_dropped_when_the_rest_stays_away(known: Family) -> None:
    """Half a block, a long silence, then the other half is no reading."""
    first = SAMPLES[known.name][1].block
    decoder = known.make_decoder("A")
    decoder.feed(first[:5], 0.0)
    assert decoder.feed(first[5:], 60.0) == []
    assert decoder.feed(SAMPLES[known.name][0].block, 60.5) != []


@EACH_FAMILY
def test_nothing_is_put_together_across_a_reset(known: Family) -> None:
    """After a reconnect the first half of a block is forgotten."""
    block = SAMPLES[known.name][1].block
    decoder = known.make_decoder("A")
    decoder.feed(block[:5], 0.0)
    decoder.reset()
    assert decoder.feed(block[5:], 0.1) == []


@EACH_FAMILY
def test_random_bytes_are_hardly_ever_a_reading(known: Family) -> None:
    """Two million random bytes, fixed seed: what is accepted by chance is counted and rare."""
    source = random.Random(14)
    decoder = known.make_decoder("A")
    accepted = sum(len(decoder.feed(source.randbytes(4096), 0.0)) for _piece in range(500))
    assert accepted <= 2


class EachByte:
    """A splitter whose blocks are single bytes."""

    def __init__(self) -> None:
        self.spilt = 0

    def feed(self, data: bytes, t_s: float) -> list[Block]:
        """Every byte a block."""
        return [Block(bytes([byte]), t_s) for byte in data]

    def reset(self) -> None:
        """Nothing begun."""


def twins(*arrivals: tuple[bytes, float]) -> list[float]:
    """Times of the readings kept on a family whose blocks come twice."""
    shown = SAMPLES["nibble-14"][0].shown
    decoder = Decoder(EachByte(), lambda _block: shown, channel="A", doubled=True)
    return [r.t_s for data, t_s in arrivals for r in decoder.feed(data, t_s)]


def test_the_second_of_two_blocks_is_dropped() -> None:
    """An identical block that starts within 100 ms of a kept one is the same display."""
    assert twins((b"a", 0.0), (b"a", 0.05), (b"a", 0.4), (b"a", 0.45)) == [0.0, 0.4]


def test_never_two_running_are_dropped() -> None:
    """Of three identical blocks in a row the third is a display of its own."""
    assert twins((b"aaa", 0.0), (b"a", 0.05)) == [0.0, 0.0]


def test_a_late_or_different_block_is_kept() -> None:
    """Equal displays more than 100 ms apart and different ones at once are all kept."""
    assert twins((b"a", 0.0), (b"a", 0.11), (b"b", 0.12)) == [0.0, 0.11, 0.12]


def test_a_family_that_sends_once_keeps_equal_blocks() -> None:
    """Without doubling nothing is dropped."""
    block = SAMPLES["nibble-14"][0].block
    assert len(decoded(family("nibble-14"), block * 5)) == 5


def test_an_unread_function_is_no_junk_and_no_reading() -> None:
    """A well-formed block of a function that is not read counts as good and says so."""
    decoder = Decoder(EachByte(), lambda _block: Unread.FUNCTION, channel="A")
    assert decoder.feed(b"xyz", 0.0) == []
    assert (decoder.blocks, decoder.good_bytes, decoder.bad_bytes) == (3, 3, 0)
    assert decoder.unread


def test_a_meter_that_is_asked_has_no_frames() -> None:
    """A decoder of scpi cannot be made."""
    with pytest.raises(ValueError, match="scpi"):
        family("scpi").make_decoder("A")
