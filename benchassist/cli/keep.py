"""`visits import`, `export`, `backup`, `restore`: the shop's records in and out, and kept safe."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from benchassist.assembly import Place, keeping, record, records
from benchassist.assembly.luggage import coming_back, folder_beside
from benchassist.assembly.put_back import is_older
from benchassist.cli.migration import up_to_date
from benchassist.cli.option import Home, Json, Shop, place_from
from benchassist.cli.output import ProgressBar, amount, print_json, remark, say
from benchassist.core.byte_count import size_text
from benchassist.errors import InputError

if TYPE_CHECKING:
    from benchassist.assembly.keeping import Restored
    from benchassist.storage.backup import Backup
    from benchassist.storage.dump_restore import ServedShop, ServerExchange
    from benchassist.storage.integrity import Contents
    from benchassist.storage.restore import Exchange

app = typer.Typer(rich_markup_mode=None)


def import_(
    context: typer.Context,
    files: Annotated[
        list[Path], typer.Argument(metavar="FILE…", help="What visits export wrote, or folders.")
    ],
    as_json: Json = False,
    shop: Shop = None,
    home: Home = None,
) -> int:
    """Take in visits that another shop exported; twice does no harm."""
    several = len(files) > 1 or files[0].is_dir()
    progress = ProgressBar() if several else None
    place = up_to_date(place_from(context, shop, home))
    taking = keeping.import_visits(place, files, progress)
    for line in (*taking.renumbered, *taking.conflicts):
        remark(line)
    if as_json:
        print_json(
            {
                "imported": taking.imported,
                "unchanged": taking.unchanged,
                "conflicts": taking.conflicts,
            }
        )
    elif taking.imported or taking.conflicts or not taking.unchanged:
        say(f"{taking.imported} imported, {taking.unchanged} on file already")
    else:
        say(f"Nothing changed: {taking.unchanged} on file already")
    return 1 if taking.conflicts else 0


def export(
    context: typer.Context,
    out: Annotated[Path, typer.Option(metavar="FILE", help="With --all a new folder, or x.csv.")],
    visits: Annotated[list[str] | None, typer.Argument(help="Ids or slip numbers.")] = None,
    every: Annotated[
        bool, typer.Option("--all", help="Every visit, in numbered files that import reads.")
    ] = False,
    as_json: Json = False,
    shop: Shop = None,
    home: Home = None,
) -> int:
    """Write visits to a JSON file whose schema is in the package, or readings to x.csv."""
    place = place_from(context, shop, home)
    if every == bool(visits):
        raise InputError("name the visits to export, or say --all")
    if every:
        written = records.export_all(place, out, ProgressBar())
        note, count = written.note, written.visits
        told = {"out": str(out), "visits": count, "files": [str(f) for f in written.files]}
    else:
        note, count = record.write_export(place, visits or [], out), len(visits or [])
        told = {"out": str(out), "visits": count}
    if as_json:
        print_json(told)
    else:
        say(f"{count} written to {out}")
    if note:
        remark(note)
    return 0


@app.command()
def backup(
    context: typer.Context,
    to: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="A new file, or a folder; else into home/backups."),
    ] = None,
    leave_photos: Annotated[
        bool, typer.Option("--no-photos", help="Leave the originals of photos at home.")
    ] = False,
    as_json: Json = False,
    shop: Shop = None,
    home: Home = None,
) -> int:
    """Back the shop up while it is at work, and verify the backup.

    To a named place the originals of photos go along, into a folder beside it.
    """
    place = place_from(context, shop, home)
    made = keeping.back_up(place, to, ProgressBar(), photos=not leave_photos)
    for line in _remarks(made, on_server=place.on_server):
        remark(line)
    if as_json:
        print_json({"file": str(made.file), "bytes": made.bytes, "visits": made.visits})
    else:
        say(f"{made.file}: {amount(made.visits, 'visit')}, {size_text(made.bytes)}")
    return 0


def _remarks(made: "Backup", *, on_server: bool) -> list[str]:
    """What is to be known of a backup beside its size."""
    lines = [made.lost] if made.lost else []
    if made.dumped:
        lines.append("made by the server's own pg_dump: benchassist restore brings it back")
    elif on_server:
        lines.append(
            "made as a shop file: benchassist --shop THE-FILE move brings it to an empty database"
        )
    if (photos := made.photos) is not None:
        if photos.copied or photos.there:
            lines.append(
                f"{amount(photos.copied + photos.there, 'photo')} beside it in "
                f"{folder_beside(made.file)}, "
                f"{photos.copied} of them new"
            )
        if photos.absent:
            lines.append(
                f"{amount(photos.absent, 'photo')} not on this computer: "
                "what is in it is the small pictures"
            )
    return lines


@app.command()
def restore(
    context: typer.Context,
    file: Annotated[
        Path, typer.Argument(help="A backup of a shop file, or the dump of a server's shop.")
    ],
    yes: Annotated[bool, typer.Option("--yes", help="Replace the shop.")] = False,
    as_json: Json = False,
    shop: Shop = None,
    home: Home = None,
) -> int:
    """Show what is in a backup and what it would replace; with --yes, replace it.

    Photos that lie beside the backup and are missing here come back with it.
    """
    place = place_from(context, shop, home)
    exchange = keeping.look_at(place, file)
    if not as_json:
        _show(exchange, place)
        if coming := len(coming_back(place, file)):
            say(f"photos   {coming} beside it that are not here")
    if is_older(exchange):
        when = "as it is restored" if place.on_server else "when the shop is next opened"
        remark(f"the backup is of an earlier revision: it is brought up to date {when}")
    done = keeping.restore(place, exchange, ProgressBar()) if yes else None
    aside = None if done is None else done.aside
    if done is not None:
        _remark_photos(done)
    if as_json:
        print_json(
            {
                "backup": _told(exchange.backup),
                "present": None if exchange.present is None else _told(exchange.present),
                "fault": exchange.fault or None,
                "restored": yes,
                "kept": None if aside is None else str(aside),
            }
        )
    elif aside is not None:
        say(f"restored; what was there is in {aside}")
    elif yes:
        print("restored")
    if not yes:
        remark("nothing is replaced yet: say --yes to replace it")
    return 0 if yes else 1


def _remark_photos(done: "Restored") -> None:
    if done.note:
        remark(done.note)
    elif done.photos is not None and done.photos.copied:
        remark(f"{amount(done.photos.copied, 'photo')} came back")


def _show(exchange: "Exchange | ServerExchange", place: Place) -> None:
    say(f"backup   {_line(exchange.backup)}")
    if exchange.present is not None:
        say(f"replaces {_line(exchange.present)}")
    elif exchange.fault:
        say(f"replaces {exchange.fault}")
    elif place.on_server:
        say("replaces nothing: the database is empty")
    else:
        say(f"replaces nothing: there is no {place.shop}")


def _line(contents: "Contents | ServedShop") -> str:
    newest = "" if contents.newest is None else f", newest of {contents.newest:%Y-%m-%d %H:%M} UTC"
    return (
        f"{contents.name}: {amount(contents.visits, 'visit')}{newest}, revision {contents.revision}"
    )


def _told(contents: "Contents | ServedShop") -> dict[str, object]:
    return {
        "file": contents.name,
        "bytes": contents.bytes,
        "visits": contents.visits,
        "newest": None if contents.newest is None else contents.newest.isoformat(),
        "revision": contents.revision,
    }
