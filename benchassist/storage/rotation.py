"""The backups in a folder: what they are called, when the next is due, which of them go.

Names carry the moment, so nothing depends on what a file system says of its files. Of the backups
made by day the newest of each of the last seven days with one is kept, and of each of the last
four weeks; those made before something was changed are kept beside them, the last few. Where that
is more than the shelf's room, the oldest go first, and with them the weeks before the days. What
never goes for want of room: the newest that was verified, and the newest from before a change.
"""

import hashlib
import re
from collections.abc import Callable, Collection
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

from benchassist.storage.room import allowance, lacking, size_of
from benchassist.storage.whole_file import BESIDE, UNFINISHED, looks_whole

DAYS: Final = 7
WEEKS: Final = 4
OTHERS: Final = 5
"""Kept of those that were made before a change."""

SALVAGES: Final = 3
"""Kept of what was saved of a damaged shop: one is made at every start until it is restored."""

SALVAGED: Final = "salvaged"
DAMAGED: Final = "damaged"
"""Why a backup was made that holds less than the shop did, and one that was never sound."""

DAY: Final = timedelta(days=1)
STALE: Final = timedelta(hours=6)
"""An unfinished backup so old belongs to a program that was ended in the middle of it."""

MOMENT: Final = "%Y%m%d-%H%M%S-%f"
NAME: Final = re.compile(
    r"([0-9]{8}-[0-9]{6}-[0-9]{6})(?:-([a-z0-9-]+))?\.(?:sqlite|dump)", re.ASCII
)


@dataclass(frozen=True, slots=True, order=True)
class Kept:
    """A backup in the folder; `why` is empty for one made by day."""

    moment: datetime
    why: str
    file: Path

    @property
    def bytes(self) -> int:
        """What it takes on the disk; none where it is gone by now."""
        return sum(map(size_of, self._files))

    def remove(self) -> None:
        """Take it off the shelf, with what lies beside a damaged one. Raises OSError."""
        for file in self._files:
            file.unlink(missing_ok=True)

    @property
    def _files(self) -> list[Path]:
        return [Path(f"{self.file}{beside}") for beside in BESIDE]


@dataclass(frozen=True, slots=True)
class Shelf:
    """The backups of one shop. `place` is its file, or its server's name."""

    folder: Path
    place: str

    @property
    def prefix(self) -> str:
        """How the shop's backups begin: two shops of one name are told apart by where they are."""
        mark = hashlib.sha256(self.place.encode("utf-8", "surrogateescape")).hexdigest()[:6]
        stem = re.sub(r"[^A-Za-z0-9_-]+", "-", Path(self.place).stem)[:40] or "shop"
        return f"{stem}-{mark}-"

    def name(self, moment: datetime, *, why: str = "", suffix: str = ".sqlite") -> Path:
        """Return where a backup made now goes."""
        reason = f"-{why}" if why else ""
        return self.folder / f"{self.prefix}{moment.astimezone(UTC):{MOMENT}}{reason}{suffix}"

    def kept(self) -> list[Kept]:
        """Return the backups that are there, oldest first."""
        if not self.folder.is_dir():
            return []
        found = list[Kept]()
        for file in self.folder.iterdir():
            named = NAME.fullmatch(file.name.removeprefix(self.prefix))
            if file.name.startswith(self.prefix) and named is not None:
                try:
                    moment = datetime.strptime(named[1], MOMENT).replace(tzinfo=UTC)
                except ValueError:
                    continue
                found.append(Kept(moment, named[2] or "", file))
        return sorted(found)

    def is_due(self, now: datetime) -> bool:
        """Whether the newest backup is a day old.

        One made in what is now the future, before the clock was set back, does not count.
        """
        return not any(abs(now - kept.moment) < DAY for kept in self.kept() if not kept.why)

    def thin(self, now: datetime, *, by_room: bool = True) -> list[Path]:
        """Remove the backups that are no longer kept, and what was begun and never finished.

        Returns what was removed; what cannot be, stays for another time. `by_room`: also those that
        the shelf has no room for, after a sound one was made.
        """
        kept = self.kept()
        stay = _counted(kept, now) | _staying(kept, now)
        taken = sum(k.bytes for k in kept)
        room = allowance(self.folder, taken) if by_room else None
        over = 0 if room is None else taken - room
        gone = _until(_in_order(kept, now), over, at_least=[k for k in kept if k not in stay])
        unfinished = [file for file in self._unfinished(now) if _done(file.unlink)]
        return [k.file for k in gone if _done(k.remove)] + unfinished

    def make_room(self, now: datetime, need: int, *, but: Path | None = None) -> list[Path]:
        """Remove old backups where a new one of so many bytes has no room without; returns them.

        Nothing is removed where even that would not do, never what never goes, and not `but`.
        """
        missing, kept = lacking(self.folder, need), self.kept()
        gone = _until([k for k in _in_order(kept, now) if k.file != but], missing)
        if sum(k.bytes for k in gone) < missing:
            return []
        return [k.file for k in gone if _done(k.remove)]

    def _unfinished(self, now: datetime) -> list[Path]:
        if not self.folder.is_dir():
            return []
        ends = tuple(f"{UNFINISHED}{beside}" for beside in BESIDE)
        return [
            file
            for file in self.folder.iterdir()
            if file.name.startswith(self.prefix)
            and file.name.endswith(ends)
            and abs(now - datetime.fromtimestamp(file.stat().st_mtime, UTC)) > STALE
        ]


def _is_ahead(kept: Kept, now: datetime) -> bool:
    return not kept.why and kept.moment > now + DAY


def _counted(kept: list[Kept], now: datetime) -> set[Kept]:
    """Those that stay by their number."""
    # Those made before the clock was set back count for no day: they would push out every new
    # one. The last of them stay beside.
    ahead = [k for k in kept if _is_ahead(k, now)]
    by_day = [k for k in kept if not k.why and not _is_ahead(k, now)]
    saved = [k for k in kept if k.why == SALVAGED]
    others = [k for k in kept if k.why not in {"", SALVAGED}]
    days = {k.moment.date(): k for k in by_day}
    weeks = {k.moment.isocalendar()[:2]: k for k in by_day}
    stay = {days[d] for d in sorted(days)[-DAYS:]} | {weeks[w] for w in sorted(weeks)[-WEEKS:]}
    return {*stay, *others[-OTHERS:], *ahead[-OTHERS:], *saved[-SALVAGES:]}


def _staying(kept: list[Kept], now: datetime) -> set[Kept]:
    """What never goes: the newest verified one, and the newest from before a change."""
    by_day = [k for k in kept if not k.why and not _is_ahead(k, now)]
    changed = [k for k in kept if k.why not in {"", SALVAGED, DAMAGED}]
    sound = _newest(by_day) | _newest(changed)
    if not sound:
        ahead = [k for k in kept if _is_ahead(k, now)]
        sound = _newest(ahead) or _newest([k for k in kept if k.why == SALVAGED])
    # What a restore has replaced is from before a change as well, sound or not.
    return sound | set([k for k in kept if k.why not in {"", SALVAGED}][-1:])


def _newest(kept: list[Kept]) -> set[Kept]:
    """The newest of them; one that was cut short since it was made does not count for it."""
    whole = next((k for k in reversed(kept) if looks_whole(k.file)), None)
    return {whole} if whole is not None else set(kept[-1:])


def _in_order(kept: list[Kept], now: datetime) -> list[Kept]:
    """All that may go: first what goes anyway and what holds less than another, then the oldest."""
    counted, staying = _counted(kept, now), _staying(kept, now)
    going = [k for k in kept if k not in staying]
    lesser = {k for k in going if k.why == SALVAGED or _is_ahead(k, now)}
    return sorted(going, key=lambda k: (k in counted, k not in lesser, k.moment))


def _until(ordered: list[Kept], missing: int, *, at_least: Collection[Kept] = ()) -> list[Kept]:
    """As many of them as take so many bytes, in their order; those of `at_least` anyway."""
    gone = list[Kept]()
    for one in ordered:
        if missing <= 0 and one not in at_least:
            break
        gone.append(one)
        missing -= one.bytes
    return gone


def _done(remove: Callable[[], None]) -> bool:
    try:
        remove()
    except OSError:
        return False
    return True
