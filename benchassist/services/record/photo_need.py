"""What the photos need from outside, as protocols; assembly wires the real ones."""

from typing import Protocol

from benchassist.core.photo import PhotoFacts


class FoundPhoto(Protocol):
    """A photo's bytes as they lie on this computer."""

    @property
    def data(self) -> bytes:
        """A file's bytes."""
        ...

    @property
    def whole(self) -> bool:
        """Whether they are the original's."""
        ...


class Shelf(Protocol):
    """Where the originals lie. Any thread may use it."""

    def look_at(self, data: bytes) -> PhotoFacts:
        """What a file says of itself. Raises InputError for one that is not taken."""
        ...

    def keep(self, data: bytes, media: str) -> str:
        """Keep an original, its bytes untouched; returns its digest. Raises StoreError."""
        ...

    def holds(self, digest: str) -> bool:
        """Whether a photo lies here."""
        ...

    def read(self, digest: str) -> FoundPhoto | None:
        """A photo's bytes, None where it does not lie here unharmed."""
        ...


class Eye(Protocol):
    """Decodes pictures. Any thread may use it."""

    def thumbnail(self, data: bytes) -> bytes:
        """A small JPEG, the right way up. Raises InputError where it cannot be read."""
        ...

    def reduced(self, data: bytes, side: int) -> bytes:
        """A JPEG of at most `side` pixels a side, the right way up. Raises as `thumbnail`."""
        ...
