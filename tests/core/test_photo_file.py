"""Photos stripped of everything but the picture, against what Pillow reads of them."""

import io
import struct
import zlib
from collections.abc import Callable

import numpy as np
import pytest
from PIL import Image, ImageCms, ImageOps

from benchassist.core import photo_file
from benchassist.core.photo import MOST_BYTES, PhotoFault, UnfitPhotoError, is_digest
from tests.core import pictures

KINDS: tuple[Callable[..., bytes], ...] = (pictures.jpeg, pictures.png, pictures.webp)


def seen(data: bytes) -> np.ndarray:
    """The pixels of a file as it is to be looked at."""
    with Image.open(io.BytesIO(data)) as image:
        return np.asarray(ImageOps.exif_transpose(image).convert("RGB"))


@pytest.mark.parametrize("make", KINDS)
@pytest.mark.parametrize("orientation", range(1, 9))
def test_nothing_planted_is_left_and_no_pixel_changes(
    make: Callable[..., bytes], orientation: int
) -> None:
    """Place, camera, maker note, texts, small picture and what trails are gone; the rest stays."""
    data = make(orientation=orientation, planted=True)
    bare = photo_file.stripped(data)

    assert [word for word in pictures.PLANTED if word in bare] == []
    assert len([word for word in pictures.PLANTED if word in data]) >= 6
    np.testing.assert_array_equal(seen(bare), seen(data))
    with Image.open(io.BytesIO(bare)) as image:
        image.load()
        left = image.getexif()
        assert dict(left) == ({} if orientation == 1 else {pictures.ORIENTATION: orientation})
        assert not left.get_ifd(pictures.GPS)
        assert not left.get_ifd(pictures.EXIF)
        assert not {"comment", "xmp", "photoshop", "XML:com.adobe.xmp"} & set(image.info)


@pytest.mark.parametrize("make", KINDS)
@pytest.mark.parametrize("planted", [True, False])
def test_what_is_bare_stays_as_it_is(make: Callable[..., bytes], planted: bool) -> None:
    """Stripping twice is stripping once, so a photo keeps its digest from shop to shop."""
    bare = photo_file.stripped(make(orientation=6, planted=planted))
    assert photo_file.stripped(bare) == bare


@pytest.mark.parametrize("make", KINDS)
@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_file_tells_its_size_and_which_way_up(
    make: Callable[..., bytes], orientation: int
) -> None:
    """Size, orientation and whether a place is in it are read without decoding."""
    facts = photo_file.look_at(make(orientation=orientation, planted=True))
    assert (facts.width, facts.height, facts.orientation) == (48, 32, orientation)
    assert facts.upright == ((48, 32) if orientation < 5 else (32, 48))
    assert facts.located
    assert not photo_file.look_at(make()).located


@pytest.mark.parametrize("progressive", [True, False])
@pytest.mark.parametrize("mode", ["RGB", "L", "CMYK"])
def test_every_sort_of_jpeg_keeps_its_pixels(progressive: bool, mode: str) -> None:
    """Grey, colour and print colours, in one scan or many; the mark of how colours are coded."""
    data = pictures.jpeg(pictures.picture(mode=mode), 8, planted=True, progressive=progressive)
    np.testing.assert_array_equal(seen(photo_file.stripped(data)), seen(data))


def test_a_colour_profile_stays() -> None:
    """Without it the colours would be others."""
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    bare = photo_file.stripped(pictures.jpeg(planted=True, icc=profile))
    with Image.open(io.BytesIO(bare)) as image:
        assert image.info["icc_profile"] == profile


def test_a_palette_with_holes_keeps_them() -> None:
    """A PNG's palette, its transparency, its profile; the profile's name goes."""
    told = io.BytesIO()
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    image = pictures.picture().quantize(8)
    image.save(told, "PNG", transparency=2, icc_profile=profile)
    data = told.getvalue().replace(b"ICC Profile\x00", b"SERIAL-8841\x00")
    at = data.index(b"iCCP") - 4
    (length,) = struct.unpack_from(">I", data, at)
    body = data[at + 8 : at + 8 + length]
    data = data.replace(
        data[at + 4 : at + 12 + length],
        b"iCCP" + body + struct.pack(">I", zlib.crc32(b"iCCP" + body)),
    )
    bare = photo_file.stripped(data)
    assert b"SERIAL-8841" not in bare
    with Image.open(io.BytesIO(data)) as before, Image.open(io.BytesIO(bare)) as after:
        np.testing.assert_array_equal(before.convert("RGBA"), after.convert("RGBA"))
        assert after.info["icc_profile"] == profile


@pytest.mark.parametrize("lossless", [True, False])
@pytest.mark.parametrize("mode", ["RGB", "RGBA"])
def test_every_sort_of_webp_keeps_its_pixels(lossless: bool, mode: str) -> None:
    """Lossy and lossless, with and without a ground that shows through."""
    image = pictures.picture(mode=mode)
    data = pictures.webp(image, 3, planted=True, lossless=lossless)
    bare = photo_file.stripped(data)
    with Image.open(io.BytesIO(data)) as before, Image.open(io.BytesIO(bare)) as after:
        np.testing.assert_array_equal(np.asarray(before), np.asarray(after))


@pytest.mark.parametrize(
    ("data", "fault"),
    [
        (b"", PhotoFault.EMPTY),
        (b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00", PhotoFault.HEIC),
        (b"GIF89a....", PhotoFault.OTHER_PICTURE),
        (b"<html>", PhotoFault.NO_PICTURE),
        (b"\xff\xd8" + bytes(MOST_BYTES), PhotoFault.TOO_MANY_BYTES),
        (pictures.jpeg()[:-200], PhotoFault.CUT_SHORT),
        (pictures.png()[:-20], PhotoFault.CUT_SHORT),
        (pictures.webp()[:-20], PhotoFault.CUT_SHORT),
        (b"\xff\xd8\xff\xd9", PhotoFault.BROKEN),
        (b"\xff\xd8" + b"\xff\xe1\x00\x02" * 30_000, PhotoFault.BROKEN),
    ],
)
def test_what_is_no_photo_is_refused(data: bytes, fault: PhotoFault) -> None:
    """Each by its own fault."""
    with pytest.raises(UnfitPhotoError) as refused:
        photo_file.look_at(data)
    assert refused.value.fault is fault


def test_a_moving_picture_is_refused() -> None:
    """One still is asked for."""
    told = io.BytesIO()
    frames = [pictures.picture(), pictures.picture().rotate(180)]
    frames[0].save(told, "WEBP", save_all=True, append_images=frames[1:])
    with pytest.raises(UnfitPhotoError) as refused:
        photo_file.look_at(told.getvalue())
    assert refused.value.fault is PhotoFault.MOVING


def _png_of(width: int, height: int) -> bytes:
    data = pictures.png()
    head = b"IHDR" + struct.pack(">II", width, height) + data[24:29]
    return data[:12] + head + struct.pack(">I", zlib.crc32(head)) + data[33:]


def _jpeg_of(width: int, height: int) -> bytes:
    data = pictures.jpeg()
    at = data.index(b"\xff\xc0") + 5
    return data[:at] + struct.pack(">HH", height, width) + data[at + 4 :]


@pytest.mark.parametrize("bomb", [_png_of(100_001, 1000), _jpeg_of(65_500, 65_500)])
def test_a_picture_that_unpacks_to_gigabytes_is_refused_by_its_head(bomb: bytes) -> None:
    """Its size is read before anything of it is unpacked."""
    with pytest.raises(UnfitPhotoError) as refused:
        photo_file.look_at(bomb)
    assert refused.value.fault is PhotoFault.TOO_MANY_PIXELS


def test_a_webp_that_says_two_sizes_is_refused() -> None:
    """What its canvas says and what its picture says must be one."""
    data = bytearray(pictures.webp(planted=True))
    at = data.index(b"VP8X") + 12
    data[at : at + 3] = (200).to_bytes(3, "little")
    with pytest.raises(UnfitPhotoError):
        photo_file.look_at(bytes(data))


def test_a_digest_is_64_small_hexadecimal_digits() -> None:
    """Nothing else becomes a file's name."""
    assert is_digest("0a" * 32)
    for text in ("", "0A" * 32, "0a" * 31, "../" + "a" * 61, "0a" * 31 + "g0", "\u0660" * 64):
        assert not is_digest(text)
