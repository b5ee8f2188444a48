"""The photos of one machine: shown newest first, added, captioned, taken out of sight."""

from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path
from typing import Final

from benchassist.core.entry import Entry, PhotoAdded, PhotoRemoved, Stamp
from benchassist.core.photo_log import ShownPhoto
from benchassist.core.plain_text import typed
from benchassist.core.procedure import Check
from benchassist.errors import BenchError, NotFoundError, StepError
from benchassist.services.record.photo_need import Shelf
from benchassist.services.record.photo_room import Outcome, PhotoRoom, Request
from benchassist.services.record.photo_view import LargePhoto, PhotoData, PhotoStrip, PhotoTile
from benchassist.services.record.photo_watch import PhotoWatch
from benchassist.services.translation import _, ngettext
from benchassist.services.typed_line import line_of
from benchassist.services.wording import day_text

LONGEST_CAPTION: Final = 120
MOST_FAULTS: Final = 2
"""Faults that are told in full; of the rest, how many."""


def no_check(_visit_id: str) -> Check | None:
    """A visit that is not on a bench is at no step."""
    return None


class Photos:
    """One machine's; satisfies `photo_view.PhotoDesk`.

    `visit_id`: photos go to this visit, else to the open one or the newest. `check` gives the step
    that is worked on at that visit now, None for none: a photo is of its part then.
    """

    def __init__(
        self,
        room: PhotoRoom,
        machine_id: str,
        *,
        visit_id: str = "",
        check: Callable[[str], Check | None] = no_check,
    ) -> None:
        self._room, self._visit_id, self._check = room, visit_id, check
        self._watch = PhotoWatch(machine_id, room.store, room.clock)
        self._said = self._fresh = ""
        self._faults: list[str] = []
        self._early: list[tuple[str, Path | bytes, str]] = []
        """What was added before it was known to which visit."""
        self._strip: PhotoStrip | None = None

    def tick(self) -> None:
        """Take in what was read and what is on disk, look whether another bench added any."""
        self._room.side.settle()
        self._room.settle()
        if self._watch.tick():
            self._strip = None
        if self._early and self._watch.loaded:
            self._add_early()
        self._take_in(self._room.outcome(self._visit_ids))

    @property
    def _visit_ids(self) -> frozenset[str]:
        named = {self._visit_id} if self._visit_id else set()
        return self._watch.visit_ids | named

    def close(self) -> None:
        """Wait for the thread that reads."""
        self._watch.close()

    def _take_in(self, outcome: Outcome) -> None:
        if not (outcome.added or outcome.twice or outcome.faults):
            return
        for entry, photo in outcome.added:
            self._watch.wrote(entry, photo)
        said = [self._said] if self._said else []
        if outcome.added:
            count = len(outcome.added)
            said = [ngettext("Photo added", "{n} photos added", count).format(n=count)]
            self._fresh = outcome.added[-1][0].stamp.id
        if outcome.twice:
            names = ", ".join(outcome.twice)
            said.append(_("{names}: there already, not added twice").format(names=names))
        self._said = ". ".join(said)
        self._faults += outcome.faults
        self._strip = None

    # --- showing --------------------------------------------------------------------------------

    def strip(self) -> PhotoStrip:
        """What to show now; the same object while nothing changed."""
        busy = _("Reading the photo") if self._room.busy(self._visit_ids) else ""
        if not self._watch.loaded:
            busy = _("Reading the photos")
        room = self._room
        troubles = (self._fault_text(), room.trouble, room.side.trouble, self._watch.trouble)
        trouble = next((t for t in troubles if t), "")
        strip = self._strip
        if strip is None or (strip.busy_text, strip.trouble) != (busy, trouble):
            strip = self._strip = self._shown(busy, trouble)
        return strip

    def _fault_text(self) -> str:
        """What could not be added, on one line."""
        text = "; ".join(self._faults[:MOST_FAULTS])
        more = len(self._faults) - MOST_FAULTS
        return text + _("; {n} more").format(n=more) if more > 0 else text

    def _shown(self, busy: str, trouble: str) -> PhotoStrip:
        goes_to = self._watch.goes_to(self._visit_id)
        found = sorted(self._watch.photos(), key=lambda p: (p.at, p.entry.stamp.seq), reverse=True)
        empty = _("No photos. They belong to a visit: open one first.")
        if goes_to is not None:
            empty = _("No photos yet. Drag one here, or paste it.")
        return PhotoStrip(
            tiles=tuple(self._tile(photo) for photo in found),
            title=_("Photos"),
            goes_to=_("slip {number}").format(number=goes_to.slip_number) if goes_to else "",
            said=self._said,
            trouble=trouble,
            busy_text=busy,
            fresh=self._fresh,
            empty_text=empty if self._watch.loaded else "",
        )

    def _tile(self, photo: ShownPhoto) -> PhotoTile:
        entry = photo.entry
        kept, here = self._watch.kept(entry.digest), self._room.shelf.holds(entry.digest)
        when = when_text(photo.at, self._room.clock.now())
        note = "" if here else _("The original is on another computer")
        if kept is None and not here:
            note = _("No picture of it is on file here")
        return PhotoTile(
            entry_id=entry.stamp.id,
            visit_id=entry.stamp.visit_id,
            text=_("{when}: {caption}").format(when=when, caption=entry.caption)
            if entry.caption
            else when,
            caption=entry.caption,
            thumbnail=kept.thumbnail if kept is not None else b"",
            width=entry.width,
            height=entry.height,
            missing=not here,
            note=note,
            pencilled=self._watch.pencilled(entry),
        )

    def large(self, entry_id: str) -> LargePhoto:
        """A photo to look at large. Raises NotFoundError."""
        photo = self._photo(entry_id)
        entry, shelf = photo.entry, self._room.shelf
        kept = self._watch.kept(entry.digest)
        thumbnail = kept.thumbnail if kept is not None else b""
        return LargePhoto(
            entry_id=entry_id,
            load=lambda: photo_data(shelf, entry.digest, thumbnail),
            text=entry.caption,
            detail=_("{day} · {width} × {height} pixels").format(
                day=day_text(photo.at), width=entry.width, height=entry.height
            ),
        )

    # --- adding and changing --------------------------------------------------------------------

    def add_files(self, paths: Sequence[Path], caption: str = "") -> None:
        """Add files to the visit. Raises StepError where the machine has no visit yet."""
        self._add([(path.name, path) for path in paths], caption)

    def add_image(self, data: bytes, caption: str = "") -> None:
        """Add a picture that was pasted, as the bytes of a file. Raises as `add_files`."""
        self._add([(_("The pasted picture"), data)], caption)

    def _add(self, sources: Sequence[tuple[str, Path | bytes]], caption: str) -> None:
        self._said = self._fresh = ""
        self._faults, self._strip = [], None
        said = caption_of(caption)
        if not self._watch.loaded:
            self._early += [(name, source, said) for name, source in sources]
            return
        visit = self._watch.goes_to(self._visit_id)
        # A visit that was opened just now may not be on file yet.
        visit_id = self._visit_id or (visit.visit_id if visit is not None else "")
        if not visit_id:
            raise StepError(_("this machine has no visit to add a photo to: open one first"))
        check = self._check(visit_id)
        said = said or (check.short if check is not None else "")
        for name, source in sources:
            self._room.add(
                Request(
                    name=name,
                    source=source,
                    visit_id=visit_id,
                    caption=said,
                    check_key=check.key if check is not None else "",
                    known=lambda: frozenset(p.entry.digest for p in self._watch.photos()),
                )
            )

    def _add_early(self) -> None:
        early, self._early = self._early, []
        for name, source, said in early:
            try:
                self._add([(name, source)], said)
            except BenchError as error:
                self._faults.append(f"{name}: {error}")

    def say(self, entry_id: str, caption: str) -> None:
        """Say what a photo shows. Raises NotFoundError for one that is gone, InputError."""
        before, said = self._photo(entry_id).entry, caption_of(caption)
        if said == before.caption:
            return

        def added(stamp: Stamp) -> Entry:
            return PhotoAdded(
                stamp=stamp,
                digest=before.digest,
                media=before.media,
                width=before.width,
                height=before.height,
                caption=said,
                check_key=before.check_key,
            )

        # Added anew before the old one goes: whatever comes between, the photo is shown.
        self._write(before.stamp.visit_id, added)
        self._remove(before)
        self._said = _("Kept: {caption}").format(caption=said) if said else _("Kept")

    def remove(self, entry_id: str) -> None:
        """Show a photo no more; its original is kept. Raises NotFoundError."""
        self._remove(self._photo(entry_id).entry)
        self._said = _("Taken out of sight. Its file is kept: add it again to show it")

    def _remove(self, entry: PhotoAdded) -> None:
        def removed(stamp: Stamp) -> Entry:
            return PhotoRemoved(stamp=stamp, entry_id=entry.stamp.id)

        self._write(entry.stamp.visit_id, removed)

    def _write(self, visit_id: str, make: Callable[[Stamp], Entry]) -> None:
        self._watch.wrote(self._room.side.write(visit_id, make))
        self._faults, self._strip, self._fresh = [], None, ""

    def _photo(self, entry_id: str) -> ShownPhoto:
        found = (p for p in self._watch.photos() if p.entry.stamp.id == entry_id)
        photo = next(found, None)
        if photo is None:
            raise NotFoundError(_("this photo is not there any more: choose another"))
        return photo


def photo_data(shelf: Shelf, digest: str, thumbnail: bytes) -> PhotoData:
    """A photo's bytes as they lie here, else its thumbnail, with what is to be said of that."""
    found = shelf.read(digest)
    if found is not None:
        return PhotoData(data=found.data)
    if not thumbnail:
        return PhotoData(note=_("No picture of it is on file here"))
    if shelf.holds(digest):
        note = _("The original’s file is damaged: this is its small picture")
    else:
        note = _("The original is on another computer: this is its small picture")
    return PhotoData(data=thumbnail, note=note)


def caption_of(text: str) -> str:
    """A caption on one line, nothing in it that does not show. Raises InputError if too long."""
    return line_of(" ".join(typed(text).split()), _("caption"), LONGEST_CAPTION)


def when_text(at: datetime, now: datetime) -> str:
    """'Today', else the day within this year, the year alone before that."""
    then, today = at.astimezone().date(), now.astimezone().date()
    if then == today:
        return _("Today")
    return day_text(at) if then.year == today.year else str(then.year)
