"""What is written for the machine's file: parts known to be good, photos.

These may be written on a closed visit: they change nothing of what was done.
"""

from dataclasses import dataclass

from benchassist.core.stamp import Stamp


@dataclass(frozen=True, slots=True, kw_only=True)
class PartMarked:
    """A person says of a taken reading (`entry_id`) that its part is known to be good.

    `good` false takes it out again, with the reason. The latest mark of a reading counts.
    """

    stamp: Stamp
    check_key: str
    entry_id: str
    good: bool = True
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoAdded:
    """A photo of the machine or a part. The picture is kept apart, under `digest`.

    `digest` is the SHA-256 of the original file in hexadecimal digits, `media` its type such as
    image/jpeg, `width` and `height` its pixels as it is looked at, turned the right way up.
    """

    stamp: Stamp
    digest: str
    media: str
    width: int
    height: int
    caption: str = ""
    check_key: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoRemoved:
    """A photo (`entry_id`) is shown no more."""

    stamp: Stamp
    entry_id: str
    reason: str = ""
