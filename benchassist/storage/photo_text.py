"""A photo's file looked at and stripped, what is wrong with it said in one line."""

from gettext import gettext as _

from benchassist.core import photo_file
from benchassist.core.photo import (
    MOST_BYTES,
    MOST_PIXELS,
    PhotoFacts,
    PhotoFault,
    UnfitPhotoError,
)
from benchassist.errors import InputError


def look_at(data: bytes) -> PhotoFacts:
    """Return what a photo's file says of itself. Raises InputError for one that is not taken."""
    try:
        return photo_file.look_at(data)
    except UnfitPhotoError as error:
        raise InputError(fault_text(error.fault)) from None


def stripped(data: bytes) -> bytes:
    """Return the same picture with nothing but it in the file. Raises InputError as `look_at`."""
    try:
        return photo_file.stripped(data)
    except UnfitPhotoError as error:
        raise InputError(fault_text(error.fault)) from None


def fault_text(fault: PhotoFault) -> str:
    """Why a file is not taken, and what would be."""
    match fault:
        case PhotoFault.EMPTY:
            return _("the file is empty: choose a JPEG, PNG or WebP picture")
        case PhotoFault.HEIC:
            return _("this is a HEIC picture: set the camera to JPEG, or save it as JPEG")
        case PhotoFault.OTHER_PICTURE:
            return _("this kind of picture is not read: save it as JPEG, PNG or WebP")
        case PhotoFault.NO_PICTURE:
            return _("this is not a picture: choose a JPEG, PNG or WebP file")
        case PhotoFault.TOO_MANY_BYTES:
            return _("the file is larger than {most} MB: save it smaller").format(
                most=MOST_BYTES // 2**20
            )
        case PhotoFault.TOO_MANY_PIXELS:
            return _("the picture has more than {most} megapixels: save it smaller").format(
                most=MOST_PIXELS // 1_000_000
            )
        case PhotoFault.MOVING:
            return _("this is a moving picture: save one still of it")
        case PhotoFault.CUT_SHORT:
            return _("the picture is cut short: copy the file again")
        case PhotoFault.BROKEN:
            return _("the picture is damaged: copy the file again, or save it anew")
