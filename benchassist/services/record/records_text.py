"""The shop's records in words: what it is, what a backup holds, what came of it."""

from datetime import datetime

from benchassist.core.byte_count import size_text
from benchassist.core.plain_text import plain
from benchassist.services.record.records_need import (
    FileLook,
    Health,
    KeptBackup,
    MadeBackup,
    PutBack,
    ShopState,
    Swap,
    TakenIn,
    WrittenOut,
)
from benchassist.services.record.records_view import RecordRow, SheetView
from benchassist.services.translation import _, ngettext
from benchassist.services.wording import day_text

MOST_NAMED = 8
"""Visits, backups or mentions that are named one by one."""

LONGEST = 80
"""Letters of a person's text in a line."""


def moment_text(at: datetime, now: datetime) -> str:
    """A moment in the shop's own time: 'today 09:12', else the day and the time."""
    local = at.astimezone()
    clock = f"{local:%H:%M}"
    if local.date() == now.astimezone().date():
        return _("today {time}").format(time=clock)
    return f"{day_text(at)}, {clock}"


def photos_text(count: int) -> str:
    """'3 photos'."""
    return ngettext("{n} photo", "{n} photos", count).format(n=count)


def visits_text(count: int) -> str:
    """'3 visits'."""
    return ngettext("{n} visit", "{n} visits", count).format(n=count)


def short(text: str) -> str:
    """A person's text in a line of ours: on one line, and not for ever."""
    return plain(text, LONGEST)


def named(names: tuple[str, ...]) -> str:
    """A few of them by name."""
    named = ", ".join(names[:MOST_NAMED])
    more = len(names) - MOST_NAMED
    return _("{named} and {n} more").format(named=named, n=more) if more > 0 else named


# --- the shop -------------------------------------------------------------------------------------


def shop_sheet(
    state: ShopState | None, backups: tuple[KeptBackup, ...], now: datetime, *, on_server: bool
) -> SheetView:
    """What this shop is; before it has been looked at, only where."""
    remark = _("on a server") if on_server else _("a file on this computer")
    if state is None:
        return SheetView(title=_("This shop"), remark=remark)
    newest = _("none yet") if state.newest is None else day_text(state.newest)
    pairs = [
        (_("Kept in"), state.name),
        (_("Visits"), _("{n}, the newest of {day}").format(n=state.visits, day=newest)),
        (_("Machines"), str(state.machines)),
        (_("Last backup"), _last_backup(backups, now)),
        (_("Looked through"), _health(state.health)),
        (_("Tables"), _("revision {revision}").format(revision=state.revision)),
    ]
    if state.bytes is not None:
        pairs.insert(1, (_("Size"), size_text(state.bytes)))
    return SheetView(title=_("This shop"), remark=remark, pairs=tuple(pairs))


def _last_backup(backups: tuple[KeptBackup, ...], now: datetime) -> str:
    last = next((backup for backup in backups if backup.why != SALVAGED), None)
    if last is None:
        return _("none here yet")
    return _("{moment}, verified when it was made").format(moment=moment_text(last.moment, now))


def _health(health: Health) -> str:
    match health:
        case Health.WHOLE:
            return _("at this start: whole")
        case Health.DAMAGED:
            return _("damaged: restore a backup")
        case Health.SERVED:
            return _("the server looks after it")
        case Health.LOOKING:
            return _("not yet")


SALVAGED = "salvaged"


def backup_row(backup: KeptBackup, now: datetime) -> RecordRow:
    """A backup in the list."""
    return RecordRow(
        key=str(backup.file),
        title=moment_text(backup.moment, now),
        detail=_why(backup.why),
        value=size_text(backup.bytes),
    )


def _why(code: str) -> str:
    match code:
        case "":
            return _("of the day")
        case "before-restore":
            return _("what a restore replaced")
        case "damaged":
            return _("a damaged file a restore replaced")
        case "salvaged":
            return _("what was saved of a damaged file")
        case _ if code.startswith("before-"):
            return _("before its tables were changed")
        case _:
            return code


def backup_sheet(backup: KeptBackup, now: datetime) -> SheetView:
    """The backup under the cursor, before it is looked into."""
    return SheetView(
        title=_("Backup"),
        remark=_why(backup.why),
        pairs=(
            (_("Made"), moment_text(backup.moment, now)),
            (_("File"), str(backup.file)),
            (_("Size"), size_text(backup.bytes)),
        ),
    )


# --- restore --------------------------------------------------------------------------------------


def swap_sheet(swap: Swap) -> SheetView:
    """The backup beside the present shop."""
    present = swap.fault or _("there is none")
    return SheetView(
        title=_("Restore"),
        remark=_("a look first"),
        pairs=(
            (_("Backup"), str(swap.backup.file)),
            (_("The backup holds"), _file_text(swap.backup)),
            (_("The shop now holds"), _file_text(swap.present) if swap.present else present),
            (_("Would be gone from the shop"), loss_text(swap)),
            (_("Kept aside"), _("the shop as it is now, among the backups")),
            *(((_("Would come back"), photos_text(swap.photos)),) if swap.photos else ()),
        ),
    )


def _file_text(look: FileLook) -> str:
    text = f"{visits_text(look.visits)}, {size_text(look.bytes)}, "
    text += _("revision {revision}").format(revision=look.revision)
    if look.newest is None:
        return text
    return _("{text}, newest of {day}").format(text=text, day=day_text(look.newest))


def loss_text(swap: Swap) -> str:
    """What was written since the backup."""
    if swap.present is None:
        return _("cannot be told: the shop cannot be read")
    parts = list[str]()
    if swap.lost_visits:
        parts.append(f"{visits_text(len(swap.lost_visits))} ({named(swap.lost_visits)})")
    if swap.lost_entries:
        parts.append(
            ngettext(
                "{n} line written since on other visits",
                "{n} lines written since on other visits",
                swap.lost_entries,
            ).format(n=swap.lost_entries)
        )
    return _(" and ").join(parts) if parts else _("nothing: the backup has all of it")


# --- what came of it ------------------------------------------------------------------------------


def made_lines(made: MadeBackup, *, on_server: bool) -> tuple[str, ...]:
    """A backup was made."""
    lines = [
        _("Backed up and verified: {visits}, {size}").format(
            visits=visits_text(made.visits), size=size_text(made.bytes)
        ),
        str(made.file),
    ]
    if made.lost:
        lines.insert(0, made.lost)
    lines += _along_lines(made)
    if made.dumped:
        lines.append(_("Made by the server’s own pg_dump: it is restored here as well"))
    elif on_server:
        lines.append(_("A shop file: benchassist move brings it to an empty database"))
    return tuple(lines)


def _along_lines(made: MadeBackup) -> list[str]:
    """Which photos a backup has beside it, and which it has not."""
    if made.photos is None:
        return [_("Of photos it has only small pictures: ‘Back up to a disk’ takes them along")]
    lines, photos = list[str](), made.photos
    if beside := photos.copied + photos.there:
        lines.append(
            _("{photos} beside it, each read back; {n} of them new there").format(
                photos=photos_text(beside), n=photos.copied
            )
        )
    if photos.absent:
        lines.append(
            _("{photos} not on this computer: only their small pictures are in it").format(
                photos=photos_text(photos.absent)
            )
        )
    return lines


def restored_lines(swap: Swap, done: PutBack) -> tuple[str, ...]:
    """A backup stands in the shop's place."""
    lines = [_("Restored: {visits}").format(visits=visits_text(swap.backup.visits))]
    if done.aside is not None:
        lines.append(_("What was there is in {file}").format(file=done.aside))
    if done.note:
        lines.append(done.note)
    elif done.photos is not None and done.photos.copied:
        lines.append(_("{photos} came back with it").format(photos=photos_text(done.photos.copied)))
    return tuple(lines)


def taken_lines(taken: TakenIn) -> tuple[str, ...]:
    """What became of an import, line by line."""
    if taken.imported or taken.conflicts or not taken.unchanged:
        first = _("{imported} imported, {unchanged} on file already").format(
            imported=taken.imported, unchanged=taken.unchanged
        )
    else:
        first = _("Nothing changed: {n} on file already").format(n=taken.unchanged)
    failed = (_("The rest is left: {why}").format(why=taken.failure),) if taken.failure else ()
    return (first, *failed, *taken.conflicts, *taken.renumbered)


def written_lines(written: WrittenOut) -> tuple[str, ...]:
    """What was exported."""
    first = _("Exported: {visits}").format(visits=visits_text(written.visits))
    files = ngettext("{n} file", "{n} files", written.files).format(n=written.files)
    lines = [first, _("{files} in {out}").format(files=files, out=written.out)]
    return tuple([*lines, written.note] if written.note else lines)
