"""Photos whose files lie: each is taken whole or refused in one way, and nothing hangs."""

import io
import struct
from contextlib import suppress

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from PIL import Image

from benchassist.core import photo_exif, photo_file
from benchassist.core.photo import UnfitPhotoError
from tests.core import pictures

SOUND = (
    pictures.jpeg(orientation=6, planted=True),
    pictures.jpeg(planted=True, progressive=True),
    pictures.png(orientation=6, planted=True),
    pictures.webp(orientation=6, planted=True),
)


@given(data=st.sampled_from(SOUND), share=st.floats(0.0, 1.0, exclude_max=True))
def test_a_file_that_is_cut_short_is_refused_or_whole(data: bytes, share: float) -> None:
    """What is cut off behind the picture is not missed; anything else is."""
    cut = data[: int(share * len(data))]
    with suppress(UnfitPhotoError):
        bare = photo_file.stripped(cut)
        assert bare == photo_file.stripped(data)


@given(
    data=st.sampled_from(SOUND),
    changes=st.lists(
        st.tuples(st.floats(0.0, 1.0, exclude_max=True), st.binary(min_size=1, max_size=8)),
        min_size=1,
        max_size=6,
    ),
)
def test_any_bytes_changed_are_stripped_for_good_or_refused(
    data: bytes, changes: list[tuple[float, bytes]]
) -> None:
    """Lying lengths, counts and marks: nothing but the one refusal, and stripping stays final."""
    broken = bytearray(data)
    for share, piece in changes:
        at = int(share * len(broken))
        broken[at : at + len(piece)] = piece
    with suppress(UnfitPhotoError):
        bare = photo_file.stripped(bytes(broken))
        assert len(bare) <= len(broken) + 64
        assert photo_file.stripped(bare) == bare
        assert photo_file.look_at(bare).media == photo_file.look_at(bytes(broken)).media


@given(
    head=st.sampled_from([b"\xff\xd8", b"\x89PNG\r\n\x1a\n", b"RIFF\xff\xff\x00\x00WEBP"]),
    rest=st.binary(max_size=400),
)
@example(head=b"\xff\xd8", rest=b"\xff" * 400)
@example(head=b"\xff\xd8", rest=b"\xff\xd8" * 200)
@example(head=b"\x89PNG\r\n\x1a\n", rest=struct.pack(">I", 2**30) + b"IHDR")
@example(head=b"RIFF\xff\xff\xff\xffWEBP", rest=b"VP8X" + struct.pack("<I", 2**30))
def test_noise_behind_a_true_beginning_is_refused(head: bytes, rest: bytes) -> None:
    """A gigabyte that is claimed and not there, pictures in pictures, marks without end."""
    with pytest.raises(UnfitPhotoError):
        photo_file.look_at(head + rest)


@given(block=st.binary(max_size=120))
@example(block=b"MM\x00*\x00\x00\x00\x08\xff\xff" + b"\x01\x12\x00\x03\x00\x00\x00\x01\x00\x09")
@example(block=b"II*\x00\xff\xff\xff\xff")
@example(block=b"II*\x00\x08\x00\x00\x00\x01\x00")
def test_any_exif_block_says_an_orientation_there_is(block: bytes) -> None:
    """Offsets and counts that lie say nothing."""
    for beginning in (b"", b"MM\x00*\x00\x00\x00\x08", b"II*\x00\x08\x00\x00\x00"):
        assert 1 <= photo_exif.orientation_of(beginning + block) <= 8
        assert photo_exif.has_place(beginning + block) in (True, False)


@given(
    order=st.sampled_from("<>"),
    before=st.lists(st.integers(0x0100, 0x0111), max_size=5),
    value=st.integers(0, 65_535),
)
def test_an_orientation_is_found_in_either_byte_order(
    order: str, before: list[int], value: int
) -> None:
    """Wherever it stands in the directory; a number there is not says upright."""
    entries = [struct.pack(f"{order}HHIHH", tag, 3, 1, 5, 0) for tag in before]
    entries.append(struct.pack(f"{order}HHIHH", 0x0112, 3, 1, value, 0))
    head = b"II*\x00" if order == "<" else b"MM\x00*"
    block = head + struct.pack(f"{order}IH", 8, len(entries)) + b"".join(entries)
    expected = value if 1 <= value <= 8 else 1
    assert photo_exif.orientation_of(block) == expected


@given(
    width=st.integers(1, 40),
    height=st.integers(1, 40),
    orientation=st.integers(1, 8),
    kind=st.sampled_from(["JPEG", "PNG", "WEBP"]),
    seed=st.integers(0, 2**32 - 1),
)
def test_any_picture_keeps_its_pixels(
    width: int, height: int, orientation: int, kind: str, seed: int
) -> None:
    """Noise of any size, each way up: stripped it is the same picture."""
    noise = np.random.default_rng(seed).integers(0, 256, (height, width, 3), np.uint8)
    told = io.BytesIO()
    Image.fromarray(noise).save(told, kind, exif=pictures.exif(orientation, planted=True))
    data = told.getvalue()
    bare = photo_file.stripped(data)
    with Image.open(io.BytesIO(data)) as before, Image.open(io.BytesIO(bare)) as after:
        np.testing.assert_array_equal(np.asarray(before), np.asarray(after))
        assert after.getexif().get(pictures.ORIENTATION, 1) == orientation
    assert b"SERIAL-8841" not in bare
