"""Photos as the shop keeps them beside their entries: rows written and asked for."""

from collections.abc import Callable, Iterable
from typing import Any, Final

from sqlalchemy import Connection, insert, select

from benchassist.core.entry import Entry
from benchassist.core.photo import Photo, PhotoCopy
from benchassist.core.photo_log import VisitPhotos
from benchassist.storage import schema
from benchassist.storage.codec import decode_entry, from_text
from benchassist.storage.photo_account import PhotoParcel

KeepCopy = Callable[[PhotoCopy], None]
"""Puts a photo's file where originals lie, unless it is there. Raises BenchError."""

MOST_ASKED: Final = 500
"""Digests in one question."""
KINDS: Final = ("photo_added", "photo_removed")


def photo_row(photo: Photo) -> dict[str, Any]:
    """A photo as its table takes it."""
    return {
        "digest": photo.digest,
        "media": photo.media,
        "size": photo.size,
        "thumbnail": photo.thumbnail,
    }


def photos(connection: Connection, digests: Iterable[str]) -> dict[str, Photo]:
    """The photos of these digests that are kept."""
    p = schema.photo.c
    found: dict[str, Photo] = {}
    all_asked = list(dict.fromkeys(digests))
    for start in range(0, len(all_asked), MOST_ASKED):
        some = all_asked[start : start + MOST_ASKED]
        asked = select(p.digest, p.media, p.size, p.thumbnail).where(p.digest.in_(some))
        for digest, media, size, thumbnail in connection.execute(asked):
            found[digest] = Photo(digest=digest, media=media, size=size, thumbnail=bytes(thumbnail))
    return found


def photo_log(connection: Connection, machine_id: str) -> tuple[VisitPhotos, ...]:
    """The visits of a machine, oldest first, each with what is written of photos on it."""
    v, e = schema.visit.c, schema.entry.c
    visits = connection.execute(
        select(v.id, v.slip_number, v.opened_at, v.closed_at)
        .where(v.machine_id == machine_id)
        .order_by(v.opened_at, v.slip_number)
    ).all()
    told: dict[str, list[Entry]] = {visit_id: [] for visit_id, *_rest in visits}
    asked = (
        select(e.visit_id, e.body)
        .join(schema.visit, v.id == e.visit_id)
        .where(v.machine_id == machine_id, e.kind.in_(KINDS))
        .order_by(e.visit_id, e.seq)
    )
    for visit_id, body in connection.execute(asked):
        if visit_id in told:
            told[visit_id].append(decode_entry(from_text(body)))
    return tuple(
        VisitPhotos(
            visit_id=visit_id,
            slip_number=number,
            opened_at=opened_at,
            closed=closed_at is not None,
            entries=tuple(told[visit_id]),
        )
        for visit_id, number, opened_at, closed_at in visits
    )


def add_photos(
    connection: Connection,
    parcels: Iterable[PhotoParcel],
    keep_copy: KeepCopy | None,
    *,
    visit_is_new: bool,
) -> None:
    """Keep the photos of a visit from elsewhere: what is here stays, what is missing is added.

    A file that claims to be a photo which another visit here shows already is not believed: its
    original lies on another bench, and nothing proves that this is it. Raises BenchError.
    """
    told = {parcel.digest: parcel for parcel in parcels}
    here = photos(connection, told)
    for digest, parcel in told.items():
        believed = not (visit_is_new and digest in here)
        if believed and keep_copy is not None and parcel.copy is not None:
            keep_copy(parcel.copy)
        if parcel.photo is not None and digest not in here:
            connection.execute(insert(schema.photo), photo_row(parcel.photo))
