"""The backups in a folder: what they are called, when the next is due, which of them go.

Names carry the moment, so nothing depends on what a file system says of its files. Of the backups
made by day the newest of each of the last seven days with one is kept, and of each of the last
four weeks; those made before something was changed are kept beside them, the last few.
"""

import hashlib
import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

from benchassist.storage.whole_file import BESIDE, UNFINISHED

DAYS: Final = 7
WEEKS: Final = 4
OTHERS: Final = 5
"""Kept of those that were made before a change."""

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

    def thin(self, now: datetime) -> list[Path]:
        """Remove the backups that are no longer kept, and what was begun and never finished.

        Returns what was removed; what cannot be, stays for another time.
        """
        kept = self.kept()
        # Those made before the clock was set back count for no day: they would push out every new
        # one. The last of them stay beside.
        ahead = [k for k in kept if not k.why and k.moment > now + DAY]
        by_day = [k for k in kept if not k.why and k.moment <= now + DAY]
        others = [k for k in kept if k.why]
        days = {k.moment.date(): k for k in by_day}
        weeks = {k.moment.isocalendar()[:2]: k for k in by_day}
        stay = {days[d] for d in sorted(days)[-DAYS:]} | {weeks[w] for w in sorted(weeks)[-WEEKS:]}
        gone = [k.file for k in by_day if k not in stay]
        gone += [k.file for k in others[:-OTHERS] + ahead[:-OTHERS]]
        return [file for file in gone + self._unfinished(now) if _removed(file)]

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


def _removed(file: Path) -> bool:
    try:
        file.unlink()
    except OSError:
        return False
    return True
