"""Frames of the simulated meters: written apart from the decoders, read back by them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Mode, Reading
from benchassist.meters.roster import family
from benchassist.practice.frame import FRAMES
from benchassist.practice.meter import RANGES, Face, MeterSpan

FACES = [
    (protocol, quantity, spanned)
    for protocol in FRAMES
    for quantity, ranges in RANGES[protocol].items()
    for spanned in ranges
]


def read_back(protocol: str, face: Face) -> Reading:
    """What the family's decoder makes of a face that is sent."""
    parse = family(protocol).parse
    assert parse is not None
    shown = parse(FRAMES[protocol](face))
    assert shown is not None
    return shown.reading(t_s=0.0, channel="A")


def test_a_frame_is_the_one_of_the_tables() -> None:
    """3.860 kohm as the nibble-14 table has it, worked out by hand."""
    spanned = RANGES["nibble-14"][Quantity.RESISTANCE][2]
    auto = frozenset({Flag.AUTO})
    face = Face(quantity=Quantity.RESISTANCE, spanned=spanned, counts=3860, flags=auto)
    assert FRAMES["nibble-14"](face).hex(" ") == "32 30 33 38 36 30 33 30 30 30 32 30 0d 0a"


@pytest.mark.parametrize(
    ("counts", "full_scale", "text"),
    [
        (11, 200.0, "OHM 1.1 Ohm"),
        (386, 20e3, "OHM 3.86 kOhm"),
        (1138, 2e6, "OHM 1.138 MOhm"),
        (1138, 200e3, "OHM 113.8 kOhm"),
    ],
)
def test_a_line_is_printed_as_a_display_shows_it(counts: int, full_scale: float, text: str) -> None:
    """Decimals by the range, prefix by the range."""
    ranges = RANGES["text-line"][Quantity.RESISTANCE]
    spanned = next(s for s in ranges if s.full_scale == pytest.approx(full_scale))
    face = Face(quantity=Quantity.RESISTANCE, spanned=spanned, counts=counts)
    assert FRAMES["text-line"](face) == text.encode() + b"\r\n"


@pytest.mark.parametrize(("protocol", "quantity", "spanned"), FACES)
@given(
    share=st.floats(min_value=0.0, max_value=1.0),
    over=st.booleans(),
    flags=st.frozensets(st.sampled_from(Flag)),
)
def test_the_decoder_reads_what_was_shown(
    protocol: str,
    quantity: Quantity,
    spanned: MeterSpan,
    *,
    share: float,
    over: bool,
    flags: frozenset[Flag],
) -> None:
    """Value, count, overload and flags of every range of every meter."""
    counts = round(share * spanned.full_scale / spanned.count)
    face = Face(quantity=quantity, spanned=spanned, counts=counts, over=over, flags=flags)
    shown = read_back(protocol, face)
    assert (shown.quantity, shown.overload) == (quantity, over)
    assert shown.flags - {Flag.AUTO} == flags - {Flag.AUTO}
    if not over:
        assert shown.value == pytest.approx(face.value)
        assert shown.resolution == pytest.approx(spanned.count)


@pytest.mark.parametrize("protocol", FRAMES)
@pytest.mark.parametrize("mode", [Mode.DIODE, Mode.CONTINUITY])
def test_diode_and_continuity_can_be_shown(protocol: str, mode: Mode) -> None:
    """So that their refusal can be practised."""
    spanned = RANGES[protocol][Quantity.RESISTANCE][0]
    face = Face(quantity=Quantity.RESISTANCE, spanned=spanned, counts=612, mode=mode)
    assert read_back(protocol, face).mode is mode
