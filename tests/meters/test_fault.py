"""What single faults do to a reading, and to what is taken. The figures: `bench_bit_errors`."""

import random

import pytest

from tests.meters.fault import (
    FAULTS,
    WITH_PARITY,
    Share,
    blocks,
    drops,
    flips,
    inserts,
    share,
    variants,
)
from tests.meters.taking import Cable, takings

EACH = pytest.mark.parametrize("variant", variants())
FIXED_LENGTH = [name for name in variants() if name != "text-line"]


def test_the_faults_are_all_there() -> None:
    """Each bit once, each byte once, each value in each gap."""
    block = b"AB"
    assert len(set(flips(block))) == 16
    assert list(drops(block)) == [b"B", b"A"]
    assert len(list(inserts(block))) == 3 * 256
    assert all(len(set(map(len, blocks(name)))) == 1 for name in FIXED_LENGTH)


@pytest.mark.parametrize("variant", [name for name in variants() if name.endswith(WITH_PARITY)])
@pytest.mark.parametrize("kind", ["bit flipped", "byte dropped"])
def test_parity_sees_every_single_fault(variant: str, kind: str) -> None:
    """With its parity bit kept no single flip or loss is read as something else."""
    assert share(variant, kind).wrong == 0


@pytest.mark.parametrize("variant", FIXED_LENGTH)
def test_a_lost_byte_loses_the_block(variant: str) -> None:
    """A family of fixed length never reads a block that is a byte short."""
    found = share(variant, "byte dropped")
    assert found.wrong == 0
    assert found.faults >= 13 * 11


@EACH
def test_some_flips_must_be_read_wrongly_and_most_are_not(variant: str) -> None:
    """Without a checksum a digit may change into a digit; no family lets a third through."""
    found = share(variant, "bit flipped")
    assert found.wrong_share < 0.30
    assert (found.wrong > 0) is not variant.endswith(WITH_PARITY)


def test_a_share_is_of_all_faults() -> None:
    """And there are three kinds."""
    assert Share(8, 2).wrong_share == 0.25
    assert set(FAULTS) == {"bit flipped", "byte dropped", "byte inserted"}


def test_a_cable_flips_as_often_as_said() -> None:
    """One bit in one of a hundred bytes, within five standard deviations of a binomial."""
    cable = Cable(random.Random(5), 0.01)
    carried = [cable.carry(b"\x00" * 14) for _block in range(20_000)]
    flipped = sum(byte.bit_count() for block in carried for byte in block)
    assert flipped == cable.flipped
    assert abs(cable.flipped - 2800) < 5 * (280_000 * 0.01 * 0.99) ** 0.5


@EACH
def test_a_clean_cable_takes_what_was_shown(variant: str) -> None:
    """Without faults every touch is taken, and each as the meter showed it."""
    found = takings(variant, 200, rate=1e-12)
    assert (found.taken, found.off, found.wrong, found.flipped) == (200, 0, 0, 0)


@EACH
def test_a_bad_cable_takes_nothing_wrong(variant: str) -> None:
    """A hundred times worse than the worst considered: the middle of three that agree is right."""
    found = takings(variant, 300, rate=1e-2)
    assert found.taken == 300
    assert found.flipped > 200
    assert found.wrong == 0


@pytest.mark.long
@pytest.mark.timeout(600)
@EACH
def test_a_hundred_thousand_takings(variant: str) -> None:
    """One flipped bit in ten thousand bytes: of a hundred thousand each was on the display."""
    found = takings(variant, 100_000)
    assert found.taken == 100_000
    assert found.flipped > 500
    assert (found.off, found.wrong) == (0, 0), found.worst
