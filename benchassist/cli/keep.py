"""`visits import`, `backup` and `restore`: the shop's records in and out, and kept safe."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from benchassist.assembly import Place, keeping, place_of
from benchassist.cli.option import Home, Json, Shop
from benchassist.cli.output import print_json

if TYPE_CHECKING:
    from benchassist.storage.integrity import Contents
    from benchassist.storage.restore import Exchange

app = typer.Typer(rich_markup_mode=None)


def _place(context: typer.Context, shop: str | None, home: str | None) -> Place:
    """The options may stand before the command's name or after it; after wins."""
    before: dict[str, str | None] = context.find_root().obj
    return place_of(shop or before["shop"], home or before["home"])


def import_(
    context: typer.Context,
    file: Annotated[Path, typer.Argument(help="JSON that visits export wrote.")],
    as_json: Json = False,
    shop: Shop = None,
    home: Home = None,
) -> int:
    """Take in visits that another shop exported; twice does no harm."""
    taking = keeping.import_visits(_place(context, shop, home), file)
    for line in (*taking.renumbered, *taking.conflicts):
        print(line, file=sys.stderr)
    if as_json:
        print_json(
            {
                "imported": taking.imported,
                "unchanged": taking.unchanged,
                "conflicts": taking.conflicts,
            }
        )
    elif taking.imported or taking.conflicts or not taking.unchanged:
        print(f"{taking.imported} imported, {taking.unchanged} on file already")
    else:
        print(f"Nothing changed: {taking.unchanged} on file already")
    return 1 if taking.conflicts else 0


@app.command()
def backup(
    context: typer.Context,
    to: Annotated[
        Path | None, typer.Option(metavar="FILE", help="A new file; else into home/backups.")
    ] = None,
    as_json: Json = False,
    shop: Shop = None,
    home: Home = None,
) -> int:
    """Back the shop up while it is at work, and verify the backup."""
    place = _place(context, shop, home)
    made = keeping.back_up(place, to, _show_progress if sys.stderr.isatty() else None)
    if made.lost:
        print(made.lost, file=sys.stderr)
    if "://" in place.shop:
        print("made by the server's own pg_dump: restore it with pg_restore", file=sys.stderr)
    if as_json:
        print_json({"file": str(made.file), "bytes": made.bytes, "visits": made.visits})
    else:
        print(f"{made.file}: {made.visits} visits, {_size(made.bytes)}")
    return 0


@app.command()
def restore(
    context: typer.Context,
    file: Annotated[Path, typer.Argument(help="A backup of a shop file.")],
    yes: Annotated[bool, typer.Option("--yes", help="Replace the shop file.")] = False,
    as_json: Json = False,
    shop: Shop = None,
    home: Home = None,
) -> int:
    """Show what is in a backup and what it would replace; with --yes, replace it."""
    place = _place(context, shop, home)
    exchange = keeping.look_at(place, file)
    if not as_json:
        _show(exchange, Path(place.shop))
    aside = keeping.restore(place, exchange) if yes else None
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
        print(f"restored; what was there is in {aside}")
    elif yes:
        print("restored")
    if not yes:
        print("nothing is replaced yet: say --yes to replace it", file=sys.stderr)
    return 0 if yes else 1


def _show(exchange: "Exchange", path: Path) -> None:
    print(f"backup   {_line(exchange.backup)}")
    if exchange.present is not None:
        print(f"replaces {_line(exchange.present)}")
    elif exchange.fault:
        print(f"replaces {exchange.fault}")
    else:
        print(f"replaces nothing: there is no {path}")


def _line(contents: "Contents") -> str:
    newest = "" if contents.newest is None else f", newest of {contents.newest:%Y-%m-%d %H:%M} UTC"
    return f"{contents.file}: {contents.visits} visits{newest}, revision {contents.revision}"


def _told(contents: "Contents") -> dict[str, object]:
    return {
        "file": str(contents.file),
        "bytes": contents.bytes,
        "visits": contents.visits,
        "newest": None if contents.newest is None else contents.newest.isoformat(),
        "revision": contents.revision,
    }


def _size(count: int) -> str:
    return f"{count / 1e6:.1f} MB" if count >= 1e6 else f"{count / 1e3:.0f} kB"


def _show_progress(done: int, pages: int) -> None:
    end = "\n" if done == pages else ""
    print(f"\r{done * 100 // max(pages, 1)} %", end=end, file=sys.stderr, flush=True)
