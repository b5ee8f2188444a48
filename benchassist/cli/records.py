"""`move` and `privacy`: the whole shop to another place, a customer found and erased."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from benchassist.assembly import records
from benchassist.cli.migration import up_to_date
from benchassist.cli.option import Home, Json, Shop, place_from
from benchassist.cli.output import ProgressBar, amount, print_json, remark, say
from benchassist.core.plain_text import plain

if TYPE_CHECKING:
    from benchassist.assembly.records import Erasure
    from benchassist.core.holding import Holding, Mention, PersonalData

app = typer.Typer(rich_markup_mode=None)
privacy = typer.Typer(help="A customer's personal data.", rich_markup_mode=None)
app.add_typer(privacy, name="privacy")

MOST_SHOWN = 20
"""Mentions that are told one by one."""


@app.command()
def move(
    context: typer.Context,
    to: Annotated[str, typer.Argument(help="A new file, or a PostgreSQL address.")],
    as_json: Json = False,
    shop: Shop = None,
    home: Home = None,
) -> int:
    """Copy the whole shop to a new file or an empty database, and verify it; the old one stays."""
    moved = records.move(place_from(context, shop, home), to, ProgressBar(lines=not as_json))
    if as_json:
        print_json(
            {
                "from": moved.source,
                "to": moved.target,
                "visits": moved.visits,
                "rows": moved.rows,
                "tables": {
                    name: {"rows": sealed.rows, "digest": sealed.digest}
                    for name, sealed in moved.tables.items()
                },
            }
        )
        return 0
    held = f"{amount(moved.visits, 'visit')}, {amount(moved.rows, 'row')}"
    say(f"{moved.target}: {held}, read back and the same")
    remark(f"{moved.source} stays as it was: from now on open the new one")
    remark("photos and settings stay in this bench's home folder, where it finds them as before")
    remark("another bench shows the small pictures of its photos")
    return 0


@privacy.command("find")
def privacy_find(
    context: typer.Context,
    words: Annotated[list[str], typer.Argument(help="A name or a phone number, or part of it.")],
    as_json: Json = False,
    shop: Shop = None,
    home: Home = None,
) -> int:
    """What is held of a customer."""
    found = records.find_person(place_from(context, shop, home), " ".join(words))
    if as_json:
        print_json(_told(found))
        return 0
    _show(found)
    if not found.holdings:
        print("Nobody found.")
    return 0


@privacy.command("erase")
def privacy_erase(
    context: typer.Context,
    tags: Annotated[list[str], typer.Argument(metavar="MACHINE-TAG…")],
    yes: Annotated[bool, typer.Option("--yes", help="Erase.")] = False,
    keep_photos: Annotated[bool, typer.Option("--keep-photos")] = False,
    drop_backups: Annotated[
        bool, typer.Option("--drop-backups", help="One new backup in the place of those before.")
    ] = False,
    drop_backup: Annotated[
        list[Path] | None,
        typer.Option(
            "--drop-backup",
            metavar="FILE-OR-FOLDER",
            help="A backup elsewhere, removed with the photos beside it.",
        ),
    ] = None,
    as_json: Json = False,
    shop: Shop = None,
    home: Home = None,
) -> int:
    """Show what would be erased of a machine's customer; with --yes, erase it."""
    place = place_from(context, shop, home)
    elsewhere = drop_backup or []
    if yes:
        erasure = records.erase(
            up_to_date(place),
            tags,
            photos=not keep_photos,
            drop_backups=drop_backups,
            elsewhere=elsewhere,
        )
    else:
        erasure = records.look_at_erasure(place, tags, elsewhere)
    if as_json:
        print_json(_erasure_told(erasure))
    else:
        _show(erasure.held)
        _show_erasure(erasure, keep_photos=keep_photos)
    for note in erasure.notes:
        remark(note)
    if not yes:
        remark("nothing is erased yet: say --yes to erase it")
    return 0 if yes else 1


def _told(found: "PersonalData") -> dict[str, object]:
    return {
        "machines": [_holding_told(holding) for holding in found.holdings],
        "elsewhere": [_mention_told(mention) for mention in found.elsewhere],
    }


def _holding_told(holding: "Holding") -> dict[str, object]:
    machine = holding.machine
    return {
        "id": machine.id,
        "tag": machine.tag,
        "customer": machine.customer,
        "phone": machine.phone,
        "exact": holding.exact,
        "names": list(holding.names),
        "phones": list(holding.phones),
        "visits": holding.visits,
        "visits_with_name": holding.headers,
        "photos": holding.photos,
        "mentions": [_mention_told(mention) for mention in holding.mentions],
    }


def _mention_told(mention: "Mention") -> dict[str, object]:
    return {
        "visit": mention.visit_id or None,
        "slip_number": mention.slip_number or None,
        "tag": mention.tag,
        "where": mention.where,
        "text": mention.text,
    }


def _erasure_told(erasure: "Erasure") -> dict[str, object]:
    erased = erasure.erased
    return {
        "erased": erased is not None,
        "held": _told(erasure.held),
        "visits": None if erased is None else erased.visits,
        "words": None if erased is None else erased.words,
        "photos": None if erased is None else len(erased.photos),
        "photos_shared": None if erased is None else erased.shared,
        "lingers": (erased.lingers or None) if erased is not None else None,
        "backups": [
            {"file": str(kept.file), "made": kept.moment.isoformat(), "why": kept.why or None}
            for kept in erasure.backups
        ],
        "backups_removed": [str(file) for file in erasure.removed],
    }


def _show(found: "PersonalData") -> None:
    for holding in found.holdings:
        machine = holding.machine
        say(
            f"{machine.tag}  {_line(', '.join(holding.names)) or 'nobody'}  "
            f"{_line(', '.join(holding.phones))}"
        )
        said = f"so at {holding.headers} of {amount(holding.visits, 'visit')}"
        print(f"  {said}, {amount(holding.photos, 'photo')}")
        _show_mentions(holding.mentions)
    if found.elsewhere:
        print("named at other machines' visits")
        _show_mentions(found.elsewhere)


def _show_mentions(mentions: "tuple[Mention, ...]") -> None:
    for mention in mentions[:MOST_SHOWN]:
        place = f"slip {mention.slip_number}" if mention.slip_number else "machine"
        say(f"  {place}, {mention.where}: {_line(mention.text)}")
    if len(mentions) > MOST_SHOWN:
        print(f"  and {len(mentions) - MOST_SHOWN} more")


def _show_erasure(erasure: "Erasure", *, keep_photos: bool) -> None:
    erased = erasure.erased
    if erased is not None:
        print(
            f"erased at {amount(erased.visits, 'visit')}, in {amount(erased.words, 'text')}, "
            f"{amount(len(erased.photos), 'photo')}"
        )
        if erased.shared:
            print(f"kept: {amount(erased.shared, 'photo')} that another machine has too")
    elif keep_photos:
        print("photos stay")
    print("stays: tag, engine, serial number, every reading, verdict and date")
    left = [kept for kept in erasure.backups if kept.file not in erasure.removed]
    for kept in left:
        say(f"still in the backup {kept.file.name}, made {kept.moment:%Y-%m-%d %H:%M} UTC")
    if left:
        print("backups are removed as newer ones come, or now with --drop-backups")
    for file in erasure.elsewhere:
        gone = "removed" if file in erasure.removed else "to be removed"
        say(f"{gone}: the backup {file}")
    print(
        "not reached: exports and slips given away, copies kept elsewhere, "
        "photos on other benches' computers"
    )


def _line(text: str) -> str:
    """A person's text on one line of a terminal."""
    return plain(text, 200)
