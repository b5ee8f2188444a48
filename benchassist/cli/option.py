"""Options that every command takes, and the place they name."""

from typing import Annotated

import typer

from benchassist.assembly import Place, place_of

Json = Annotated[bool, typer.Option("--json", help="One JSON object on standard output.")]
Shop = Annotated[
    str | None, typer.Option("--shop", metavar="FILE-OR-URL", help="The shop's file or database.")
]
Home = Annotated[
    str | None, typer.Option("--home", metavar="DIR", help="Settings, profiles and photos.")
]


def place_from(context: typer.Context, shop: str | None, home: str | None) -> Place:
    """The options may stand before the command's name or after it; after wins."""
    before: dict[str, str | None] = context.find_root().obj
    return place_of(shop or before["shop"], home or before["home"])
